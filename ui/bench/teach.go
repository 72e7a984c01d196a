package bench

import (
	"fmt"

	"turngauge/annotations/teach"
	"turngauge/annotations/words"
)

// leastToTeach is how many marks the coach has moved before he is asked whether they are
// to teach the other swings; after that he is asked whenever there are twice as many.
const leastToTeach = 3

// Teach has what was corrected by hand move the proposed marks of the other swings, as one
// step of undo.
func (b *Bench) Teach() Note {
	if b.blind.on {
		return b.Busy()
	}
	o := teach.For(b.Lesson())
	switch {
	case o.Moved == 0:
		return "No proposed mark is moved by hand yet. Drag those that lie off to their places in one swing: then this moves the same marks in the others."
	case len(o.Marks) == 0:
		return "There is nothing more to teach: no proposed mark is left in another swing that what you moved says anything new of."
	}
	if _, err := teach.Apply(b.editor, nil); err != nil {
		return Note(err.Error())
	}
	b.gesture++
	b.offered = o.Moved
	b.Refresh()
	return Note(fmt.Sprintf("%s in %s moved as your corrections tell, and counted as surer. What you placed or took stays. Ctrl+Z takes it back.",
		words.Count(len(o.Marks), "proposed mark", "proposed marks"), words.Count(o.Swings, "other swing", "other swings")))
}

// offerTeaching says that the other swings could be taught, now and then as corrections
// become more.
func (b *Bench) offerTeaching() Note {
	if len(b.Lesson().Swings) < 2 || b.blind.on {
		return ""
	}
	n := teach.Moved(b.Lesson())
	if n < leastToTeach || n < 2*b.offered {
		return ""
	}
	b.offered = n
	o := teach.For(b.Lesson())
	if len(o.Marks) == 0 {
		return ""
	}
	return Note(o.Tells() + ". Ctrl+F2 does so.")
}
