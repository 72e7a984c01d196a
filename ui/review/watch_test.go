package review

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
)

// Of a swing that lies over this one both are recorded: the one that is seen, and the frame
// that lies over it, as strongly as it does.
func TestWhatLiesOverIsRecorded(t *testing.T) {
	w, r, _ := window(t, false)
	s := w.Open
	s.CompareWith("/elsewhere/lesson.json", w.Lesson(), w.Lesson().Swings[0].ID)
	s.StartComparing()
	for i := range s.Comparing.Stages {
		if s.Comparing.Stages[i].Clip == "" {
			s.Comparing.Stages[i].Clip = w.Lesson().Swings[0].Clips[0].ID
		}
	}
	beside := r.state()
	require.Len(t, beside.Views, 2)
	assert.Zero(t, beside.Over)
	r.doors.Shown, r.doors.Over = func() []int { return []int{0} }, func() (float64, bool) { return 0.3, true }
	over := r.state()
	require.Len(t, over.Views, 2)
	assert.InDelta(t, 0.3, over.Over, 1e-12)
	assert.False(t, over.Views[0].Other)
	assert.True(t, over.Views[1].Other)
	assert.Equal(t, s.Comparing.Stages[1].Frame, over.Views[1].Frame)
	assert.Equal(t, &review.Other{Lesson: "/elsewhere/lesson.json", Swing: w.Lesson().Swings[0].ID}, over.Other)
	r.doors.Over = func() (float64, bool) { return 0, false }
	assert.Len(t, r.state().Views, 1)
}
