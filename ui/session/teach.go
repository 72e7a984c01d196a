package session

import (
	"path/filepath"
	"slices"

	"turngauge/annotations/teach"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/propose"
)

// foundOf notes what was looked for in vain.
func (s *Session) foundOf(wants []teach.Want, found []teach.Taught) {
	if s.sought == nil {
		s.sought = make(map[teach.Sought]bool)
	}
	for i := range wants {
		w := &wants[i]
		s.sought[w.Sought()] = !slices.ContainsFunc(found, func(t teach.Taught) bool {
			return t.Swing == w.Swing && t.Mark.Clip == w.Clip.ID && t.Mark.Position == w.Position && t.Mark.Point == w.Mark.Point
		})
	}
}

// Teaching reports whether the other swings are being taught in the background, and how
// often that has come to its end.
func (s *Session) Teaching() (on bool, ended int) { return s.teaching, s.teachings }

// TeachingOffer says what teaching the other swings would do now; what was looked for in
// vain in the same pictures is not looked for again.
func (s *Session) TeachingOffer() teach.Offer {
	o := teach.For(s.Bench.Lesson())
	o.Wants = slices.DeleteFunc(o.Wants, func(w teach.Want) bool { return s.sought[w.Sought()] })
	return o
}

// Teach has what hands corrected in one swing teach the others. What they marked on clothes
// is looked for in the others' pictures in the background first; then all is one step of undo.
func (s *Session) Teach() {
	l, o := s.Bench.Lesson(), s.TeachingOffer()
	ids := o.LookIn()
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
			s.teachings++
			if s.closed {
				return
			}
			s.foundOf(o.Wants, found)
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
