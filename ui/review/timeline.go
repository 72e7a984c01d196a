package review

import (
	"image"

	"gioui.org/gesture"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
)

// timeline is the time of a review with the wave of the voice; a click or a drag goes to a
// time.
type timeline struct {
	drag   gesture.Drag
	levels []float32 // 0 to 1, over the whole length
	width  int       // as last laid out, pixels
}

// waveParts is how finely the wave is drawn.
const waveParts = 600

// hear makes the wave: the level of each part, by its decibels.
func (t *timeline) hear(sound []float32, _ float64) {
	t.levels = nil
	if len(sound) == 0 {
		return
	}
	t.levels = make([]float32, waveParts)
	for i := range t.levels {
		most := float32(0)
		for _, v := range sound[i*len(sound)/waveParts : (i+1)*len(sound)/waveParts] {
			most = max(most, v, -v)
		}
		t.levels[i] = float32(min(max((decibels(float64(most))-meterLow)/-meterLow, 0), 1))
	}
}

// update returns the part of the length that the coach went to.
func (t *timeline) update(gtx layout.Context) (part float64, ok bool) {
	for {
		e, more := t.drag.Update(gtx.Metric, gtx.Source, gesture.Horizontal)
		if !more {
			return part, ok
		}
		if (e.Kind == pointer.Press || e.Kind == pointer.Drag) && t.width > 0 {
			part, ok = min(max(float64(e.Position.X)/float64(t.width), 0), 1), true
		}
	}
}

// layout draws the line: at is where it is shown, from where a cut begins, both as parts of
// the length; from is below 0 for none.
func (t *timeline) layout(gtx layout.Context, th *draw.Theme, at, from float64) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(56))
	t.width = size.X
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
	x := func(part float64) int { return int(part * float64(size.X)) }
	if from >= 0 && at > from {
		draw.Fill(gtx.Ops, image.Rect(x(from), 0, x(at), size.Y), th.AccentLow)
	}
	for i, l := range t.levels {
		half := max(int(l*float32(size.Y)*0.45), 1)
		draw.Fill(gtx.Ops, image.Rect(x(float64(i)/waveParts), size.Y/2-half, max(x(float64(i+1)/waveParts), x(float64(i)/waveParts)+1), size.Y/2+half), th.Ghost)
	}
	if from >= 0 {
		draw.Fill(gtx.Ops, image.Rect(x(from), 0, x(from)+gtx.Dp(2), size.Y), th.Outside)
	}
	draw.Fill(gtx.Ops, image.Rect(x(at), 0, x(at)+gtx.Dp(2), size.Y), th.Accent)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Time of the review").Add(gtx.Ops)
	pointer.CursorPointer.Add(gtx.Ops)
	t.drag.Add(gtx.Ops)
	return layout.Dimensions{Size: size}
}
