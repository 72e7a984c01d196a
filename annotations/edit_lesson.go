package annotations

import "turngauge/annotations/review"

// SetStudent replaces what is known of the student.
type SetStudent struct {
	Student Student
	Gesture uint64 // as for SetMark
}

// Label says so.
func (e SetStudent) Label() string { return "change student" }

func (e SetStudent) mergeKey() any { return textKeyOf("student", e.Gesture) }

func (e SetStudent) apply(l *Lesson) (*Lesson, error) {
	e.Student.unknown = l.Student.unknown
	if e.Student == l.Student {
		return l, nil
	}
	next := *l
	next.Student = e.Student
	return &next, nil
}

// Heading is one of the texts at the head of a lesson.
type Heading string

// The texts at the head of a lesson.
const (
	Title    Heading = "title"
	Date     Heading = "date" // year-month-day
	Coach    Heading = "coach"
	Place    Heading = "place"
	Notes    Heading = "notes"
	Question Heading = "question" // of the student
)

// SetHeading changes one of the texts at the head of a lesson. An empty text
// takes it out.
type SetHeading struct {
	Heading Heading
	Text    string
	Gesture uint64 // as for SetMark: one number while a field has the focus
}

// Label names the text.
func (e SetHeading) Label() string { return "change " + string(e.Heading) }

func (e SetHeading) mergeKey() any { return textKeyOf(string(e.Heading), e.Gesture) }

func (e SetHeading) apply(l *Lesson) (*Lesson, error) {
	next := *l
	var field *string
	switch e.Heading {
	case Title:
		field = &next.Title
	case Date:
		field = &next.Date
	case Coach:
		field = &next.Coach
	case Place:
		field = &next.Place
	case Notes:
		field = &next.Notes
	case Question:
		field = &next.Question
	default:
		panic("annotations: unknown heading " + string(e.Heading))
	}
	if *field == e.Text {
		return l, nil
	}
	*field = e.Text
	return &next, nil
}

// SetReviews replaces the narrated reviews of the lesson; review.List has what makes the
// new list. The files of one that is left out stay, so that it can be undone.
type SetReviews struct {
	Reviews review.List
	What    string // the label
	Gesture uint64 // as for SetMark
}

// Label says so.
func (e SetReviews) Label() string { return e.What }

func (e SetReviews) mergeKey() any { return textKeyOf("reviews "+e.What, e.Gesture) }

func (e SetReviews) apply(l *Lesson) (*Lesson, error) {
	next := *l
	next.Reviews = e.Reviews
	return &next, nil
}

type textKey struct {
	what    string
	gesture uint64
}

func textKeyOf(what string, gesture uint64) any {
	if gesture == 0 {
		return nil
	}
	return textKey{what, gesture}
}
