package bench

import (
	"fmt"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Waits reports whether a mark waits for the coach to take it.
func Waits(m annotations.Mark) bool {
	return m.State == geometry.Proposed || m.State == geometry.Tracked
}

// byHand makes a mark one that the coach has put where it is. What was only
// proposed, taken or not, has the hand's standard deviation from then on.
func byHand(m annotations.Mark, view geometry.View) annotations.Mark {
	if !m.Unsure(view) {
		m.SDPx = 0
	}
	m.State = geometry.Placed
	return m
}

// Accept takes a proposed mark as it is and goes on to the next proposed one,
// first on the same stage, then on the other.
func (b *Bench) Accept() Note {
	if b.blind.on {
		return b.askBlind()
	}
	took := false
	if m, ok := b.SelectedMark(); ok && Waits(m) {
		b.gesture++
		if note := b.setMark(b.selected, taken(m)); note != "" {
			return note
		}
		b.gesture++
		took = true
	}
	if note, ok := b.acceptPosition(); ok {
		return note
	}
	shown := false
	for _, stage := range [...]int{b.Active, 1 - b.Active} {
		position, ok := b.PositionAt(stage)
		if !ok {
			continue
		}
		shown = true
		for i := range b.Swing().Marks {
			m := &b.Swing().Marks[i]
			if m.Clip == b.Stages[stage].Clip && m.Position == position && Waits(*m) {
				b.Active = stage
				b.selected, b.hasSelected = Selection{stage, position, m.Point}, true
				b.disarm() // a click beside it is not to place another point
				return ""
			}
		}
	}
	switch {
	case !shown:
		return ""
	case took:
		b.hasSelected = false
		b.ArmNext()
		return "Every proposed mark here has been looked at."
	default:
		return "No proposed mark is left here."
	}
}

// taken makes a proposed mark one that counts. What was seen in the picture and
// found good enough is not as exact as a mark by hand: it stays as unsure as it
// was proposed.
func taken(m annotations.Mark) annotations.Mark {
	if m.State == geometry.Tracked {
		m.SDPx = 0
	}
	m.State = geometry.Placed
	return m
}

// waitingHere returns the proposed marks of the key positions that the stages
// show.
func (b *Bench) waitingHere() []annotations.Mark {
	var out []annotations.Mark
	for i := range b.Stages {
		position, ok := b.PositionAt(i)
		if !ok {
			continue
		}
		for _, m := range b.Swing().Marks {
			if m.Clip == b.Stages[i].Clip && m.Position == position && Waits(m) {
				out = append(out, m)
			}
		}
	}
	return out
}

// Waiting returns how many proposed marks the stages show.
func (b *Bench) Waiting() int { return len(b.waitingHere()) }

// waitingAt returns the key positions that have proposed marks, in order of time.
func (b *Bench) waitingAt() []string {
	var out []string
	for _, name := range geometry.KeyPositions {
		if slices.ContainsFunc(b.Swing().Marks, func(m annotations.Mark) bool { return m.Position == name && Waits(m) }) {
			out = append(out, InText(name))
		}
	}
	return out
}

// AcceptAll sets every key position that is proposed; where none is, it takes
// every proposed mark that the stages show.
func (b *Bench) AcceptAll() Note {
	marks := b.waitingHere()
	if b.blind.on || b.Proposals() > 0 || len(marks) == 0 {
		return b.AcceptPositions()
	}
	b.editor.Begin("take proposed marks")
	for _, m := range marks {
		if err := b.editor.Apply(annotations.SetMark{Swing: b.swing, Mark: taken(m)}); err != nil {
			b.editor.Cancel()
			return Note(err.Error())
		}
	}
	b.editor.End()
	b.Refresh()
	said := fmt.Sprintf("%s taken as proposed. Dragging still corrects each; Undo takes them back.", words.Count(len(marks), "mark", "marks"))
	if at := b.waitingAt(); len(at) > 0 {
		said += " More are proposed at " + strings.Join(at, ", ") + ": Page Down goes on."
	}
	return Note(said)
}
