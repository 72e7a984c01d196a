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

// TestSomebodyNewOfAName: of two of one name the coach says who is meant, or that it is
// neither, who then is told apart from them.
func TestSomebodyNewOfAName(t *testing.T) {
	h := newTest(t, nil)
	list := make([]*annotations.Lesson, 2)
	for i := range list {
		list[i] = annotations.NewLesson()
		list[i].Date = []string{"2026-05-30", "2026-05-02"}[i]
		list[i].Student = annotations.Student{ID: []string{"one", "two"}[i], Name: "Mara Lindqvist", MassKg: 60 + float64(i), Injuries: "lead knee"}
	}
	h.student.last = func(_ string, then func([]*annotations.Lesson)) { then(list) }
	var apart []string
	h.student.apart = func(name string, then func()) {
		apart = append(apart, name)
		then()
	}
	var begun []annotations.Student
	h.student.begin = func(_ string, l *annotations.Lesson) bool {
		begun = append(begun, l.Student)
		return true
	}
	for who := range 3 {
		h.student.Begin(nil)
		h.student.name.SetText("mara LINDQVIST")
		h.student.recall()
		assert.Equal(t, []string{"last here 30 May 2026", "last here 2 May 2026", "somebody new"}, h.student.whoChoices())
		h.student.choose(who)
		assert.Equal(t, []string{"60", "61", ""}[who], h.student.mass.Text())
		h.student.createLesson()
	}
	assert.Equal(t, []string{"mara LINDQVIST"}, apart)
	assert.Equal(t, []string{"one", "two"}, []string{begun[0].ID, begun[1].ID})
	assert.Equal(t, "Mara Lindqvist", begun[1].Name, "upper and lower case rename nobody")
	assert.Equal(t, "lead knee", begun[1].Injuries)
	assert.NotContains(t, []string{"", "one", "two"}, begun[2].ID)
	assert.Empty(t, begun[2].Injuries)
}

// TestTheConsentForAMinorIsAskedFor: of somebody new who is a minor, and of nobody else.
func TestTheConsentForAMinorIsAskedFor(t *testing.T) {
	h := newTest(t, nil)
	last := annotations.NewLesson()
	last.Student = annotations.Student{ID: "one", Name: "Mara Lindqvist"}
	h.student.last = func(name string, then func([]*annotations.Lesson)) {
		if sameName(name, last.Student.Name) {
			then([]*annotations.Lesson{last})
			return
		}
		then(nil)
	}
	h.student.apart = func(_ string, then func()) { then() }
	begun := 0
	h.student.begin = func(string, *annotations.Lesson) bool { begun++; return true }
	var asked []string
	h.student.minor = func(path string, l *annotations.Lesson) {
		assert.FileExists(t, path)
		asked = append(asked, l.Student.Name)
	}
	begin := func(name string, minor bool, who int) {
		h.student.Begin(nil)
		h.student.isMinor = minor
		h.student.name.SetText(name)
		h.student.recall()
		h.student.choose(who)
		h.student.createLesson()
	}
	begin("Ida Solberg", true, 0)
	begin("Odd Bø", false, 0)
	begin("Mara Lindqvist", true, 0) // who is known
	begin("Mara Lindqvist", true, 1) // somebody new of that name
	assert.Equal(t, []string{"Ida Solberg", "Mara Lindqvist"}, asked)
	assert.Equal(t, 4, begun)
	begin(" ", true, 0)
	assert.Equal(t, 4, begun, "it is kept under a name")
	assert.NotEmpty(t, h.student.nameError)
	h.student.begin = func(string, *annotations.Lesson) bool { return false }
	begin("Ida Solberg", true, 0)
	assert.Len(t, asked, 2, "no lesson was opened")
}
