package profile

import (
	"turngauge/annotations"
	"turngauge/annotations/place"
)

// Standards are what lessons are judged by.
type Standards struct {
	// Base are the program's target ranges, and those of the coach's own file
	// after them; Targets are those that count for the open lesson: Base, and the
	// library's.
	Base, Targets annotations.Targets
	Rules         annotations.Rules
}

// Standards reads the coach's own target ranges and rules, if there are any, to
// stand after the program's. A file that can't be used is left out, and problems
// says so for the coach.
func (d Dirs) Standards() (s Standards, problems []string) {
	s = Standards{Base: annotations.DefaultTargets(), Rules: annotations.DefaultRules()}
	if data, err := place.Read(d.OwnTargets(), annotations.MaxBytes); err == nil {
		var own annotations.Targets
		if err := own.UnmarshalJSON(data); err != nil {
			problems = append(problems, "Your own target ranges in "+d.OwnTargets()+" are left out: "+err.Error())
		} else {
			s.Base = append(s.Base, own...)
		}
	}
	s.Targets = s.Base
	if data, err := place.Read(d.OwnRules(), annotations.MaxBytes); err == nil {
		own, err := annotations.ParseRules(data)
		if err != nil {
			problems = append(problems, "Your own rules in "+d.OwnRules()+" are left out: "+err.Error())
		} else {
			s.Rules = append(s.Rules, own...)
		}
	}
	return s, problems
}
