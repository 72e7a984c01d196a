package review

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
	"turngauge/ui/bench"
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

// Of curves that are open those are recorded that are chosen.
func TestCurvesAreRecorded(t *testing.T) {
	_, r, _ := window(t, false)
	assert.Nil(t, r.state().Curves)
	r.doors.Panels = func() []string { return []string{"curves"} }
	assert.Equal(t, &review.Curves{Names: []string{"sway"}, Speeds: true}, r.state().Curves)
}

// A passage that is said anew begins as it did: with the swing that was compared with, and as
// near.
func TestAPassageBeginsAsItDid(t *testing.T) {
	w, r, _ := window(t, false)
	s, id := w.Open, w.Lesson().Swings[0].ID
	r.bringOther(&review.Other{Swing: id})
	require.NotNil(t, s.Comparing)
	assert.Equal(t, &review.Other{Swing: id}, otherOf(s))
	r.bringOther(&review.Other{Swing: "none"})
	assert.Nil(t, s.Comparing, "it is gone")
	r.bringOther(&review.Other{Swing: id})
	r.bringOther(nil)
	assert.Nil(t, s.Comparing)

	st := &s.Show().Stages[0]
	st.Picture = bench.Size{W: 1080, H: 1920}
	st.Port = bench.Fit(st.Picture, r.doors.Size(0))
	r.zoom(0, [4]float64{400, 600, 350, 300})
	c := st.Port.Visible(st.Picture, r.doors.Size(0))
	assert.InDelta(t, 400, c.X0, 1)
	assert.InDelta(t, 900, c.Y1, 1)
	near := st.Port
	r.zoom(0, [4]float64{401, 601, 350, 300})
	assert.Equal(t, near, st.Port, "it is there already")
}
