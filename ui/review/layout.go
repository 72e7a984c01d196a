package review

import (
	"fmt"
	"image"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

const (
	headHeight unit.Sp = 44
	planHeight unit.Sp = 30
	moreHeight unit.Sp = 16 // where it is said how many there is no room for
	mostPlans          = 10 // cards beside each other
)

// room is how many cards there is room for: they take no more than two fifths of the side, so
// that the sheet can be read.
func (r *Room) room(gtx layout.Context) int {
	return min(max((gtx.Constraints.Max.Y*2/5-gtx.Sp(headHeight))/gtx.Sp(planHeight), 2), mostPlans)
}

// Height is how much of the window's side the panel takes, pixels; 0 while nothing is
// recorded.
func (r *Room) Height(gtx layout.Context) int {
	if r.recorder == nil {
		return 0
	}
	h := gtx.Sp(headHeight) + min(len(r.cards), r.room(gtx))*gtx.Sp(planHeight) + gtx.Dp(8)
	if len(r.cards) > r.room(gtx) {
		h += gtx.Sp(moreHeight)
	}
	return h
}

// Layout draws the panel: a light, how long it has been, the level of the microphone, and
// the cards of what is to be said.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, size := r.host.Theme(), gtx.Constraints.Max
	if r.recorder == nil {
		return layout.Dimensions{}
	}
	gtx.Constraints.Min = image.Point{}
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	draw.Fill(gtx.Ops, image.Rect(0, size.Y-1, size.X, size.Y), th.Line)
	pad, mid := gtx.Dp(12), float32(gtx.Sp(headHeight))/2
	draw.Circle(gtx.Ops, f32.Pt(float32(pad)+float32(gtx.Dp(7)), mid), float32(gtx.Dp(7)), th.Outside)
	what := "Recording "
	if r.anew != nil {
		what = "Said anew "
	}
	at := th.TextAt(gtx, f32.Pt(float32(pad+gtx.Dp(22)), mid), 0, 0.5, draw.Body, font.SemiBold, th.Text, what+clock(r.recorder.Elapsed()))

	m := op.Record(gtx.Ops)
	d := th.Button(gtx, &r.end, draw.ButtonStyle{Label: "End", Name: "End recording", Kind: draw.Primary, Compact: true, Keys: r.host.Shortcut("narrate")})
	button := m.Stop()
	off := op.Offset(image.Pt(size.X-pad-d.Size.X, int(mid)-d.Size.Y/2)).Push(gtx.Ops)
	button.Add(gtx.Ops)
	off.Pop()
	bar := image.Rect(at.Max.X+pad, int(mid)-gtx.Dp(5), size.X-2*pad-d.Size.X, int(mid)+gtx.Dp(5))
	if bar.Dx() > gtx.Dp(30) {
		r.layoutMeter(gtx, bar)
	}
	if more := len(r.cards) - (size.Y-gtx.Sp(headHeight))/gtx.Sp(planHeight); more > 0 {
		th.TextAt(gtx, f32.Pt(float32(pad+gtx.Dp(22)), float32(size.Y-gtx.Dp(6))), 0, 1, draw.Small, font.Normal, th.Dim, fmt.Sprintf("%d more, as these are ticked off", more))
	}
	first, last := r.seen((size.Y - gtx.Sp(headHeight)) / gtx.Sp(planHeight))
	for i := first; i < last; i++ {
		y := gtx.Sp(headHeight) + (i-first)*gtx.Sp(planHeight)
		kit.At(gtx, image.Rect(pad, y, size.X-pad, y+gtx.Sp(planHeight)), func(gtx layout.Context) layout.Dimensions {
			name := "Say: " + r.cards[i].text
			icon := draw.IconBox
			if r.cards[i].said {
				name, icon = "Said: "+r.cards[i].text, draw.IconTicked
			}
			return th.Button(gtx, &r.buttons[i], draw.ButtonStyle{Label: r.cards[i].text, Name: name, Icon: icon, Kind: draw.Quiet, Compact: true, Toggle: true, On: r.cards[i].said, Fill: true, Start: true, Tip: r.cards[i].text, TipSide: draw.TipBelow})
		})
	}
	return layout.Dimensions{Size: size}
}

// mostOpening is how long a microphone may take until it is heard, and a clip until it is shown,
// seconds.
const mostOpening = 10

// The meter's scale, dBFS: speech into a microphone that is set well peaks between -20 and
// -6 (common practice, no source).
const (
	meterLow  = -50.0
	meterGood = -20.0
	meterLoud = -3.0
)

// layoutMeter draws the level of the microphone, or that there is none.
func (r *Room) layoutMeter(gtx layout.Context, bar image.Rectangle) {
	th := r.host.Theme()
	level, ok := r.recorder.Level()
	if !ok {
		text := "no sound"
		if r.quiet == "" && r.recorder.Elapsed() < mostOpening {
			text = "…"
		}
		th.TextAt(gtx, f32.Pt(float32(bar.Min.X), float32(bar.Min.Y+bar.Max.Y)/2), 0, 0.5, draw.Small, font.Medium, th.Dim, text)
		return
	}
	draw.RoundRect(gtx.Ops, bar, gtx.Dp(3), th.Track)
	x := func(db float64) int {
		part := min(max((db-meterLow)/-meterLow, 0), 1)
		return bar.Min.X + int(part*float64(bar.Dx()))
	}
	db := decibels(level)
	ink := th.Accent
	if db > meterLoud {
		ink = th.Danger
	}
	draw.RoundRect(gtx.Ops, image.Rect(bar.Min.X, bar.Min.Y, x(db), bar.Max.Y), gtx.Dp(3), ink)
	for _, mark := range []float64{meterGood, meterLoud} {
		draw.Fill(gtx.Ops, image.Rect(x(mark), bar.Min.Y-gtx.Dp(3), x(mark)+1, bar.Max.Y+gtx.Dp(3)), th.Dim)
	}
}
