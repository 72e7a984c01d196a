package explain

import (
	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
)

// Whole is the handle of a drawing as a whole.
const Whole = -1

// slop is how far the hand may tremble in a mere click, window pixels.
const slop = 3

// Board is what the coach's hand can do with drawings on the frames that the
// stages of a bench show. It never touches marks. One goroutine.
type Board struct {
	bench *bench.Bench
	show  func() *bench.Show // what the stages show: the bench, or two swings compared

	tool    annotations.DrawingKind
	stage   int                  // where the drawing begun is
	onto    annotations.FrameRef // and its frame
	begun   []geometry.ImagePt   // its points so far
	pointer geometry.ImagePt     // where the next one would be

	held   string // ID of the drawing in hand, or ""
	handle int    // the point of it, or Whole
	last   string // ID of the drawing that was in hand last, or ""
	stroke annotations.Stroke

	note    annotations.Drawing // a note that has no text yet
	noting  bool
	gesture uint64
	act     act // what the gesture does so far

	drag struct {
		on     bool
		stage  int
		from   bench.ScreenPt
		points []geometry.ImagePt // of the drawing when the drag began
		build  bool               // a drawing is being begun
	}
}

// act is a way of changing a drawing. What is done one way without a break is
// one step of undo.
type act uint8

const (
	noAct act = iota
	drawing
	moving
	nudging
	typing
	styling
)

// NewBoard returns a board for a bench. show is what the stages show: of two swings that
// are compared only the one on the bench can be drawn on.
func NewBoard(b *bench.Bench, show func() *bench.Show) *Board {
	return &Board{bench: b, show: show, handle: Whole}
}

// mine reports whether a stage shows a clip of the swing on the bench.
func (b *Board) mine(stage int) bool {
	sh := b.show()
	return sh == &b.bench.Show || stage == 0
}

// stageOf returns the stage on which a clip of the swing on the bench is seen.
func (b *Board) stageOf(clip string) (int, bool) {
	sh := b.show()
	for i := range sh.Stages {
		if b.mine(i) && sh.Stages[i].Clip == clip && clip != "" {
			return i, true
		}
	}
	return 0, false
}

// Tool returns what the next click begins to draw; DrawingUnset is nothing.
func (b *Board) Tool() annotations.DrawingKind { return b.tool }

// Take takes a tool in hand, or puts it down if it is in hand.
func (b *Board) Take(kind annotations.DrawingKind) bench.Note {
	if b.tool == kind {
		kind = annotations.DrawingUnset
	}
	b.Clear()
	b.tool = kind
	switch kind {
	case annotations.DrawnLine:
		return "Drag along the line, or click its two ends."
	case annotations.DrawnAngle:
		return "Click one end, the corner, and the other end."
	case annotations.DrawnNote:
		return "Click where the note belongs, then type it."
	case annotations.DrawnArrow:
		return "Drag from its end to its head, or click both."
	case annotations.DrawnCircle:
		return "Drag from the middle outward, or click the middle and a place on the circle."
	case annotations.DrawnBox:
		return "Drag from corner to corner, or click both."
	case annotations.DrawnFreehand:
		return "Draw with the button held down, as many lines as you like. Esc puts the pen down."
	default:
		return ""
	}
}

// Clear lets go of everything.
func (b *Board) Clear() {
	b.tool = annotations.DrawingUnset
	b.begun = nil
	if b.held != "" {
		b.last = b.held
	}
	b.held, b.handle = "", Whole
	b.noting = false
	b.drag.on = false
	b.end()
}

// end ends a gesture.
func (b *Board) end() {
	b.gesture++
	b.act = noAct
}

// LetGo lets go of what was taken last: a drawing begun, the tool, the drawing
// in hand. It reports whether there was something.
func (b *Board) LetGo() bool {
	switch {
	case len(b.begun) > 0:
		b.begun = nil
		b.drag.on = false
	case b.tool != annotations.DrawingUnset, b.noting, b.held != "":
		b.Clear()
	default:
		return false
	}
	return true
}

// Held returns the drawing in hand and which of its points, or Whole. A note
// that has no text yet is in hand, too.
func (b *Board) Held() (d *annotations.Drawing, handle int, ok bool) {
	if b.noting {
		return &b.note, Whole, true
	}
	if b.held == "" {
		return nil, Whole, false
	}
	d = b.bench.Swing().Drawing(b.held)
	return d, b.handle, d != nil
}

