package ui

import (
	"image"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// guidePlace is what stands in the guide's place: parts under each other, and
// buttons at its foot.
type guidePlace struct {
	kit.Column
	a    *App
	size image.Point
	in   clip.Stack
	off  op.TransformStack
}

// beginGuidePlace draws the ground; end closes what it opens.
func (a *App) beginGuidePlace(gtx layout.Context) *guidePlace {
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, a.theme.Panel)
	p := &guidePlace{a: a, size: size, in: clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)}
	pad := gtx.Dp(12)
	p.off = op.Offset(image.Pt(pad, gtx.Dp(8))).Push(gtx.Ops)
	gtx.Constraints = layout.Constraints{Max: image.Pt(size.X-2*pad, size.Y)}
	p.Column = kit.Column{Gtx: gtx, Gap: gtx.Dp(5)}
	return p
}

// room is the height that is left above the buttons.
func (p *guidePlace) room() int {
	return max(p.size.Y-p.Height()-p.Gtx.Dp(24)-p.Gtx.Sp(draw.Compact), 0)
}

// end puts the buttons of some commands at the foot, as many as there is room
// for.
func (p *guidePlace) end(buttons ...guideButton) layout.Dimensions {
	y := max(p.size.Y-p.Gtx.Dp(16)-p.Gtx.Sp(draw.Compact), p.Height())
	foot := op.Offset(image.Pt(0, y)).Push(p.Gtx.Ops)
	p.a.layoutFitting(p.Gtx, buttons)
	foot.Pop()
	p.off.Pop()
	p.in.Pop()
	return layout.Dimensions{Size: p.size}
}
