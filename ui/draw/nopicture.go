package draw

import (
	"image"

	"gioui.org/layout"
)

// NoPicture draws the ground for a picture that is not there, with an icon, which may
// be NoIcon, in its middle.
func (t *Theme) NoPicture(gtx layout.Context, size image.Point, icon Icon) {
	RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(3), t.Surround)
	s := min(gtx.Sp(20), size.X, size.Y)
	t.Icon(gtx.Ops, icon, size.Sub(image.Pt(s, s)).Div(2), s, t.Dim)
}
