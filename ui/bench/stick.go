package bench

import (
	"fmt"
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
)

// A ground stick is a stick, or the edge of a mat, that lies on the ground
// while a clip is filmed. Its length and direction tell the fit where the
// camera stood. It belongs to a clip, not to a key position.

// stickLength is that of the usual alignment stick, 48 inches, in metres
// (common practice, no source).
const stickLength = 1.22

// StickEnd is an end of a ground stick of a stage's clip.
type StickEnd struct {
	Stage, Line, End int
}

// Sticks returns the ground sticks of a stage's clip, those among them that are marked in
// another swing filmed from the same stand. They are not to be changed.
func (b *Bench) Sticks(stage int) []annotations.GroundLine {
	if c := b.Swing().Clip(b.Stages[stage].Clip); c != nil {
		return b.Lesson().LinesOf(c)
	}
	return nil
}

// ownSticks is how many of them are marked in this swing.
func (b *Bench) ownSticks(stage int) int {
	if c := b.Swing().Clip(b.Stages[stage].Clip); c != nil {
		return len(c.GroundLines)
	}
	return 0
}

// ArmStick makes the next press on the active stage the beginning of a ground
// stick: it is drawn from there to where the button is let go.
func (b *Bench) ArmStick() Note {
	if b.Stages[b.Active].Film == nil {
		return "Open a clip first: drop it on the window or press Ctrl+O."
	}
	b.stickArmed = true
	b.hasSelected, b.hasArmed = false, false
	return "Drag along the stick on the ground, from one end to the other."
}

// StickArmed reports whether the next press begins a ground stick.
func (b *Bench) StickArmed() bool { return b.stickArmed }

// HeldStick returns the end of a stick the coach last took hold of.
func (b *Bench) HeldStick() (StickEnd, bool) { return b.stick, b.hasStick }

// nearestStick returns the end of a stick within radius window pixels.
func (b *Bench) nearestStick(stage int, at ScreenPt, size Size, radius float64) (StickEnd, bool) {
	best, found := StickEnd{}, false
	for i, l := range b.Sticks(stage) {
		for k, e := range l.Ends {
			s := b.Stages[stage].Port.ToScreen(PicturePt(e), size)
			if d := math.Hypot(s.X-at.X, s.Y-at.Y); d <= radius {
				best, radius, found = StickEnd{stage, i, k}, d, true
			}
		}
	}
	return best, found
}

// beginStick starts a new stick at a picture point.
func (b *Bench) beginStick(stage int, at PicturePt) Note {
	b.stickArmed = false
	p := b.inside(stage, at)
	// A line of no length is not valid: it begins one pixel long.
	q := geometry.ImagePt{X: p.X - 1, Y: p.Y}
	if p.X < 1 {
		q.X = p.X + 1
	}
	line := annotations.GroundLine{LengthM: stickLength, Along: geometry.AlongTargetLine, Ends: [2]geometry.ImagePt{p, q}}
	n := len(b.Sticks(stage))
	if note := b.setStick(stage, n, line); note != "" {
		return note
	}
	b.holdStick(StickEnd{stage, n, 1}, at)
	return ""
}

func (b *Bench) holdStick(e StickEnd, at PicturePt) {
	b.stick, b.hasStick = e, true
	b.hasSelected = false
	b.drag.kind, b.drag.at = dragStick, at
}

// setStick sets a stick of this swing. Those that another swing lends it become its own.
func (b *Bench) setStick(stage, index int, l annotations.GroundLine) Note {
	lines := slices.Clone(b.Sticks(stage))
	if index < len(lines) {
		lines[index] = l
	} else {
		lines = append(lines, l)
	}
	from, to := index, index+1
	if b.ownSticks(stage) == 0 {
		from, to = 0, len(lines)
	}
	for i := from; i < to; i++ {
		if err := b.editor.Apply(annotations.SetGroundLine{
			Swing: b.swing, Clip: b.Stages[stage].Clip, Index: i, Line: lines[i], Gesture: b.gesture,
		}); err != nil {
			return Note(err.Error())
		}
	}
	return ""
}

// dragStickTo moves the end in hand.
func (b *Bench) dragStickTo(at PicturePt) Note {
	lines := b.Sticks(b.stick.Stage)
	if b.stick.Line >= len(lines) {
		b.drag = drag{}
		return ""
	}
	l := lines[b.stick.Line]
	l.Ends[b.stick.End] = b.inside(b.stick.Stage, at)
	if l.Ends[0] == l.Ends[1] {
		return ""
	}
	return b.setStick(b.stick.Stage, b.stick.Line, l)
}

// SetStick changes the length, in metres, and the direction of the stick in
// hand; a length of 0 is not known.
func (b *Bench) SetStick(lengthM float64, along geometry.Direction) Note {
	lines := b.Sticks(b.stick.Stage)
	if !b.hasStick || b.stick.Line >= len(lines) {
		return ""
	}
	l := lines[b.stick.Line]
	l.LengthM, l.Along = lengthM, along
	b.gesture++
	return b.setStick(b.stick.Stage, b.stick.Line, l)
}

// deleteStick takes the stick in hand away.
func (b *Bench) deleteStick() Note {
	if b.stick.Line >= b.ownSticks(b.stick.Stage) {
		return "This stick is marked in another swing of the visit: take it away there."
	}
	if err := b.editor.Apply(annotations.DeleteGroundLine{
		Swing: b.swing, Clip: b.Stages[b.stick.Stage].Clip, Index: b.stick.Line,
	}); err != nil {
		return Note(err.Error())
	}
	b.hasStick = false
	return "The ground stick is taken away."
}

// endStick ends the drag of a stick. One that was only clicked is no stick.
func (b *Bench) endStick() Note {
	lines := b.Sticks(b.stick.Stage)
	if b.stick.Line >= len(lines) {
		return ""
	}
	l := &lines[b.stick.Line]
	if math.Hypot(l.Ends[0].X-l.Ends[1].X, l.Ends[0].Y-l.Ends[1].Y) >= leastStick {
		return ""
	}
	b.editor.Undo()
	b.hasStick = false
	return Note(fmt.Sprintf("That was only a click: drag along the stick, at least %d pixels.", leastStick))
}

// leastStick is the least length of a stick in picture pixels.
const leastStick = 10
