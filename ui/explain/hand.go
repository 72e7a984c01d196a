package explain

import (
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
)

// Press takes hold of a drawing, or draws with the tool in hand. radius is how
// near counts, window pixels; plate names the drawing whose text is shown at a
// place. taken is false where there is nothing to take hold of.
func (b *Board) Press(stage int, at bench.ScreenPt, size bench.Size, radius float64, plate func(bench.ScreenPt) string) (taken bool, note bench.Note) {
	if b.show().Stages[stage].Film == nil {
		return false, ""
	}
	b.show().Activate(stage)
	b.end()
	if b.tool != annotations.DrawingUnset {
		if !b.mine(stage) {
			return true, "What you draw is kept with the open lesson: draw on its swing, the one beside this."
		}
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
	port := b.show().Stages[stage].Port
	screen := func(p geometry.ImagePt) geometry.ImagePt {
		return geometry.ImagePt(port.ToScreen(bench.PicturePt(p), size))
	}
	here := geometry.ImagePt(at)
	best := radius
	list := b.drawings(stage)
	for _, d := range list {
		if d.Kind == annotations.DrawnFreehand {
			continue // it moves as a whole
		}
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
		line, closed := outline(d)
		if closed {
			line = append(line, line[0])
		}
		for k := 1; k < len(line); k++ {
			p, q := screen(line[k-1]), screen(line[k])
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
	st := &b.show().Stages[stage]
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
	scale := b.show().Stages[b.stage].Port.Scale
	if n := len(b.begun); n > 0 && dist(b.begun[n-1], p)*scale <= slop {
		return ""
	}
	b.begun = append(b.begun, p)
	if len(b.begun) < b.tool.Points() || b.tool == annotations.DrawnFreehand {
		return ""
	}
	return b.finish()
}

// finish makes a drawing of what was begun.
func (b *Board) finish() bench.Note {
	d := annotations.Drawing{ID: annotations.NewID(), Kind: b.tool, Frame: b.onto, Points: b.begun, Stroke: b.stroke}
	b.Clear()
	if note := b.set(d, false, drawing); note != "" {
		return note
	}
	b.held, b.handle = d.ID, Whole
	if d.Kind == annotations.DrawnFreehand { // one line of it seldom says all
		b.tool = d.Kind
	}
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
		if b.tool == annotations.DrawnFreehand && len(b.begun) > 0 {
			b.put(b.pointer)
			if len(b.begun) == annotations.MostFreehand { // every other point is enough of a long line
				for k := 1; k < len(b.begun)/2; k++ {
					b.begun[k] = b.begun[2*k]
				}
				b.begun = b.begun[:len(b.begun)/2]
			}
		}
		return ""
	}
	scale := b.show().Stages[b.drag.stage].Port.Scale
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
	if b.tool == annotations.DrawnFreehand {
		if len(b.begun) < 2 { // a mere click
			b.begun = nil
			return ""
		}
		return b.finish()
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
