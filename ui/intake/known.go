package intake

import (
	"fmt"
	"math"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
)

// sameName reports whether two names are one but for upper and lower case and spaces:
// those rename nobody.
func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// recall looks for the last lesson of the student whose name is written, and fills in
// from it what the coach has not.
func (r *Student) recall() {
	s := &r.formState
	name := strings.TrimSpace(s.name.Text())
	if s.known != nil && !sameName(s.known.Student.Name, name) {
		r.forget()
	}
	if name == "" || s.known != nil {
		return
	}
	asked := s
	r.last(name, func(l *annotations.Lesson) {
		if l == nil || !asked.open || s.known != nil || !sameName(l.Student.Name, strings.TrimSpace(s.name.Text())) {
			return
		}
		r.fill(l)
	})
}

// fill takes over what the last lesson says of the student, in the fields that are
// empty still.
func (r *Student) fill(l *annotations.Lesson) {
	s := &r.formState
	s.known = l
	if !s.handSaid {
		s.handed = l.Student.Handed
	}
	if !s.sexSaid {
		s.sexOf = int(l.Student.Sex)
	}
	s.filled = [3]string{}
	if l.Student.StatureM > 0 {
		s.filled[0] = fmt.Sprintf("%.0f", 100*l.Student.StatureM)
		if r.host.Settings().Imperial {
			inches := math.Round(l.Student.StatureM / 0.0254)
			s.filled[0] = fmt.Sprintf("%.0f %.0f", math.Floor(inches/12), math.Mod(inches, 12))
		}
	}
	if l.Student.MassKg > 0 {
		s.filled[1] = fmt.Sprintf("%.0f", l.Student.MassKg)
	}
	if n := len(l.Swings); n > 0 {
		s.filled[2] = l.Swings[n-1].Club.Name
	}
	for i, f := range s.fillable() {
		if f.Text() == "" {
			f.SetText(s.filled[i])
		} else {
			s.filled[i] = "" // the coach's own
		}
	}
}

// forget takes back what was filled in: the name is another's.
func (r *Student) forget() {
	s := &r.formState
	s.known = nil
	for i, f := range s.fillable() {
		if s.filled[i] != "" && f.Text() == s.filled[i] {
			f.SetText("")
		}
	}
	if !s.handSaid {
		s.handed = geometry.RightHanded
	}
	if !s.sexSaid {
		s.sexOf = 0
	}
}

// knownFrom says where what is filled in comes from, or "".
func (r *Student) knownFrom() string {
	l := r.known
	if l == nil {
		return ""
	}
	if l.Date == "" {
		return l.Student.Name + " is known: filled in from the last lesson."
	}
	return l.Student.Name + " is known: filled in from the lesson of " + l.Date + "."
}
