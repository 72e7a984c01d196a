package explain

import (
	"math"

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

	tool    annotations.DrawingKind
	stage   int                  // where the drawing begun is
	onto    annotations.FrameRef // and its frame
	begun   []geometry.ImagePt   // its points so far
	pointer geometry.ImagePt     // where the next one would be

	held   string // ID of the drawing in hand, or ""
	handle int    // the point of it, or Whole

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
)

// NewBoard returns a board for a bench.
func NewBoard(b *bench.Bench) *Board { return &Board{bench: b, handle: Whole} }

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
	default:
		return ""
	}
}

// Clear lets go of everything.
func (b *Board) Clear() {
	b.tool = annotations.DrawingUnset
	b.begun = nil
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
	if n == 0 || stage != b.stage || b.begun[n-1] == b.pointer {
		return annotations.Drawing{}, false
	}
	d := annotations.Drawing{Kind: annotations.DrawnLine, Points: append(append([]geometry.ImagePt(nil), b.begun...), b.pointer)}
	if n == 2 {
		d.Kind = annotations.DrawnAngle
	}
	return d, true
}

// Refresh lets go of a drawing that is gone or no longer shown.
func (b *Board) Refresh() {
	shown := func(f annotations.FrameRef) bool {
		st, ok := b.bench.StageOf(f.Clip)
		return ok && b.bench.Stages[st].Frame == f.Index
	}
	if d, _, ok := b.Held(); (b.held != "" || b.noting) && (!ok || !shown(d.Frame)) {
		b.Clear()
	}
	if len(b.begun) > 0 && !shown(b.onto) {
		b.begun = nil
		b.drag.on = false
	}
}

// frame is the frame a stage shows.
func (b *Board) frame(stage int) annotations.FrameRef {
	st := &b.bench.Stages[stage]
	f := annotations.FrameRef{Clip: st.Clip, Index: st.Frame, PTSUnknown: st.Film == nil}
	if st.Film != nil {
		f.PTS = st.Film.PTS(st.Frame)
	}
	return f
}

// drawings returns what is drawn on the frame a stage shows.
func (b *Board) drawings(stage int) []*annotations.Drawing {
	st := &b.bench.Stages[stage]
	sw := b.bench.Swing()
	var out []*annotations.Drawing
	for i := range sw.Drawings {
		if d := &sw.Drawings[i]; d.Frame.Clip == st.Clip && d.Frame.Index == st.Frame {
			out = append(out, d)
		}
	}
	return out
}

// Press takes hold of a drawing, or draws with the tool in hand. radius is how
// near counts, window pixels; plate names the drawing whose text is shown at a
// place. taken is false where there is nothing to take hold of.
func (b *Board) Press(stage int, at bench.ScreenPt, size bench.Size, radius float64, plate func(bench.ScreenPt) string) (taken bool, note bench.Note) {
	if b.bench.Stages[stage].Film == nil {
		return false, ""
	}
	b.bench.Activate(stage)
	b.end()
	if b.tool != annotations.DrawingUnset {
		return true, b.draw(stage, at, size)
	}
	b.noting = false
	b.held, b.handle = b.hit(stage, at, size, radius, plate)
	d, _, ok := b.Held()
	if !ok {
		return false, ""
	}
	b.drag.on, b.drag.build, b.drag.stage, b.drag.from = true, false, stage, at
	b.drag.points = append(b.drag.points[:0], d.Points...)
	return true, ""
}

// hit returns the drawing at a place and which of its points: the nearest
// handle, else a text, else the nearest line.
func (b *Board) hit(stage int, at bench.ScreenPt, size bench.Size, radius float64, plate func(bench.ScreenPt) string) (id string, handle int) {
	port := b.bench.Stages[stage].Port
	screen := func(p geometry.ImagePt) geometry.ImagePt {
		return geometry.ImagePt(port.ToScreen(bench.PicturePt(p), size))
	}
	here := geometry.ImagePt(at)
	best := radius
	list := b.drawings(stage)
	for _, d := range list {
		for k, p := range d.Points {
			if r := dist(screen(p), here); r <= best {
				best, id, handle = r, d.ID, k
			}
		}
	}
	if id != "" {
		return id, handle
	}
	if plate != nil {
		if id := plate(at); id != "" {
			return id, Whole
		}
	}
	best = radius * 0.6
	for _, d := range list {
		for k := 1; k < len(d.Points); k++ {
			p, q := screen(d.Points[k-1]), screen(d.Points[k])
			t, ok := foot(p, q, here)
			if !ok || t < 0 || t > 1 {
				continue
			}
			if r := dist(along(p, q, t), here); r <= best {
				best, id = r, d.ID
			}
		}
	}
	return id, Whole
}

// inside returns the place of the picture under the pointer, moved into the
// picture.
func (b *Board) inside(stage int, at bench.ScreenPt, size bench.Size) geometry.ImagePt {
	st := &b.bench.Stages[stage]
	p := st.Port.ToPicture(at, size)
	return geometry.ImagePt{X: clamp(p.X, 0, st.Picture.W), Y: clamp(p.Y, 0, st.Picture.H)}
}

