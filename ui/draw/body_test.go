package draw_test

import (
	"image"
	"testing"

	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// bodies shows the diagram of every point.
func bodies(gtx layout.Context, th *draw.Theme) {
	for i := range geometry.NumPoints {
		t := op.Offset(image.Pt(10+(i%12)*60, 10+(i/12)*120)).Push(gtx.Ops)
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(60, 104)}
		th.BodyDiagram(g, geometry.Point(i), false)
		t.Pop()
	}
}

func TestBodyPicture(t *testing.T) {
	th := draw.NewFixedTheme(true, 1)
	img := drawtest.Picture(t, 730, 244, 1, th.Raised, func(gtx layout.Context) { bodies(gtx, th) })
	keep(t, "bodies.png", img)
}
