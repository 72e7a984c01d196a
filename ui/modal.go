package ui

import (
	"image"

	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/draw"
)

// column stacks parts under each other.
type column struct {
	gtx layout.Context
	gap int
	y   int
}

func (c *column) add(w layout.Widget) {
	if c.y > 0 {
		c.y += c.gap
	}
	off := op.Offset(image.Pt(0, c.y)).Push(c.gtx.Ops)
	g := c.gtx
	g.Constraints.Min = image.Point{}
	c.y += w(g).Size.Y
	off.Pop()
}

func (c *column) done() layout.Dimensions {
	return layout.Dimensions{Size: image.Pt(c.gtx.Constraints.Max.X, c.y)}
}

// endRow lays parts out in a row that ends at the right edge.
func endRow(gtx layout.Context, parts ...layout.Widget) layout.Dimensions {
	m := op.Record(gtx.Ops)
	d := draw.Row(gtx, 8, parts...)
	c := m.Stop()
	w := gtx.Constraints.Max.X
	defer op.Offset(image.Pt(w-d.Size.X, 0)).Push(gtx.Ops).Pop()
	c.Add(gtx.Ops)
	return layout.Dimensions{Size: image.Pt(w, d.Size.Y)}
}

// layoutModal draws a card in the middle of the window over everything else,
// which can't be reached while it is there.
func (a *App) layoutModal(gtx layout.Context, title string, width unit.Sp, body layout.Widget) {
	th := a.theme
	size := gtx.Constraints.Max
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	event.Op(gtx.Ops, &a.scrim)
	pointer.CursorDefault.Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Scrim)
	area.Pop()
	pad := gtx.Dp(22)
	w := min(gtx.Sp(width), size.X-4*pad)
	m := op.Record(gtx.Ops)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(w, size.Y-4*pad)}
	col := column{gtx: g, gap: gtx.Dp(16)}
	col.add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Title, font.SemiBold, th.Text, title)
	})
	col.add(body)
	d := col.done()
	inside := m.Stop()
	card := image.Pt(w+2*pad, d.Size.Y+2*pad)
	defer op.Offset(image.Pt((size.X-card.X)/2, max((size.Y-card.Y)/2, 0))).Push(gtx.Ops).Pop()
	th.Card(gtx, image.Rectangle{Max: card})
	defer clip.Rect(image.Rectangle{Max: card}).Push(gtx.Ops).Pop()
	semantic.LabelOp(title).Add(gtx.Ops)
	event.Op(gtx.Ops, &a.modalArea)
	defer op.Offset(image.Pt(pad, pad)).Push(gtx.Ops).Pop()
	inside.Add(gtx.Ops)
}
