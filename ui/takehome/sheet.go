package takehome

import (
	"time"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Sheet is what a student takes home, in words, pictures and diagrams. It is
// not changed after [Build].
type Sheet struct {
	Student, Date, Coach, Place, Club string    // "" where not known
	Day                               time.Time // of the lesson; zero where not known
	// Lead says in a sentence or two what the sheet comes to.
	Lead string
	// Academy is whose sheet it is; the zero value leaves it out.
	Academy Academy
	// Strip are photographs of the key positions, all cut alike.
	Strip []Picture
	// Plans are the golfer from above, now and before; none where neither hips
	// nor shoulders are known.
	Plans    []Drawing
	Film     *Picture // of the film of what was said; nil for none
	PlanNote string   // how to read them
	Findings []Finding
	Work     annotations.Prescription
	Next     []string // what to film next
	Mark     []string // what to mark next: for the coach
	Shots    *Shots   // nil where the lesson has not two blocks of them
	// Earlier says when the lesson was that Changes are since; "" for none.
	Earlier  string
	Changes  []Change
	Courses  []Course // measures over the lessons
	Numbers  []Number // with a target range
	Found    []Number // those that findings rest on, as they were taken
	How      string   // how the numbers were got, and how sure they are
	Cautions string

	logo *Picture // the academy's, as JPEG; nil for none

	// Notes are for the coach and not on the sheet: what was left out, and why.
	Notes []string
}

// Finding is one of the coach's findings.
type Finding struct {
	Text string
	// The others are "" or nil for a finding that rests on no measure.
	Number   string // "31°"
	Interval string // "25 to 37°"
	Verdict  geometry.Verdict
	Picture  *Picture
	// Before is the same at the lesson before, or nil.
	Before *Picture
	// Plain is the number in words, first of all, with how it has changed.
	Plain string
	// Weight orders findings by how much they matter: by how many times the half
	// of its interval a number lies outside the range; what the coach wrote
	// without a number comes before all others.
	Weight float64
}

// Academy is where the coach teaches.
type Academy struct {
	Name, Address string // a line each; "" for none
	Logo          []byte // PNG or JPEG; nil for none
}

// Picture is a part of a frame with the lines that matter.
type Picture struct {
	JPEG          []byte
	Width, Height int    // pixels
	Caption       string // which frame it is
	Says          string // for those who can't see it
}

// Number is a measure with a target range.
type Number struct {
	Name, Number, Interval, Target string
	Verdict                        geometry.Verdict
	Said                           string // the verdict as it is said of this measure
	Scale                          Drawing
	Told                           bool // it stands among the findings
}

// Change is a measure now and at an earlier lesson.
type Change struct {
	Name, Before, Now, Change string
	Known                     bool   // its direction is told
	Word                      string // "very likely more: closer to what we look for", "can't tell"
	Brief                     string // "very likely", "can't tell"
}

// Title is the title of the document.
func (s *Sheet) Title() string {
	t := "Take-home sheet"
	if s.Student != "" {
		t += " for " + s.Student
	}
	if s.Date != "" {
		t += ", " + s.Date
	}
	return t
}

// facts are what stands under the student's name.
func (s *Sheet) facts() []string {
	var out []string
	add := func(before, text string) {
		if text != "" {
			out = append(out, before+text)
		}
	}
	add("", s.Date)
	add("Coach ", s.Coach)
	add("", s.Place)
	add("", s.Club)
	return out
}