func clamp(v, low, high float64) float64 { return math.Min(math.Max(v, low), high) }

// draw puts the next point of a drawing down.
func (b *Board) draw(stage int, at bench.ScreenPt, size bench.Size) bench.Note {
	p := b.inside(stage, at, size)
	if b.tool == annotations.DrawnNote {
		b.tool = annotations.DrawingUnset
		b.note = annotations.Drawing{ID: annotations.NewID(), Kind: annotations.DrawnNote, Frame: b.frame(stage), Points: []geometry.ImagePt{p}}
		b.stage, b.noting = stage, true
		return ""
	}
	if stage != b.stage {
		b.begun = nil
	}
	b.stage, b.onto, b.pointer = stage, b.frame(stage), p
	b.drag.on, b.drag.build, b.drag.stage, b.drag.from = true, true, stage, at
	return b.put(p)
}

// put adds a point to the drawing begun, and ends it with the last one.
func (b *Board) put(p geometry.ImagePt) bench.Note {
	scale := b.bench.Stages[b.stage].Port.Scale
	if n := len(b.begun); n > 0 && dist(b.begun[n-1], p)*scale <= slop {
		return ""
	}
	b.begun = append(b.begun, p)
	if len(b.begun) < b.tool.Points() {
		return ""
	}
	d := annotations.Drawing{ID: annotations.NewID(), Kind: b.tool, Frame: b.onto, Points: b.begun}
	b.Clear()
	if note := b.set(d, false, drawing); note != "" {
		return note
	}
	b.held, b.handle = d.ID, Whole
	return ""
}

// set writes a drawing as part of the present gesture, or of a new one where
// that does something else.
func (b *Board) set(d annotations.Drawing, change bool, a act) bench.Note {
	if a != b.act {
		b.gesture++
		b.act = a
	}
	err := b.bench.Editor().Apply(annotations.SetDrawing{
		Swing: b.bench.Swing().ID, Drawing: d, Gesture: b.gesture, Change: change,
	})
	if err != nil {
		return bench.Note(err.Error())
	}
	return ""
}

// Move follows the pointer between clicks.
func (b *Board) Move(stage int, at bench.ScreenPt, size bench.Size) {
	if stage == b.stage && len(b.begun) > 0 {
		b.pointer = b.inside(stage, at, size)
	}
}

// Dragging reports whether something is in the hand with the button held.
func (b *Board) Dragging() bool { return b.drag.on }

// Drag moves what Press took hold of.
func (b *Board) Drag(at bench.ScreenPt, size bench.Size) bench.Note {
	if !b.drag.on {
		return ""
	}
	if b.drag.build {
		b.Move(b.stage, at, size)
		return ""
	}
	scale := b.bench.Stages[b.drag.stage].Port.Scale
	return b.shift(moving, b.drag.points, (at.X-b.drag.from.X)/scale, (at.Y-b.drag.from.Y)/scale)
}

// Release ends a press: a drag with the tool in hand puts down a point where it
// ends.
func (b *Board) Release(at bench.ScreenPt, size bench.Size) bench.Note {
	if !b.drag.on {
		return ""
	}
	build := b.drag.build
	b.drag.on = false
	if !build {
		b.end()
		return ""
	}
	if math.Hypot(at.X-b.drag.from.X, at.Y-b.drag.from.Y) <= slop || len(b.begun) == 0 {
		return ""
	}
	return b.put(b.inside(b.stage, at, size))
}

// Cancel ends a press that the system took away; a drawing goes back to where
// it was.
func (b *Board) Cancel() {
	if b.drag.on && !b.drag.build {
		b.shift(moving, b.drag.points, 0, 0)
	}
	b.drag.on = false
	b.begun = nil
	b.end()
}

// shift puts the drawing in hand, or the point of it that is in hand, at a
// distance from where points say, within the picture.
func (b *Board) shift(a act, points []geometry.ImagePt, dx, dy float64) bench.Note {
	d, handle, ok := b.Held()
	if !ok || len(points) != len(d.Points) {
		b.drag.on = false
		return ""
	}
	c := b.bench.Swing().Clip(d.Frame.Clip)
	w, h := float64(c.Width), float64(c.Height)
	to := *d
	to.Points = append([]geometry.ImagePt(nil), points...)
	if handle != Whole {
		to.Points[handle] = geometry.ImagePt{X: clamp(points[handle].X+dx, 0, w), Y: clamp(points[handle].Y+dy, 0, h)}
		for k := range to.Points {
			if k != handle && dist(to.Points[k], to.Points[handle]) < 1 {
				return "" // on another of its points it would be no line
			}
		}
	} else {
		for _, p := range points {
			dx = clamp(dx, math.Min(-p.X, 0), math.Max(w-p.X, 0))
			dy = clamp(dy, math.Min(-p.Y, 0), math.Max(h-p.Y, 0))
		}
		for k, p := range points {
			to.Points[k] = geometry.ImagePt{X: p.X + dx, Y: p.Y + dy}
		}
	}
	if b.noting {
		b.note.Points = to.Points
		return ""
	}
	return b.set(to, true, a)
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
	st := &b.bench.Stages[stage]
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
