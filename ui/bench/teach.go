package bench

import (
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/teach"
	"turngauge/annotations/words"
)

// leastToTeach is how many marks the coach has moved before he is asked whether they are
// to teach the other swings; after that he is asked whenever there are twice as many.
const leastToTeach = 3

// Teach has what was corrected by hand move the proposed marks of the other swings, and
// proposes there what was found in their pictures of the points that found holds, as one step of
// undo. What is marked by now, or whose frame is another, stays.
func (b *Bench) Teach(found []teach.Taught) Note {
	if b.blind.on {
		return b.Busy()
	}
	o := teach.For(b.Lesson())
	if o.Moved == 0 && len(found) == 0 && len(o.Wants) == 0 {
		return "No proposed mark is moved by hand yet. Drag those that lie off to their places in one swing: then this moves the same marks in the others."
	}
	b.editor.Begin("teach the other swings")
	moved, err := teach.Apply(b.editor, nil)
	if err != nil {
		b.editor.Cancel()
		return Note(err.Error())
	}
	placed := 0
	for _, t := range found {
		s := b.Lesson().Swing(t.Swing)
		if s == nil {
			continue
		}
		if _, marked := s.Mark(t.Mark.Clip, t.Mark.Position, t.Mark.Point); marked {
			continue
		}
		if b.editor.Apply(annotations.SetMark{Swing: t.Swing, Mark: t.Mark}) == nil { // its clip or position may have gone
			placed++
		}
	}
	b.editor.End()
	b.gesture++
	b.offered = teach.ByHand(b.Lesson())
	b.Refresh()
	return taught(moved, placed, len(o.Wants) > 0)
}

// taught says what came of it.
func taught(moved, placed int, looked bool) Note {
	var says []string
	if moved > 0 {
		says = append(says, words.Count(moved, "proposed mark of another swing is", "proposed marks of other swings are")+" moved as your corrections tell, and surer")
	}
	switch {
	case placed > 0:
		says = append(says, words.Count(placed, "point of belt and shirt is", "points of belt and shirt are")+" found in other swings, and proposed there")
	case looked:
		says = append(says, "What you marked on belt and shirt is not seen clearly enough in other swings")
	}
	if moved+placed > 0 {
		says = append(says, "What you placed or took stays. Ctrl+Z takes it back")
	} else if len(says) == 0 {
		return "There is nothing more to teach: no proposed mark is left in another swing that what you moved says anything new of."
	}
	return Note(strings.Join(says, ". ") + ".")
}

// offerTeaching says that the other swings could be taught, now and then as corrections
// become more.
func (b *Bench) offerTeaching() Note {
	if len(b.Lesson().Swings) < 2 || b.blind.on {
		return ""
	}
	n := teach.ByHand(b.Lesson())
	if n < leastToTeach || n < 2*b.offered {
		return ""
	}
	o := teach.For(b.Lesson())
	// Of the clothes only what has just been marked: the rest may have been looked for in vain.
	o.Wants = slices.DeleteFunc(o.Wants, func(w teach.Want) bool {
		return w.Mark.Point != b.selected.Point || w.Position != b.selected.Position
	})
	if o.Empty() {
		return ""
	}
	b.offered = n
	return Note(o.Tells() + ". Ctrl+F2 does so.")
}