// Begun returns a drawing that is being made on a stage, as far as it has got,
// the last point where the pointer is.
func (b *Board) Begun(stage int) (annotations.Drawing, bool) {
	if b.noting && stage == b.stage {
		return b.note, true
	}
	n := len(b.begun)
	if n == 0 || stage != b.stage {
		return annotations.Drawing{}, false
	}
	d := annotations.Drawing{Kind: b.tool, Stroke: b.stroke, Points: b.begun}
	switch {
	case b.tool == annotations.DrawnFreehand:
		return d, n > 1
	case b.begun[n-1] == b.pointer:
		return annotations.Drawing{}, false
	case b.tool == annotations.DrawnAngle && n == 1:
		d.Kind = annotations.DrawnLine
	}
	d.Points = append(append([]geometry.ImagePt(nil), b.begun...), b.pointer)
	return d, true
}

// Refresh lets go of a drawing that is gone or no longer shown.
func (b *Board) Refresh() {
	if d, _, ok := b.Held(); (b.held != "" || b.noting) && (!ok || !b.shown(d)) {
		pen := b.tool // freehand it stays in hand
		b.Clear()
		b.tool = pen
	}
	if len(b.begun) > 0 && !b.shown(&annotations.Drawing{Frame: b.onto}) {
		b.begun = nil
		b.drag.on = false
	}
}

// shown reports whether a drawing is seen on a stage now.
func (b *Board) shown(d *annotations.Drawing) bool {
	st, ok := b.stageOf(d.Frame.Clip)
	return ok && d.On(d.Frame.Clip, b.show().Stages[st].Frame)
}

// frame is the frame a stage shows.
func (b *Board) frame(stage int) annotations.FrameRef {
	st := &b.show().Stages[stage]
	f := annotations.FrameRef{Clip: st.Clip, Index: st.Frame, PTSUnknown: st.Film == nil}
	if st.Film != nil {
		f.PTS = st.Film.PTS(st.Frame)
	}
	return f
}

// drawings returns what is drawn on the frame a stage shows.
func (b *Board) drawings(stage int) []*annotations.Drawing {
	st := &b.show().Stages[stage]
	sw := b.bench.Swing()
	var out []*annotations.Drawing
	if !b.mine(stage) {
		return nil
	}
	for i := range sw.Drawings {
		if d := &sw.Drawings[i]; d.On(st.Clip, st.Frame) {
			out = append(out, d)
		}
	}
	return out
}

// Nudge moves what is in hand, if anything, by picture pixels.
func (b *Board) Nudge(dx, dy float64) bench.Note {
	d, _, ok := b.Held()
	if !ok {
		return ""
	}
	return b.shift(nudging, d.Points, dx, dy)
}

// Delete takes the drawing in hand away.
func (b *Board) Delete() bench.Note {
	d, _, ok := b.Held()
	if !ok {
		return "Click a drawing first; then Delete takes it away."
	}
	kind, id, noting := d.Kind, d.ID, b.noting
	b.Clear()
	if noting {
		return ""
	}
	if err := b.bench.Editor().Apply(annotations.DeleteDrawing{Swing: b.bench.Swing().ID, ID: id, Kind: kind}); err != nil {
		return bench.Note(err.Error())
	}
	return bench.Note("The " + kind.String() + " is taken away. Ctrl+Z brings it back.")
}

// SetText changes what is written at the drawing in hand. What is typed without
// a break is one step of undo. A note keeps its last word: without any it would
// be none.
func (b *Board) SetText(text string) bench.Note {
	d, _, ok := b.Held()
	if !ok || d.Text == text || d.Kind == annotations.DrawnNote && text == "" && !b.noting {
		return ""
	}
	to := *d
	to.Text = text
	if !b.noting {
		return b.set(to, true, typing)
	}
	if note := b.set(to, false, typing); note != "" {
		return note
	}
	b.noting = false
	b.held, b.handle = to.ID, Whole
	return ""
}

// Neighbour returns the next frame of a stage's clip after the one shown (step
// 1), or before it (step -1), that the coach has drawn on.
func (b *Board) Neighbour(stage, step int) (frame int, ok bool) {
	st := &b.show().Stages[stage]
	sw := b.bench.Swing()
	for i := range sw.Drawings {
		f := sw.Drawings[i].Frame
		if f.Clip != st.Clip || (f.Index-st.Frame)*step <= 0 {
			continue
		}
		if !ok || (frame-f.Index)*step > 0 {
			frame, ok = f.Index, true
		}
	}
	return frame, ok
}
