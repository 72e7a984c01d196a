package intake

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/annotations"
	"turngauge/geometry"
)

// TestAStudentWhoIsKnownIsFilledIn: whatever the upper and lower case of the name, the
// fields that are empty still come from the last lesson, and go with another name.
func TestAStudentWhoIsKnownIsFilledIn(t *testing.T) {
	h := newTest(t, nil)
	last := annotations.NewLesson()
	last.Date = "2026-05-02"
	last.Student = annotations.Student{Name: "Mara Lindqvist", Handed: geometry.LeftHanded, StatureM: 1.724, MassKg: 66}
	last.Swings = []annotations.Swing{{ID: "s1", Club: annotations.Club{Name: "7-iron"}}}
	h.student.last = func(name string, then func([]*annotations.Lesson)) {
		if sameName(name, last.Student.Name) {
			then([]*annotations.Lesson{last})
			return
		}
		then(nil)
	}
	h.student.Begin(nil)
	s := &h.student.formState
	s.mass.SetText("70") // the coach's own
	s.name.SetText("mara  lindqvist ")
	h.student.recall()
	assert.Equal(t, geometry.LeftHanded, s.handed)
	assert.Equal(t, []string{"172", "70", "7-iron"}, []string{s.stature.Text(), s.mass.Text(), s.club.Text()})
	assert.Equal(t, "Mara Lindqvist is known: filled in from the lesson of 2026-05-02.", h.student.knownFrom())
	s.name.SetText("Mara Lind")
	h.student.recall()
	assert.Equal(t, geometry.RightHanded, s.handed)
	assert.Equal(t, []string{"", "70", ""}, []string{s.stature.Text(), s.mass.Text(), s.club.Text()})
	assert.Empty(t, h.student.knownFrom())

	h.Settings().Imperial = true // an inch is 2.54 cm: 1.724 m are 67.9 inches
	s.name.SetText("Mara Lindqvist")
	h.student.recall()
	assert.Equal(t, "5 8", s.stature.Text())
}
