package session

import (
	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
)

// CanMend reports whether a button mends the mistake of the swing on the bench, or
// leads to where the coach does.
func (s *Session) CanMend() bool {
	r := s.Result.Evaluation
	return r.Mistake() != nil && s.Result.Revision == s.revision && words.Mending(&r.Problem, r.Mistake()) != ""
}

// Mend mends the mistake of the whole swing by an edit, which undo takes back, or
// shows the key position whose frame is to be chosen anew.
func (s *Session) Mend() {
	if !s.CanMend() {
		return
	}
	r := s.Result.Evaluation
	if e, ok := r.Mend(); ok {
		if err := s.Edit(e); err != nil {
			s.env.Alert(err.Error())
			return
		}
		s.env.Tell(mended(s.Bench.Lesson(), &e))
		return
	}
	m := r.Mistake()
	clip, position := r.Swing().Clips[m.Clip].ID, r.Problem.Positions[m.Position].Name
	s.StopComparing()
	for i := range s.Bench.Stages {
		if s.Bench.Stages[i].Clip == clip {
			s.Bench.Activate(i)
		}
	}
	s.GoTo(position)
}

// mended says what was done.
func mended(l *annotations.Lesson, e *annotations.MendMistake) bench.Note {
	const undo = " Ctrl+Z takes it back."
	switch e.What {
	case geometry.ViewsSwapped:
		return "The views of the clips are swapped." + undo
	case geometry.OtherHand:
		if l.Student.Handed == geometry.LeftHanded {
			return "The student is left-handed now." + undo
		}
		return "The student is right-handed now." + undo
	}
	if l.Swing(e.Swing).Clip(e.Clip).Mirrored {
		return "The clip counts as a mirror image now; it is shown as it was filmed." + undo
	}
	return "The clip does not count as a mirror image any more." + undo
}
