package bench

import (
	"fmt"
	"math"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Armed returns the point that the next click places.
func (b *Bench) Armed() (geometry.Point, bool) { return b.armed, b.hasArmed }

// Arm makes a point the one that the next click places.
func (b *Bench) Arm(p geometry.Point) {
	b.stickArmed, b.golferArmed, b.hasStick = false, false, false
	b.armed, b.hasArmed = p, true
	b.hasSelected = false
	b.guided = true
}

func (b *Bench) disarm() { b.hasArmed = false }

// LetGo ends what is going on: a selection, then the guided pass.
func (b *Bench) LetGo() Note {
	switch {
	case b.blind.on:
		return b.LeaveBlind()
	case b.stickArmed, b.golferArmed, b.hasStick:
		b.stickArmed, b.golferArmed, b.hasStick = false, false, false
	case b.hasSelected:
		b.hasSelected = false
		if b.guided && !b.hasArmed {
			b.ArmNext()
		}
	default:
		b.hasArmed, b.guided = false, false
	}
	b.drag = drag{}
	return ""
}

// ArmNext arms the most useful point that is not marked yet at the key
// position the stages show: what the fit asks for, else the next in order on
// the active stage, else on the other one. It reports whether there is one.
func (b *Bench) ArmNext() bool { return b.armAfter(geometry.NumPoints) }

// SkipPoint arms the point after the armed one, round and round. One that was to
// be placed by hand in place of a proposed one stays as proposed.
func (b *Bench) SkipPoint() Note {
	b.guided = true
	after := geometry.Point(geometry.NumPoints)
	if b.hasArmed {
		after = b.armed
		b.leave(b.armed)
	}
	switch {
	case b.armAfter(after):
	case b.blind.on:
		return b.askBlind()
	default:
		return "Every useful point is marked here."
	}
	return ""
}

// leave notes that a mark that stands as proposed is to stay so: the coach was
// asked to place it by hand, and can't do better.
func (b *Bench) leave(p geometry.Point) {
	position, ok := b.PositionAt(b.Active)
	if !ok {
		return
	}
	st := &b.Stages[b.Active]
	if m, ok := b.mark(b.Active, position, p); ok && m.LowConfidence(st.View) {
		if b.skipped == nil {
			b.skipped = make(map[skipped]bool)
		}
		b.skipped[skipped{st.Clip, position, p}] = true
	}
}

// GoToAdvice shows the key position and the view of the mark that would sharpen
// the result most, and arms its point.
func (b *Bench) GoToAdvice() Note {
	if b.blind.on {
		return b.Busy()
	}
	a := b.Advice()
	stage, ok := b.StageOf(a.Clip)
	if len(b.Swing().Marks) == 0 {
		return "Nothing is marked yet. Propose marks first, or press N for the first point."
	}
	if !a.OK || !ok {
		return "No further mark would sharpen the numbers noticeably, as far as the fit can tell."
	}
	if !b.Show.GoToPosition(a.Position) {
		return ""
	}
	b.Activate(stage)
	b.Arm(a.Point)
	return Note(Title(a.Text) + ".")
}

func (b *Bench) armAfter(after geometry.Point) bool {
	if b.blind.on {
		return b.armBlind(after)
	}
	b.hasArmed = false
	if a := b.Advice(); a.OK && after == geometry.NumPoints {
		if st, ok := b.StageOf(a.Clip); ok && st == b.Active {
			if at, ok := b.PositionAt(st); ok && at == a.Position && b.wantsHand(st, a.Position, a.Point) {
				b.armed, b.hasArmed = a.Point, true
				return true
			}
		}
	}
	for _, st := range [...]int{b.Active, 1 - b.Active} {
		position, ok := b.PositionAt(st)
		if !ok {
			continue
		}
		points := Useful(b.Stages[st].View, position)
		start := 0
		for i, p := range points {
			if p == after {
				start = i + 1
			}
		}
		for i := range points {
			p := points[(start+i)%len(points)]
			if p != after && !b.isMarked(st, position, p) {
				b.armed, b.hasArmed = p, true
				if st != b.Active {
					b.Active = st
					b.hasSelected = false
				}
				return true
			}
		}
		after = geometry.NumPoints // the other stage starts from its first
	}
	return false
}

// wantsHand reports whether a point is still to be placed by hand: it is not
// marked, or stands as it was proposed.
func (b *Bench) wantsHand(stage int, position geometry.PositionName, p geometry.Point) bool {
	m, ok := b.mark(stage, position, p)
	return !ok || m.LowConfidence(b.Stages[stage].View)
}

func (b *Bench) isMarked(stage int, position geometry.PositionName, p geometry.Point) bool {
	_, ok := b.mark(stage, position, p)
	return ok
}

// Selected returns the mark the coach has taken hold of.
func (b *Bench) Selected() (Selection, bool) { return b.selected, b.hasSelected }

// SelectedMark returns the selected mark itself.
func (b *Bench) SelectedMark() (annotations.Mark, bool) {
	if !b.hasSelected {
		return annotations.Mark{}, false
	}
	s := b.selected
	return b.mark(s.Stage, s.Position, s.Point)
}

// Nearest returns the visible mark nearest to a place on a stage, within
// radius window pixels.
func (b *Bench) Nearest(stage int, at ScreenPt, size Size, radius float64) (geometry.Point, bool) {
	position, ok := b.PositionAt(stage)
	if !ok {
		return 0, false
	}
	st := &b.Stages[stage]
	best, found := geometry.Point(0), false
	b.near = b.AppendMarks(b.near[:0], stage, position)
	for i := range b.near {
		m := &b.near[i]
		s := st.Port.ToScreen(PicturePt(m.At), size)
		if d := math.Hypot(s.X-at.X, s.Y-at.Y); d <= radius {
			best, radius, found = m.Point, d, true
		}
	}
	return best, found
}

// Nudge moves the selected mark by picture pixels.
func (b *Bench) Nudge(dx, dy float64) Note {
	m, ok := b.SelectedMark()
	if !ok || m.State == geometry.Hidden {
		return ""
	}
	m.At = b.inside(b.selected.Stage, PicturePt{m.At.X + dx, m.At.Y + dy})
	return b.setMark(b.selected, byHand(m, b.Stages[b.selected.Stage].View))
}

// target is what Hide and Delete act on: the selected mark or the armed point
// on the active stage, whichever is preferred if there are both.
func (b *Bench) target(preferArmed bool) (Selection, Note) {
	if b.hasSelected && !(preferArmed && b.hasArmed) {
		return b.selected, ""
	}
	if !b.hasArmed {
		return Selection{}, "Choose a point first: click a mark, or press N for the next useful point."
	}
	position, ok := b.PositionAt(b.Active)
	if !ok {
		return Selection{}, "This frame is no key position. Press 1 to 7 to make it one."
	}
	return Selection{b.Active, position, b.armed}, ""
}

// Hide says that the armed or selected point can't be seen on its stage. While
// the guided pass asks for a point, that one is meant, even if the mark placed
// before it is still in hand.
func (b *Bench) Hide() Note {
	if b.blind.on {
		return b.skipBlind()
	}
	s, note := b.target(true)
	if note != "" {
		return note
	}
	b.gesture++
	note = b.setMark(s, annotations.Mark{
		Clip: b.Stages[s.Stage].Clip, Position: s.Position, Point: s.Point, State: geometry.Hidden,
	})
	b.gesture++
	if note != "" {
		return note
	}
	b.hasSelected = false
	if b.hasArmed && b.armed == s.Point && b.guided {
		b.armAfter(b.armed)
	}
	return Note(fmt.Sprintf("The %s can't be seen here.", s.Point))
}

// ToggleUnsure makes the selected mark unsure, or sure again.
func (b *Bench) ToggleUnsure() Note {
	if b.blind.on {
		return b.Busy()
	}
	m, ok := b.SelectedMark()
	if !ok || m.State == geometry.Hidden {
		return "Click a mark first, then U says you are unsure of it."
	}
	b.gesture++
	if view := b.Stages[b.selected.Stage].View; m.Unsure(view) {
		m.SDPx = 0
	} else {
		m.SDPx, m.SharedBiasPx, m.State = annotations.UnsurePx(m.Point, view), 0, geometry.Placed
	}
	if note := b.setMark(b.selected, m); note != "" {
		return note
	}
	if m.SDPx > 0 {
		return Note(fmt.Sprintf("The %s counts as unsure.", m.Point))
	}
	return Note(fmt.Sprintf("The %s counts as sure.", m.Point))
}

// Delete takes the selected mark away, or says again that the armed point can
// be seen.
func (b *Bench) Delete() Note {
	if b.hasStick && !b.hasSelected {
		return b.deleteStick()
	}
	s, note := b.target(false)
	if note != "" {
		return note
	}
	if !b.isMarked(s.Stage, s.Position, s.Point) {
		return Note(fmt.Sprintf("The %s is not marked here.", s.Point))
	}
	if b.blind.on {
		if s.Position != b.blind.position {
			return b.Busy()
		}
		return b.takeBack(blindTarget{s.Stage, s.Point})
	}
	if err := b.editor.Apply(annotations.DeleteMark{
		Swing: b.swing, Clip: b.Stages[s.Stage].Clip, Position: s.Position, Point: s.Point,
	}); err != nil {
		return Note(err.Error())
	}
	b.hasSelected = false
	b.armed, b.hasArmed = s.Point, true
	return ""
}

// CopyForward copies the marks of the key position before onto the active
// stage, where the same points are not marked yet.
func (b *Bench) CopyForward() Note {
	if b.blind.on {
		return b.Busy()
	}
	st := &b.Stages[b.Active]
	position, ok := b.PositionAt(b.Active)
	if !ok {
		return "This frame is no key position. Press 1 to 7 to make it one, then copy."
	}
	from, ok := b.Swing().MarkedBefore(st.Clip, position)
	if !ok {
		return "There is no marked key position before this one to copy from."
	}
	before := len(b.Swing().Marks)
	if err := b.editor.Apply(annotations.CopyForward{
		Swing: b.swing, Clip: st.Clip, From: from, To: position,
	}); err != nil {
		return Note(err.Error())
	}
	n := len(b.Swing().Marks) - before
	if n == 0 {
		return Note(fmt.Sprintf("Every point marked at %s is marked here already.", from))
	}
	b.disarm()
	return Note(fmt.Sprintf("Copied %s from %s: drag each to its place, or press Enter to take it as it is.", words.Count(n, "mark", "marks"), from))
}

// Undo takes the last change back.
func (b *Bench) Undo() Note {
	if b.blind.on {
		return b.undoBlind()
	}
	label, ok := b.editor.Undo()
	if !ok {
		return "Nothing to undo."
	}
	b.gesture++
	b.drag = drag{}
	b.CancelTick()
	b.Refresh()
	b.followStages()
	return Note("Undone: " + label + ".")
}

// followStages lets the sheet and the plan view be about the key position that
// the active stage shows, after that has changed under them.
func (b *Bench) followStages() {
	if name, ok := b.PositionAt(b.Active); ok {
		b.Position = name
	}
}

// Redo does again what Undo took back.
func (b *Bench) Redo() Note {
	if b.blind.on {
		return b.Busy()
	}
	label, ok := b.editor.Redo()
	if !ok {
		return "Nothing to redo."
	}
	b.gesture++
	b.drag = drag{}
	b.CancelTick()
	b.Refresh()
	b.followStages()
	return Note("Done again: " + label + ".")
}
