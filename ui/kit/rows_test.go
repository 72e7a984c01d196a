package kit

import (
	"image"
	"testing"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
	"github.com/stretchr/testify/assert"
)

// TestFlow: what has no room in a line stands in the next.
func TestFlow(t *testing.T) {
	gtx := layout.Context{Ops: new(op.Ops), Metric: unit.Metric{PxPerDp: 1, PxPerSp: 1}, Constraints: layout.Exact(image.Pt(100, 100))}
	part := func(w, h int) layout.Widget {
		return func(layout.Context) layout.Dimensions { return layout.Dimensions{Size: image.Pt(w, h)} }
	}
	assert.Equal(t, image.Pt(98, 10), Flow(gtx, 8, part(40, 10), part(50, 8)).Size)
	assert.Equal(t, image.Pt(48, 28), Flow(gtx, 8, part(48, 10), part(30, 8), part(20, 10)).Size.Sub(image.Pt(38, 0)))
	assert.Equal(t, image.Pt(120, 28), Flow(gtx, 8, part(120, 10), part(10, 10)).Size, "what is too wide has a line of its own")
}
