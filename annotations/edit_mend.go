package annotations

import (
	"fmt"
	"slices"

	"turngauge/geometry"
)

// MendMistake mends a mistake of a whole swing: views that are swapped, the other
// hand, a clip that is mirrored, or is not after all. What other mistakes take can't
// be done for the coach.
type MendMistake struct {
	Swing string
	What  geometry.MistakeKind
	Clip  string // of ClipMirrored
}

// Label says so.
func (e MendMistake) Label() string {
	switch e.What {
	case geometry.ViewsSwapped:
		return "swap the views"
	case geometry.OtherHand:
		return "change the student's hand"
	case geometry.ClipMirrored:
		return "mirror the clip"
	}
	return "mend " + string(e.What)
}

func (e MendMistake) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	switch e.What {
	case geometry.ViewsSwapped:
		return l.withSwing(i, func(s *Swing) {
			s.Clips = slices.Clone(s.Clips)
			for k := range s.Clips {
				if c := &s.Clips[k]; c.View == geometry.FaceOn {
					c.View = geometry.DownTheLine
				} else {
					c.View = geometry.FaceOn
				}
			}
		}), nil
	case geometry.OtherHand:
		next := *l
		if l.Student.Handed == geometry.LeftHanded {
			next.Student.Handed = geometry.RightHanded
		} else {
			next.Student.Handed = geometry.LeftHanded
		}
		return &next, nil
	case geometry.ClipMirrored:
		k, err := l.Swings[i].findClip(e.Clip)
		if err != nil {
			return nil, err
		}
		return l.withClip(i, k, func(c *Clip) { c.Mirrored = !c.Mirrored }), nil
	}
	return nil, fmt.Errorf("a mistake of this kind, %s, can't be mended by the program", e.What)
}

// Mend returns the edit that mends the mistake of the whole swing; ok is false where
// there is none, or it takes the coach's hand.
func (r *Result) Mend() (e MendMistake, ok bool) {
	m := r.Mistake()
	if m == nil {
		return e, false
	}
	e = MendMistake{Swing: r.Swing().ID, What: m.What}
	switch m.What {
	case geometry.ViewsSwapped, geometry.OtherHand:
		return e, true
	case geometry.ClipMirrored:
		e.Clip = r.Swing().Clips[m.Clip].ID
		return e, true
	}
	return MendMistake{}, false
}
