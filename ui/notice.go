package ui

import (
	"image"
	"time"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// How long a notice stays: long enough to be read, by its length.
const (
	noticeLeast   = 3 * time.Second
	noticePerRune = 60 * time.Millisecond
)

// notices is what the program says by itself: a passing line for what has just
// happened, and alerts that stay until they are closed.
type notices struct {
	passing string
	until   time.Time
	fresh   bool
	alerts  []string
	closer  draw.Button
}

// tell shows a passing notice; an empty one changes nothing.
func (a *App) tell(n bench.Note) {
	if n == "" {
		return
	}
	a.notices.passing, a.notices.fresh = string(n), true
}

// alert shows something that went wrong, until the coach closes it. The same
// sentence is not stacked up.
func (a *App) alert(text string) {
	for _, t := range a.notices.alerts {
		if t == text {
			return
		}
	}
	a.notices.alerts = append(a.notices.alerts, text)
}

func (a *App) updateNotices(gtx layout.Context) {
	n := &a.notices
	if n.fresh {
		n.until = gtx.Now.Add(noticeLeast + time.Duration(len(n.passing))*noticePerRune)
		n.fresh = false
	}
	if n.passing != "" {
		if gtx.Now.Before(n.until) {
			gtx.Execute(op.InvalidateCmd{At: n.until})
		} else {
			n.passing = ""
		}
	}
	if n.closer.Clicked(gtx) {
		a.closeAlert()
	}
}

// closeAlert takes the oldest alert away and reports whether there was one.
func (a *App) closeAlert() bool {
	if len(a.notices.alerts) == 0 {
		return false
	}
	a.notices.alerts = a.notices.alerts[1:]
	return true
}

// layoutNotices draws the passing notice and the oldest alert above the bottom
// middle of an area of the window.
func (a *App) layoutNotices(gtx layout.Context, area image.Rectangle) {
	th, n := a.theme, &a.notices
	gtx.Constraints.Min = image.Point{} // a button would be as wide as the window
	bottom := area.Max.Y - gtx.Dp(12)
	middle := (area.Min.X + area.Max.X) / 2
	pad := gtx.Dp(draw.Pad)
	width := min(area.Dx()-4*pad, gtx.Sp(640))
	card := func(text string, ink draw.Icon, button bool) {
		g := gtx
		side := gtx.Sp(18)
		extra := side + gtx.Dp(8)
		if button {
			extra += gtx.Sp(draw.Control) + gtx.Dp(8)
		}
		g.Constraints = layout.Constraints{Max: image.Pt(max(width-extra, gtx.Sp(80)), 1<<20)}
		m := op.Record(gtx.Ops)
		d := th.Paragraph(g, draw.Body, font.Normal, th.Text, text)
		words := m.Stop()
		h := max(d.Size.Y, side)
		if button {
			h = max(h, gtx.Sp(draw.Control))
		}
		w := d.Size.X + extra
		r := image.Rect(middle-w/2-pad, bottom-h-pad, middle+w/2+pad, bottom)
		off := op.Offset(r.Min).Push(gtx.Ops)
		th.Card(gtx, image.Rectangle{Max: r.Size()})
		colour := th.Accent
		if button {
			colour = th.Danger
		}
		th.Icon(gtx.Ops, ink, image.Pt(pad, (r.Dy()-side)/2), side, colour)
		o := op.Offset(image.Pt(pad+side+gtx.Dp(8), (r.Dy()-d.Size.Y)/2)).Push(gtx.Ops)
		words.Add(gtx.Ops)
		o.Pop()
		if button {
			o := op.Offset(image.Pt(r.Dx()-pad-gtx.Sp(draw.Control), (r.Dy()-gtx.Sp(draw.Control))/2)).Push(gtx.Ops)
			th.Button(gtx, &n.closer, draw.ButtonStyle{Icon: draw.IconClose, Name: "Close this message", Kind: draw.Quiet})
			o.Pop()
		}
		off.Pop()
		bottom = r.Min.Y - gtx.Dp(8)
	}
	if n.passing != "" {
		card(n.passing, draw.IconCheck, false)
	}
	if len(n.alerts) > 0 {
		card(n.alerts[0], draw.IconWarning, true)
	}
}
