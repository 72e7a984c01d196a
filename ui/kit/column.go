// Package kit is what the rooms of the window are made with: the doors between a
// room and the window, the commands, and the parts that many rooms draw.
package kit

import (
	"image"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
)

// Column stacks parts under each other.
type Column struct {
	Gtx layout.Context
	Gap int // between the parts, pixels

	y int
}

// Add puts a part under those there are.
func (c *Column) Add(w layout.Widget) {
	if c.y > 0 {
		c.y += c.Gap
	}
	off := op.Offset(image.Pt(0, c.y)).Push(c.Gtx.Ops)
	g := c.Gtx
	g.Constraints.Min = image.Point{}
	c.y += w(g).Size.Y
	off.Pop()
}

// Height is how much of the column is filled, pixels.
func (c *Column) Height() int { return c.y }

// Done returns the size of the column: as wide as there is room, as high as its parts.
func (c *Column) Done() layout.Dimensions {
	return layout.Dimensions{Size: image.Pt(c.Gtx.Constraints.Max.X, c.y)}
}

// EndRow lays parts out in a row that ends at the right edge.
func EndRow(gtx layout.Context, parts ...layout.Widget) layout.Dimensions {
	m := op.Record(gtx.Ops)
	d := draw.Row(gtx, 8, parts...)
	c := m.Stop()
	w := gtx.Constraints.Max.X
	defer op.Offset(image.Pt(w-d.Size.X, 0)).Push(gtx.Ops).Pop()
	c.Add(gtx.Ops)
	return layout.Dimensions{Size: image.Pt(w, d.Size.Y)}
}

// Constrained returns gtx for a part as wide as w at most.
func Constrained(gtx layout.Context, w int) layout.Context {
	gtx.Constraints = layout.Constraints{Max: image.Pt(max(w, 1), gtx.Constraints.Max.Y)}
	return gtx
}

// Named gives an area a semantic label, for text that wraps.
func Named(gtx layout.Context, r image.Rectangle, label string) {
	defer clip.Rect(r).Push(gtx.Ops).Pop()
	semantic.LabelOp(label).Add(gtx.Ops)
}

// At lays w out in a part of the window.
func At(gtx layout.Context, r image.Rectangle, w layout.Widget) {
	if r.Dx() <= 0 || r.Dy() <= 0 {
		return
	}
	defer op.Offset(r.Min).Push(gtx.Ops).Pop()
	gtx.Constraints = layout.Exact(r.Size())
	w(gtx)
}
