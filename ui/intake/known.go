package intake

import (
	"fmt"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/kit"
)

// sameName reports whether two names are one but for upper and lower case and spaces:
// those rename nobody.
func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// recall looks for the students whose name is written, and fills in from the last lesson
// of the first what the coach has not.
func (r *Student) recall() {
	s := &r.formState
	name := strings.TrimSpace(s.name.Text())
	if len(s.known) > 0 && !sameName(s.known[0].Student.Name, name) {
		r.forget()
		s.known, s.who = nil, 0
	}
	if name == "" || len(s.known) > 0 {
		return
	}
	asked := s
	r.last(name, func(list []*annotations.Lesson) {
		if len(list) == 0 || !asked.Shown || len(s.known) > 0 || !sameName(list[0].Student.Name, strings.TrimSpace(s.name.Text())) {
			return
		}
		s.known, s.who = list, 0
		r.fill(list[0])
	})
}

// is is the student who the lesson is for, by the last lesson; nil for one who is new.
func (s *formState) is() *annotations.Lesson {
	if s.who >= len(s.known) {
		return nil
	}
	return s.known[s.who]
}

// choose takes another of those of the name, or somebody new.
func (r *Student) choose(who int) {
	r.forget()
	r.who = who
	if l := r.is(); l != nil {
		r.fill(l)
	}
}

// whoChoices are those who may be meant by the name.
func (s *formState) whoChoices() (out []string) {
	for _, l := range s.known {
		switch {
		case len(s.known) == 1:
			out = append(out, "this student")
		case l.Date == "":
			out = append(out, "without a day")
		default:
			out = append(out, "last here "+words.Day(l.Date))
		}
	}
	return append(out, "somebody new")
}

// fill takes over what the last lesson says of the student, in the fields that are
// empty still.
func (r *Student) fill(l *annotations.Lesson) {
	s := &r.formState
	if !s.handSaid {
		s.handed = l.Student.Handed
	}
	if !s.sexSaid {
		s.sexOf = int(l.Student.Sex)
	}
	s.filled = [3]string{kit.StatureText(l.Student.StatureM, r.host.Settings().Imperial)}
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

// forget takes back what was filled in: another student is meant.
func (r *Student) forget() {
	s := &r.formState
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
	l := r.is()
	switch {
	case len(r.known) == 0:
		return ""
	case l == nil:
		return "Another student of this name is kept apart from " + r.known[0].Student.Name + "."
	case l.Date == "":
		return l.Student.Name + " is known: filled in from the last lesson."
	}
	return l.Student.Name + " is known: filled in from the lesson of " + l.Date + "."
}
