package review

import (
	"image"
	"math"

	"gioui.org/gesture"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	annotated "turngauge/annotations/review"
	"turngauge/ui/draw"
)

// timeline is the time of a review with the wave of the voice. A click or a drag goes to a
// time, with Shift held it marks a passage; below the wave stand marks of what happens, and
// the drawings, which are dragged to another time.
type timeline struct {
	drag   gesture.Drag
	levels []float32 // 0 to 1, over the whole length
	size   image.Point
	waves  int // height of the wave, pixels
	lane   int // top of the drawings, pixels

	marking bool    // a passage is being marked
	begun   float64 // where, part of the length
	held    taken
}

// taken is a drawing under the pointer: all of it, or one of its ends.
type taken struct {
	id       string
	at       float64 // where it was taken, part of the length
	span     annotated.Span
	from, to bool // which ends move
}

// waveParts is how finely the wave is drawn.
const waveParts = 600

// hear makes the wave: the level of each part, by its decibels.
func (t *timeline) hear(sound []float32) {
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

// did is what was done on the time line; parts are of the length.
type did struct {
	went   bool
	at     float64
	marked bool // the passage is from begun to at
	begun  float64
	chosen string // a drawing was taken hold of
	drawn  annotated.Span
	held   bool // it is dragged to drawn
	moved  bool // and let go there
}

// update returns what was done. shown are the drawings, in parts of the length.
func (t *timeline) update(gtx layout.Context, shown []bar) (d did) {
	for {
		e, more := t.drag.Update(gtx.Metric, gtx.Source, gesture.Horizontal)
		if !more {
			return d
		}
		if t.size.X == 0 {
			continue
		}
		x, y := float64(e.Position.X)/float64(t.size.X), int(e.Position.Y)
		x = min(max(x, 0), 1)
		switch e.Kind {
		case pointer.Press:
			t.held, t.marking, t.begun = taken{}, false, x
			if y >= t.lane && t.lane > 0 {
				t.held = t.grab(shown, x, float64(gtx.Dp(7))/float64(t.size.X))
				d.chosen = t.held.id
			}
			if t.held.id == "" {
				t.marking = e.Modifiers.Contain(key.ModShift)
				d.went, d.at = !t.marking, x
			}
		case pointer.Drag:
			switch {
			case t.held.id != "":
				d.held, d.drawn = true, t.held.dragged(x)
			case t.marking:
				d.marked, d.begun, d.at = true, t.begun, x
			default:
				d.went, d.at = true, x
			}
		case pointer.Release:
			if t.held.id != "" && math.Abs(x-t.held.at)*float64(t.size.X) > 2 {
				d.chosen, d.moved, d.drawn = t.held.id, true, t.held.dragged(x)
			}
			t.held, t.marking = taken{}, false
		case pointer.Cancel:
			t.held, t.marking = taken{}, false
		}
	}
}

// grab takes hold of the drawing at a place, by an end if that is near.
func (t *timeline) grab(shown []bar, x, near float64) (h taken) {
	for _, b := range shown {
		if x < b.From-near || x > b.To+near {
			continue
		}
		h = taken{id: b.id, at: x, span: b.Span}
		h.from, h.to = x-b.From < near, b.To-x < near
		if !h.from && !h.to || h.from && h.to {
			h.from, h.to = true, true
		}
		if b.chosen {
			break
		}
	}
	return h
}

// dragged is where the drawing lies when its hold has come to a place.
func (h *taken) dragged(x float64) annotated.Span {
	s := h.span
	if h.from {
		s.From += x - h.at
	}
	if h.to {
		s.To += x - h.at
	}
	return s
}

// bar is a drawing on the time line, in parts of the length.
type bar struct {
	annotated.Span
	id, text string
	chosen   bool
}

// shows is what the time line shows, in parts of the length.
type shows struct {
	at       float64
	from, to float64 // the passage; from is below 0 for none, to where only its beginning is marked
	silent   []annotated.Span
	anew     []annotated.Span
	joints   []float64 // where something was cut out
	marks    []mark
	drawings []bar
}

const (
	waveHeight unit.Sp = 52
	markHeight unit.Sp = 18
	barHeight  unit.Sp = 16
)

func (t *timeline) layout(gtx layout.Context, th *draw.Theme, s *shows) layout.Dimensions {
	t.waves = gtx.Sp(waveHeight)
	t.size = image.Pt(gtx.Constraints.Max.X, t.waves+gtx.Sp(markHeight))
	t.lane = 0
	if len(s.drawings) > 0 {
		t.lane = t.size.Y
		t.size.Y += gtx.Sp(barHeight) + gtx.Dp(2)
	}
	wave := image.Rect(0, 0, t.size.X, t.waves)
	x := func(part float64) int { return int(part * float64(t.size.X)) }
	stretch := func(p annotated.Span, y0, y1 int) image.Rectangle {
		return image.Rect(x(p.From), y0, max(x(p.To), x(p.From)+1), y1)
	}
	draw.RoundRect(gtx.Ops, wave, gtx.Dp(draw.Radius), th.Line)
	draw.RoundRect(gtx.Ops, wave.Inset(gtx.Dp(1)), gtx.Dp(draw.Radius), th.Well)
	if s.from >= 0 {
		draw.Fill(gtx.Ops, stretch(annotated.Span{From: s.from, To: max(s.from, s.to)}, 0, t.waves), th.AccentLow)
	}
	for i, l := range t.levels {
		half := max(int(l*float32(t.waves)*0.45), 1)
		draw.Fill(gtx.Ops, image.Rect(x(float64(i)/waveParts), t.waves/2-half, max(x(float64(i+1)/waveParts), x(float64(i)/waveParts)+1), t.waves/2+half), th.Ghost)
	}
	for _, p := range s.silent {
		r := stretch(p, 0, t.waves)
		draw.Fill(gtx.Ops, image.Rect(r.Min.X, t.waves/2-1, r.Max.X, t.waves/2+1), th.Well)
		for at := r.Min.X; at < r.Max.X; at += gtx.Dp(6) { // a dotted line: nothing is heard
			draw.Fill(gtx.Ops, image.Rect(at, t.waves/2-gtx.Dp(1), min(at+gtx.Dp(3), r.Max.X), t.waves/2+gtx.Dp(1)), th.Dim)
		}
		t.label(gtx, th, r, "silent")
	}
	for _, p := range s.anew {
		r := stretch(p, 0, t.waves)
		draw.Fill(gtx.Ops, image.Rect(r.Min.X, 0, r.Max.X, gtx.Dp(3)), th.Accent)
		t.label(gtx, th, r, "anew")
	}
	for _, j := range s.joints {
		draw.Fill(gtx.Ops, image.Rect(x(j), 0, x(j)+gtx.Dp(1), t.waves), th.Dim)
		draw.Fill(gtx.Ops, image.Rect(x(j)-gtx.Dp(3), 0, x(j)+gtx.Dp(4), gtx.Dp(3)), th.Dim)
	}
	for _, e := range []float64{s.from, s.to} {
		if e >= 0 && s.from >= 0 {
			draw.Fill(gtx.Ops, image.Rect(x(e), 0, x(e)+gtx.Dp(2), t.waves), th.Outside)
		}
	}
	layoutMarks(gtx, th, s.marks, t.size.X, t.waves)
	t.layoutDrawings(gtx, th, s.drawings)
	draw.Fill(gtx.Ops, image.Rect(x(s.at), 0, x(s.at)+gtx.Dp(2), t.size.Y), th.Accent)
	defer clip.Rect(image.Rectangle{Max: t.size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Time of the review").Add(gtx.Ops)
	pointer.CursorPointer.Add(gtx.Ops)
	t.drag.Add(gtx.Ops)
	return layout.Dimensions{Size: t.size}
}

// label writes what a stretch of the wave is, if there is room.
func (t *timeline) label(gtx layout.Context, th *draw.Theme, r image.Rectangle, text string) {
	d, _ := th.TextSize(gtx, draw.Small, labelWeight, text)
	if d.X+gtx.Dp(6) > r.Dx() {
		return
	}
	defer op.Offset(image.Pt(r.Min.X+(r.Dx()-d.X)/2, t.waves-d.Y)).Push(gtx.Ops).Pop()
	th.Label(gtx, draw.Small, labelWeight, th.Dim, text)
}
