package takehome

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/library"
	"turngauge/geometry"
)

// lessonsOf is a measure over lessons with a standard deviation of 2 degrees.
func lessonsOf(name string, values ...float64) []library.Value {
	days := []string{"2025-11-02", "2026-02-01", "2026-02-06", "2026-05-02"}
	var out []library.Value
	for i, v := range values {
		x := library.Value{Date: days[i], Name: name, Position: geometry.Top, Unit: geometry.Degrees, Value: v, SD: 2, Low95: v - 3.92, High95: v + 3.92,
			Target: &geometry.Range{Low: 40, High: 60}, Verdict: geometry.CantTell}
		if i > 0 {
			c := geometry.Changed(values[i-1], 2, v, 2, 0)
			x.Change = &c
		}
		out = append(out, x)
	}
	return out
}

// TestCourseOverLessons holds the words to the standard normal table (from memory:
// Φ(2.12) = 0.983, Φ(1.77) = 0.962, Φ(0.71) = 0.761): the difference of two values
// with a standard deviation of 2° has one of 2.83°.
func TestCourseOverLessons(t *testing.T) {
	more := courseOf(lessonsOf("pelvis turn", 31, 33, 34, 37), false, 0)
	assert.Equal(t, "6° ± 10° more since 2 November 2025: likely, closer to what we look for", more.Word)
	assert.True(t, more.Told)
	within := courseOf(lessonsOf("pelvis turn", 41, 44, 39, 46), false, 0)
	assert.Equal(t, "5° ± 10° more since 2 November 2025: likely", within.Word)
	assert.Contains(t, courseOf(lessonsOf("pelvis turn", 41, 44, 39, 46), false, 0.97).Word, "can't tell")
	open := courseOf(lessonsOf("pelvis turn", 41, 44, 39, 43), false, 0)
	assert.Equal(t, "2° ± 10° more since 2 November 2025: can't tell", open.Word)
	assert.False(t, open.Told)
	for _, s := range more.Plot.Shapes {
		for _, step := range s.Path {
			p := step.P[2]
			assert.True(t, step.Do == ClosePath || p.X >= 0 && p.X <= courseWidth && p.Y >= 0 && p.Y <= courseHeight, "%v", p)
		}
	}
	xs := coursePlaces(lessonsOf("", 1, 2, 3, 4), 100)
	assert.InDelta(t, 0, xs[0], 1e-9)
	assert.InDelta(t, 100, xs[3], 1e-9)
	assert.Greater(t, xs[2]-xs[1], 15.0, "five days apart, and told apart")
}

func TestSheetShowsTheCourse(t *testing.T) {
	l, path := fixture(t)
	r := Request{Lesson: found(l), Path: path, Course: [][]library.Value{
		lessonsOf("pelvis turn", 31, 33, 34, 37), lessonsOf("torso turn", 80, 84, 83, 91), lessonsOf("separation", 41, 40, 42, 39)}}
	s := build(t, r)
	require.Len(t, s.Courses, 3)
	html, err := s.HTML(A4)
	require.NoError(t, err)
	for _, want := range []string{"Over your lessons", "The three measures over your lessons", "Separation at the top", s.Courses[0].Word, s.Courses[0].Plot.Says} {
		assert.Contains(t, string(html), want)
	}
	pdf, _, err := s.PDF(A4)
	require.NoError(t, err)
	keep(t, "course.pdf", pdf)
	keep(t, "course.html", html)
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	text := flat(tool(t, "pdftotext", "-layout", file, "-"))
	for _, want := range []string{"Over your lessons", "Torso turn at the top", "since 2 November 2025"} {
		assert.Contains(t, text, want)
	}
	s.Courses = nil
	html, err = s.HTML(A4)
	require.NoError(t, err)
	assert.NotContains(t, string(html), "Over your lessons")
}
