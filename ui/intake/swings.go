package intake

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
)

// canSwap reports whether the swing on the bench has a clip whose view can be the
// other one.
func (r *Room) canSwap() bool {
	s := r.host.Session()
	return s != nil && s.Comparing == nil && len(s.Bench.Swing().Clips) > 0
}

// swapViews makes the face-on clip the one down the line, and the other way round.
func (r *Room) swapViews() {
	b := r.host.Session().Bench
	if _, on := b.Blind(); on {
		r.host.Tell(b.Busy())
		return
	}
	if kit.Edit(r.host, annotations.MendMistake{Swing: b.Swing().ID, What: geometry.ViewsSwapped}) {
		r.host.Tell(bench.Note("The views are swapped. " + r.host.Shortcut("undo") + " swaps them back."))
	}
}

// canRemove reports whether there is something in the swing on the bench to be taken
// away.
func (r *Room) canRemove() bool {
	s := r.host.Session()
	return s != nil && s.Comparing == nil && (len(s.Bench.Lesson().Swings) > 1 || len(s.Bench.Swing().Clips) > 0)
}

// removeSwing takes the swing on the bench out of the lesson, with its marks; a lesson
// keeps one swing, if an empty one. It is one step of undo.
func (r *Room) removeSwing() {
	s := r.host.Session()
	b := s.Bench
	if _, on := b.Blind(); on {
		r.host.Tell(b.Busy())
		return
	}
	sw, e := b.Swing(), b.Editor()
	label := sw.Label
	e.Begin("remove swing")
	if len(b.Lesson().Swings) == 1 {
		fresh := annotations.Swing{ID: annotations.NewID(), Label: "Swing 1", Club: sw.Club}
		if err := e.Apply(annotations.AddSwing{Swing: fresh}); err != nil {
			e.Cancel()
			r.host.Alert(err.Error())
			return
		}
	}
	if err := e.Apply(annotations.RemoveSwing{Swing: sw.ID}); err != nil {
		e.Cancel()
		r.host.Alert(err.Error())
		return
	}
	e.End()
	r.doors.Swing(e.Lesson().Swings[0].ID)
	r.host.Tell(bench.Note(fmt.Sprintf("“%s” is taken out of the lesson; its clips stay where they are. %s brings it back.", label, r.host.Shortcut("undo"))))
}
