package kit

import (
	"image"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
)

// Guide is what a room puts in the guide's place, beside the key positions:
// parts under each other, and buttons of commands at the foot.
type Guide struct {
	Column
	size image.Point
	in   clip.Stack
	off  op.TransformStack
}

// GuideButton is a command with a short label.
type GuideButton struct{ ID, Label string }

// BeginGuide draws the ground; End closes what it opens.
func BeginGuide(gtx layout.Context, th *draw.Theme) *Guide {
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	g := &Guide{size: size, in: clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)}
	pad := gtx.Dp(12)
	g.off = op.Offset(image.Pt(pad, gtx.Dp(8))).Push(gtx.Ops)
	gtx.Constraints = layout.Constraints{Max: image.Pt(size.X-2*pad, size.Y)}
	g.Column = Column{Gtx: gtx, Gap: gtx.Dp(5)}
	return g
}

// Room is the height that is left above the buttons, pixels.
func (g *Guide) Room() int {
	return max(g.size.Y-g.Height()-g.Gtx.Dp(24)-g.Gtx.Sp(draw.Compact), 0)
}

// End has row draw the buttons of some commands at the foot, as many as there is
// room for.
func (g *Guide) End(row func(layout.Context, []GuideButton) layout.Dimensions, buttons ...GuideButton) layout.Dimensions {
	y := max(g.size.Y-g.Gtx.Dp(16)-g.Gtx.Sp(draw.Compact), g.Height())
	foot := op.Offset(image.Pt(0, y)).Push(g.Gtx.Ops)
	row(g.Gtx, buttons)
	foot.Pop()
	g.off.Pop()
	g.in.Pop()
	return layout.Dimensions{Size: g.size}
}
