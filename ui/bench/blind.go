package bench

import (
	"fmt"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// minBlind is the least number of points worth marking again: fewer don't tell
// how well the hand repeats itself.
const minBlind = 6

// blindPass is a second marking of one key position without sight of the
// first: the marks of that position are out of the way, and its points are
// asked for again one by one. What is placed is kept with the lesson at once,
// beside the marks, so that a pass that is left half-way loses nothing.
type blindPass struct {
	on       bool
	position geometry.PositionName
	gesture  uint64 // makes the pass one step of undo
	placed   []blindTarget
	skipped  []blindTarget
}

type blindTarget struct {
	stage int
	point geometry.Point
}

// Blind is how a second marking stands.
type Blind struct {
	Position    geometry.PositionName
	Done, Total int
}

// Blind returns how the second marking stands, if one is going on.
func (b *Bench) Blind() (Blind, bool) {
	if !b.blind.on { // asked in every frame
		return Blind{}, false
	}
	all := b.blindTargets()
	return Blind{b.blind.position, len(all) - len(b.blindLeft(all)), len(all)}, true
}

// MarkingAgain reports whether a second marking is going on.
func (b *Bench) MarkingAgain() bool { return b.blind.on }

// blindTargets lists the points of the pass: those placed the first time, in
// the order in which a guided pass asks for them, stage by stage.
func (b *Bench) blindTargets() []blindTarget {
	var out []blindTarget
	for _, stage := range [...]int{b.Active, 1 - b.Active} {
		st := &b.Stages[stage]
		order := Useful(st.View, b.blind.position)
		for p := range geometry.Point(geometry.NumPoints) {
			if !slices.Contains(order, p) {
				order = append(order, p)
			}
		}
		for _, p := range order {
			if m, ok := b.Swing().Mark(st.Clip, b.blind.position, p); ok && m.State == geometry.Placed {
				out = append(out, blindTarget{stage, p})
			}
		}
	}
	return out
}

func (b *Bench) blindLeft(all []blindTarget) []blindTarget {
	return slices.DeleteFunc(slices.Clone(all), func(t blindTarget) bool {
		return slices.Contains(b.blind.placed, t) || slices.Contains(b.blind.skipped, t)
	})
}

// StartBlind begins to mark the key position shown again, or goes on with a
// pass that was left half-way.
func (b *Bench) StartBlind() Note {
	if b.blind.on {
		return b.askBlind()
	}
	position, ok := b.PositionAt(b.Active)
	if !ok {
		return "This frame is no key position. Go to one that is marked, then mark it again."
	}
	b.blind = blindPass{position: position}
	all := b.blindTargets()
	if len(all) < minBlind {
		b.blind = blindPass{}
		return Note(fmt.Sprintf("Place at least %d points at %s first, better all of them: %s. Then mark them again.",
			minBlind, position, words.Count(len(all), "point", "points")+" so far"))
	}
	var before []blindTarget
	for _, t := range all {
		if _, ok := b.repeatOf(t); ok {
			before = append(before, t)
		}
	}
	note := Note(fmt.Sprintf("Your marks at %s are out of sight. Mark the points again as they are asked for; Esc leaves at any time and keeps what you did.", position))
	if n := len(before); n > 0 && n < len(all) {
		b.blind.placed = before
		note = Note(fmt.Sprintf("Going on where you left: %d of %d points at %s are marked again.", n, len(all), position))
	}
	b.gesture++
	b.blind.gesture = b.gesture
	b.blind.on = true
	b.Show.GoToPosition(position)
	b.letGoOfFrame()
	b.stickArmed, b.golferArmed, b.hasStick = false, false, false
	b.guided = true
	b.askBlind()
	return note
}

// askBlind arms the next point of the pass.
func (b *Bench) askBlind() Note {
	if b.armBlind(geometry.NumPoints) {
		return ""
	}
	return "Every point is marked again. Enter shows how well your marks repeat."
}

// armBlind arms the point of the pass after the given one, on the active stage
// first.
func (b *Bench) armBlind(after geometry.Point) bool {
	b.hasArmed = false
	all := b.blindTargets()
	left := b.blindLeft(all)
	if len(left) == 0 {
		return false
	}
	from := slices.Index(all, blindTarget{b.Active, after}) + 1
	for i := range all {
		t := all[(from+i)%len(all)]
		if t.stage == b.Active && t.point == after && len(left) > 1 || !slices.Contains(left, t) {
			continue
		}
		b.armed, b.hasArmed = t.point, true
		if t.stage != b.Active {
			b.Active = t.stage
			b.hasSelected = false
		}
		return true
	}
	return false
}

// FinishBlind ends the pass once every point was asked for. done is false
// where points are left.
func (b *Bench) FinishBlind() (position geometry.PositionName, done bool) {
	if !b.blind.on || len(b.blindLeft(b.blindTargets())) > 0 {
		return "", false
	}
	position = b.blind.position
	b.endBlind()
	return position, true
}

// LeaveBlind ends the pass as it stands; what was marked again is kept.
func (b *Bench) LeaveBlind() Note {
	s, on := b.Blind()
	if !on {
		return ""
	}
	b.endBlind()
	if s.Done == 0 {
		return "Left the second marking. Nothing has changed."
	}
	return Note(fmt.Sprintf("Left half-way: %d of %s marked again at %s are kept. Start again there to go on.",
		s.Done, words.Count(s.Total, "point", "points"), s.Position))
}

func (b *Bench) endBlind() {
	b.blind = blindPass{gesture: b.blind.gesture}
	b.letGoOfFrame()
	b.disarm()
}

// repeatOf returns what was marked the second time.
func (b *Bench) repeatOf(t blindTarget) (annotations.Repeat, bool) {
	clip := b.Stages[t.stage].Clip
	for _, r := range b.Swing().Repeats {
		if r.Clip == clip && r.Position == b.blind.position && r.Point == t.point {
			return r, true
		}
	}
	return annotations.Repeat{}, false
}

// mark returns a mark as the coach sees it: during a blind pass that of the
// pass, where it is of its position.
func (b *Bench) mark(stage int, position geometry.PositionName, p geometry.Point) (annotations.Mark, bool) {
	clip := b.Stages[stage].Clip
	if !b.blindAt(position) {
		return b.Swing().Mark(clip, position, p)
	}
	t := blindTarget{stage, p}
	if !slices.Contains(b.blind.placed, t) {
		return annotations.Mark{}, false
	}
	r, ok := b.repeatOf(t)
	return annotations.Mark{Clip: clip, Position: position, Point: p, At: r.Second}, ok
}

// blindAt reports whether the marks of a position are out of sight.
func (b *Bench) blindAt(position geometry.PositionName) bool {
	return b.blind.on && b.blind.position == position
}

// AppendMarks appends the marks that are to be shown on a stage at a position,
// without hidden ones, and returns the longer list.
func (b *Bench) AppendMarks(to []annotations.Mark, stage int, position geometry.PositionName) []annotations.Mark {
	if b.blindAt(position) {
		for _, t := range b.blind.placed {
			if m, ok := b.mark(t.stage, position, t.point); ok && t.stage == stage {
				to = append(to, m)
			}
		}
		return to
	}
	return AppendVisible(to, b.Swing(), b.Stages[stage].Clip, position)
}

// AppendVisible appends the marks of a swing's clip at a position, without
// hidden ones, and returns the longer list.
func AppendVisible(to []annotations.Mark, sw *annotations.Swing, clip string, position geometry.PositionName) []annotations.Mark {
	for i := range sw.Marks {
		if m := &sw.Marks[i]; m.Clip == clip && m.Position == position && m.State != geometry.Hidden {
			to = append(to, *m)
		}
	}
	return to
}

// setBlind writes the second place of a point.
func (b *Bench) setBlind(s Selection, at geometry.ImagePt) Note {
	if s.Position != b.blind.position {
		return b.Busy()
	}
	st := &b.Stages[s.Stage]
	t := blindTarget{s.Stage, s.Point}
	first, ok := b.Swing().Mark(st.Clip, s.Position, s.Point)
	if !ok || first.State != geometry.Placed {
		return Note(fmt.Sprintf("The %s was not placed %s the first time, so there is nothing to compare it with.", s.Point, st.View))
	}
	fresh := annotations.Repeat{Clip: st.Clip, Position: s.Position, Point: s.Point, First: first.At, Second: at}
	list := b.Swing().RepeatsAt(s.Position)
	i := slices.IndexFunc(list, func(r annotations.Repeat) bool { return r.Clip == st.Clip && r.Point == s.Point })
	if i < 0 {
		list = append(list, fresh)
	} else {
		list[i] = fresh
	}
	if note := b.setRepeats(list, b.Lesson().ClickSDPx); note != "" {
		return note
	}
	if !slices.Contains(b.blind.placed, t) {
		b.blind.placed = append(b.blind.placed, t)
	}
	b.blind.skipped = slices.DeleteFunc(b.blind.skipped, func(x blindTarget) bool { return x == t })
	b.selected, b.hasSelected = s, true
	return ""
}

// Busy says why something else can't be done during a second marking.
func (b *Bench) Busy() Note {
	return Note(fmt.Sprintf("%s is being marked again. Finish it, or leave it with Esc; nothing is lost.", Title(b.blind.position)))
}

func (b *Bench) setRepeats(list []annotations.Repeat, clickSD float64) Note {
	if err := b.editor.Apply(annotations.SetRepeats{
		Swing: b.swing, Position: b.blind.position, Repeats: list, ClickSDPx: clickSD, Gesture: b.blind.gesture,
	}); err != nil {
		return Note(err.Error())
	}
	return ""
}

// takeBack takes a point of the pass back, to be asked for again.
func (b *Bench) takeBack(t blindTarget) Note {
	clip := b.Stages[t.stage].Clip
	list := slices.DeleteFunc(b.Swing().RepeatsAt(b.blind.position),
		func(r annotations.Repeat) bool { return r.Clip == clip && r.Point == t.point })
	if note := b.setRepeats(list, b.Lesson().ClickSDPx); note != "" {
		return note
	}
	b.blind.placed = slices.DeleteFunc(b.blind.placed, func(x blindTarget) bool { return x == t })
	b.hasSelected, b.drag = false, drag{}
	b.Active = t.stage
	b.armed, b.hasArmed = t.point, true
	return Note(fmt.Sprintf("Mark the %s again.", t.point))
}

// undoBlind takes the point back that was marked again last; with none left it
// leaves the pass.
func (b *Bench) undoBlind() Note {
	if n := len(b.blind.placed); n > 0 {
		return b.takeBack(b.blind.placed[n-1])
	}
	return b.LeaveBlind()
}

// skipBlind leaves the asked point, or the one in hand, out of the pass.
func (b *Bench) skipBlind() Note {
	s, note := b.target(true)
	if note != "" {
		return note
	}
	if s.Position != b.blind.position {
		return b.Busy()
	}
	t := blindTarget{s.Stage, s.Point}
	if slices.Contains(b.blind.placed, t) {
		b.takeBack(t)
	}
	b.blind.skipped = append(b.blind.skipped, t)
	b.hasSelected = false
	if !b.armBlind(s.Point) {
		return b.askBlind()
	}
	return Note(fmt.Sprintf("The %s is left out this time.", s.Point))
}

// UseClick makes the click error found the one that the lesson is measured
// with; 0 is the program's own. After a pass it is part of its step of undo.
func (b *Bench) UseClick(position geometry.PositionName, sd float64) Note {
	if b.Swing().Position(position) == nil {
		return ""
	}
	return b.replaceRepeats(position, b.Swing().RepeatsAt(position), sd, b.blind.gesture)
}

// DropRepeats throws the second marks of a position away, as a step of undo of
// its own.
func (b *Bench) DropRepeats(position geometry.PositionName) Note {
	if b.Swing().Position(position) == nil {
		return ""
	}
	return b.replaceRepeats(position, nil, b.Lesson().ClickSDPx, 0)
}

func (b *Bench) replaceRepeats(position geometry.PositionName, list []annotations.Repeat, sd float64, gesture uint64) Note {
	if err := b.editor.Apply(annotations.SetRepeats{
		Swing: b.swing, Position: position, Repeats: list, ClickSDPx: sd, Gesture: gesture,
	}); err != nil {
		return Note(err.Error())
	}
	b.Refresh()
	return ""
}

// refreshBlind ends a pass whose position has gone, and forgets what is not
// marked again any more.
func (b *Bench) refreshBlind() {
	if !b.blind.on {
		return
	}
	if len(b.blindTargets()) == 0 {
		b.endBlind()
		return
	}
	b.blind.placed = slices.DeleteFunc(b.blind.placed, func(t blindTarget) bool {
		_, ok := b.repeatOf(t)
		return !ok
	})
}
