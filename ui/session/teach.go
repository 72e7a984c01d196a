package session

import (
	"path/filepath"
	"slices"

	"turngauge/annotations/teach"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/propose"
)

// Teach has what hands corrected in one swing teach the others. What they marked on clothes
// is looked for in the others' pictures in the background first; then all is one step of undo.
func (s *Session) Teach() {
	l := s.Bench.Lesson()
	var ids []string
	for i := range l.Swings {
		if len(teach.Wants(l, l.Swings[i].ID)) > 0 {
			ids = append(ids, l.Swings[i].ID)
		}
	}
	switch {
	case s.teaching:
		s.env.Tell("The other swings are being taught already.")
		return
	case len(ids) == 0 || s.Bench.MarkingAgain():
		s.env.Tell(s.Bench.Teach(nil))
		return
	}
	s.teaching = true
	s.env.Tell(bench.Note("Looking in " + words.Count(len(ids), "other swing", "other swings") + " for what you marked on belt and shirt."))
	s.env.Go("Teaching the other swings", func() {
		var found []teach.Taught
		for _, id := range ids {
			marks, err := propose.Cloth(s.ctx, l, id, filepath.Dir(s.Path))
			if err != nil {
				return // the lesson is closed
			}
			for _, m := range marks {
				found = append(found, teach.Taught{Swing: id, Mark: m})
			}
		}
		s.env.Post(func() {
			s.teaching = false
			if s.closed {
				return
			}
			now := s.Bench.Lesson()
			found = slices.DeleteFunc(found, func(t teach.Taught) bool {
				was, _ := l.Swing(t.Swing).FrameOf(t.Mark.Clip, t.Mark.Position)
				swing := now.Swing(t.Swing)
				if swing == nil {
					return true
				}
				is, ok := swing.FrameOf(t.Mark.Clip, t.Mark.Position)
				return !ok || is.Index != was.Index
			})
			s.env.Tell(s.Bench.Teach(found))
		})
	}, func() { s.teaching = false })
}
