package kit

import (
	"image"
	"image/color"
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

// Notices is what the program says by itself: a passing line for what has just
// happened, and alerts that stay until they are closed.
type Notices struct {
	passing string
	warning bool // it is of what is not as it should be
	until   time.Time
	fresh   bool
	alerts  []string
	closer  draw.Button
}

// Tell shows a passing notice; an empty one changes nothing.
func (n *Notices) Tell(note bench.Note) {
	if note == "" {
		return
	}
	n.passing, n.fresh, n.warning = string(note), true, false
}

// Warn shows a passing notice of what is not as it should be.
func (n *Notices) Warn(note bench.Note) {
	n.Tell(note)
	n.warning = n.warning || note != ""
}

// Passing is the passing notice that is shown, or "".
func (n *Notices) Passing() string { return n.passing }

// EndPassing takes the passing notice away.
func (n *Notices) EndPassing() { n.passing = "" }

// Alerts are what went wrong and was not closed yet, the oldest first.
func (n *Notices) Alerts() []string { return n.alerts }

// Alert shows something that went wrong, until the coach closes it. The same
// sentence is not stacked up.
func (n *Notices) Alert(text string) {
	for _, t := range n.alerts {
		if t == text {
			return
		}
	}
	n.alerts = append(n.alerts, text)
}

// Update lets the passing notice pass, and closes an alert that was clicked away.
func (n *Notices) Update(gtx layout.Context) {
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
		n.CloseAlert()
	}
}

// CloseAlert takes the oldest alert away and reports whether there was one.
func (n *Notices) CloseAlert() bool {
	if len(n.alerts) == 0 {
		return false
	}
	n.alerts = n.alerts[1:]
	return true
}

// Layout draws the passing notice and the oldest alert above the bottom
// middle of an area of the window.
func (n *Notices) Layout(gtx layout.Context, th *draw.Theme, area image.Rectangle) {
	gtx.Constraints.Min = image.Point{} // a button would be as wide as the window
	bottom := area.Max.Y - gtx.Dp(12)
	middle := (area.Min.X + area.Max.X) / 2
	pad := gtx.Dp(draw.Pad)
	width := min(area.Dx()-4*pad, gtx.Sp(640))
	card := func(text string, ink draw.Icon, colour color.NRGBA, button bool) {
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
		ink, colour := draw.IconInfo, th.Dim
		if n.warning {
			ink, colour = draw.IconWarning, th.Outside
		}
		card(n.passing, ink, colour, false)
	}
	if len(n.alerts) > 0 {
		card(n.alerts[0], draw.IconWarning, th.Danger, true)
	}
}
