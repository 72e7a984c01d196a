package annotations

import "slices"

// SetTried says what was tried in swings, so that they are told apart from the
// student's usual ones and compared with them; "" for the usual swing.
type SetTried struct {
	Swings  []string // IDs
	Tried   string
	Gesture uint64 // as for SetMark
}

// Label says so.
func (e SetTried) Label() string { return "say what was tried" }

func (e SetTried) mergeKey() any {
	if len(e.Swings) == 0 {
		return nil
	}
	return textKeyOf("tried "+e.Swings[0], e.Gesture)
}

func (e SetTried) apply(l *Lesson) (*Lesson, error) {
	next := l
	for _, id := range e.Swings {
		i, err := l.findSwing(id)
		if err != nil {
			return nil, err
		}
		if l.Swings[i].Tried != e.Tried {
			next = next.withSwing(i, func(s *Swing) { s.Tried = e.Tried })
		}
	}
	return next, nil
}

// Tries lists what was tried in the lesson, each once, in the order of the swings.
func (l *Lesson) Tries() []string {
	var out []string
	for i := range l.Swings {
		if t := l.Swings[i].Tried; t != "" && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}
