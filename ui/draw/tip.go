package draw

import (
	"image"
	"time"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
)

// TipSide says where a tooltip goes, so that it stays inside the window.
type TipSide uint8

// Places of a tooltip: below or above the control, with its middle, start or
// end aligned to the control's.
const (
	TipBelow TipSide = iota
	TipBelowStart
	TipBelowEnd
	TipAbove
	TipAboveStart
	TipAboveEnd
)

const tipDelay = 600 * time.Millisecond

// tip times a tooltip.
type tip struct {
	since time.Time
	done  bool // the control was pressed: whoever points knows it
}

// layout shows s beside a control of the given size once it has been pointed
// at for a while and until it is pressed.
func (t *tip) layout(gtx layout.Context, th *Theme, hovered, pressed bool, control image.Point, side TipSide, s, keys string) {
	if s == "" || !hovered {
		*t = tip{}
		return
	}
	if t.done = t.done || pressed; t.done {
		return
	}
	if t.since.IsZero() {
		t.since = gtx.Now
	}
	if due := t.since.Add(tipDelay); gtx.Now.Before(due) {
		gtx.Execute(op.InvalidateCmd{At: due})
		return
	}
	th.Tip(gtx, control, side, s, keys)
}

// Tip draws a tooltip, above everything else, beside a control whose top left
// corner is the origin. keys, if any, names the shortcut.
func (th *Theme) Tip(gtx layout.Context, control image.Point, side TipSide, s, keys string) {
	m := op.Record(gtx.Ops)
	px, py := gtx.Sp(8), gtx.Sp(5)
	text := th.line(gtx, Small, font.Normal, s, gtx.Sp(420))
	w, h := text.width, text.ascent+text.descent
	var cap *line
	if keys != "" {
		cap = th.line(gtx, Small, font.Medium, keys, unlimited)
		w += gtx.Sp(8) + cap.width
	}
	box := image.Pt(w+2*px, h+2*py)
	at := image.Pt((control.X-box.X)/2, control.Y+gtx.Dp(Gap))
	switch side {
	case TipBelowStart, TipAboveStart:
		at.X = 0
	case TipBelowEnd, TipAboveEnd:
		at.X = control.X - box.X
	}
	if side >= TipAbove {
		at.Y = -box.Y - gtx.Dp(Gap)
	}
	r := image.Rectangle{Min: at, Max: at.Add(box)}
	th.Card(gtx, r)
	text.paint(gtx.Ops, at.X+px, at.Y+py, th.Text, s, true)
	if cap != nil {
		cap.paint(gtx.Ops, at.X+box.X-px-cap.width, at.Y+py, th.Dim, keys, false)
	}
	op.Defer(gtx.Ops, m.Stop())
}

// Card draws a raised surface with a hairline and a soft shadow, for tooltips,
// menus and detail cards.
func (th *Theme) Card(gtx layout.Context, r image.Rectangle) {
	rad := gtx.Dp(Radius)
	for i := 3; i >= 1; i-- {
		d := gtx.Dp(2) * i
		RoundRect(gtx.Ops, image.Rect(r.Min.X-d, r.Min.Y-d+gtx.Dp(2), r.Max.X+d, r.Max.Y+d+gtx.Dp(2)), rad+d, Alpha(th.Shadow, 0.3))
	}
	RoundRect(gtx.Ops, r, rad, th.Raised)
	RoundFrame(gtx.Ops, r, float32(rad), float32(max(gtx.Dp(1), 1)), th.Edge)
}
