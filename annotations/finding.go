package annotations

import (
	"slices"

	"turngauge/annotations/jsontree"
	"turngauge/geometry"
)

// Finding is one thing about a swing that the coach tells the student, with
// the number it rests on as it stood when the coach took it.
type Finding struct {
	ID string
	// Rule is the rule that proposed it, "" for one of the coach's own.
	Rule string
	Text string
	// Frame is the frame that shows it, as the coach chose it; without a clip where
	// none is chosen.
	Frame FrameRef
	// Measure and Position name the measure it rests on; "" for none. The
	// other fields are only of use with a measure.
	Measure  string
	Position geometry.PositionName
	Value    float64 // in Unit, with its 95 % interval
	Low95    float64
	High95   float64
	Unit     geometry.Unit
	Verdict  geometry.Verdict // CantTell where there was no target range

	unknown *jsontree.Fields
}

// Prescription is what the student takes away to work on.
type Prescription struct {
	SetUp    []string // changes of the set-up, one or two
	Feel     string
	Drill    string
	FilmNext string // what to film before the next lesson

	unknown *jsontree.Fields
}

// Empty reports whether nothing is prescribed.
func (p *Prescription) Empty() bool {
	return len(p.SetUp) == 0 && p.Feel == "" && p.Drill == "" && p.FilmNext == ""
}

func (p *Prescription) clone() Prescription {
	c := *p
	c.SetUp = slices.Clone(p.SetUp)
	return c
}

// FindingIndex returns the index in Findings of the one with an ID, or -1.
func (s *Swing) FindingIndex(id string) int {
	return slices.IndexFunc(s.Findings, func(f Finding) bool { return f.ID == id })
}

// FindingOf returns the finding that rests on a measure.
func (s *Swing) FindingOf(measure string, position geometry.PositionName) (Finding, bool) {
	for _, f := range s.Findings {
		if f.Measure == measure && f.Position == position {
			return f, true
		}
	}
	return Finding{}, false
}

// SetFinding adds a finding, or replaces the one with the same ID.
type SetFinding struct {
	Swing   string
	Finding Finding
	Gesture uint64 // as for SetMark
}

// Label says so.
func (e SetFinding) Label() string { return "write a finding" }

func (e SetFinding) mergeKey() any {
	return textKeyOf("finding "+e.Finding.ID+" "+e.Swing, e.Gesture)
}

func (e SetFinding) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	f := e.Finding
	k := l.Swings[i].FindingIndex(f.ID)
	if k < 0 {
		return l.withSwing(i, func(s *Swing) { s.Findings = append(slices.Clone(s.Findings), f) }), nil
	}
	f.unknown = l.Swings[i].Findings[k].unknown
	if l.Swings[i].Findings[k] == f {
		return l, nil
	}
	return l.withSwing(i, func(s *Swing) {
		s.Findings = slices.Clone(s.Findings)
		s.Findings[k] = f
	}), nil
}

// DropFinding takes a finding out. One that is not there is no error.
type DropFinding struct{ Swing, ID string }

// Label says so.
func (e DropFinding) Label() string { return "drop a finding" }

func (e DropFinding) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	k := l.Swings[i].FindingIndex(e.ID)
	if k < 0 {
		return l, nil
	}
	return l.withSwing(i, func(s *Swing) { s.Findings = slices.Delete(slices.Clone(s.Findings), k, k+1) }), nil
}

// SetPrescription replaces the lesson's prescription.
type SetPrescription struct {
	Prescription Prescription
	Gesture      uint64 // as for SetMark
}

// Label says so.
func (e SetPrescription) Label() string { return "change the prescription" }

func (e SetPrescription) mergeKey() any { return textKeyOf("prescription", e.Gesture) }

func (e SetPrescription) apply(l *Lesson) (*Lesson, error) {
	p, old := e.Prescription.clone(), &l.Prescription
	p.unknown = old.unknown
	if p.Feel == old.Feel && p.Drill == old.Drill && p.FilmNext == old.FilmNext && slices.Equal(p.SetUp, old.SetUp) {
		return l, nil
	}
	next := *l
	next.Prescription = p
	return &next, nil
}
