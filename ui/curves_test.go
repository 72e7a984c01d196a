package ui

import (
	"strings"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/bench"
)

func TestCurvesSayWhatIsMissing(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("I", 0)
	h.frame()
	require.True(t, h.a.curves.Shown())
	c, current := h.a.desk.Bench.Curves()
	require.NotNil(t, c)
	assert.True(t, current)
	assert.Nil(t, c.Fit)
	assert.NotEmpty(t, c.Reasons)
	assert.False(t, h.shows("Address"), "the panel has the place of the cards")
	h.press("I", 0)
	h.frame()
	assert.True(t, h.shows("Address"), "the cards are back")
	h.press("I", key.ModCtrl)
	h.press("I", key.ModShift)
	assert.Empty(t, h.a.clip.text, "nothing to copy")
}

// TestCurvesOfALessonWithoutClips asks for curves of a fully marked lesson whose
// clips are not there.
func TestCurvesOfALessonWithoutClips(t *testing.T) {
	h := newHarness(t)
	h.openMarked(func(map[string]any) {})
	h.press("I", 0)
	h.until("the reason", func() bool {
		c, _ := h.a.desk.Bench.Curves()
		return c != nil && len(c.Reasons) > 0
	})
	c, _ := h.a.desk.Bench.Curves()
	assert.Contains(t, strings.Join(c.Reasons, " "), "does not say where the face-on clip is")
	assert.True(t, h.shows("Try again"), "nothing is worked on")
	// They are asked for again once the marks change, and not before.
	h.frame()
	again, _ := h.a.desk.Bench.Curves()
	assert.Same(t, c, again)
}

func TestCurvesKeyFollowsTheMarks(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	before := b.CurvesKey()
	assert.Equal(t, before, b.CurvesKey())
	h.press("1", 0)
	h.frame()
	assert.NotEqual(t, before, b.CurvesKey(), "a key position was set")
	b.SetCurves(&bench.Curves{Of: before})
	_, current := b.Curves()
	assert.False(t, current)
	assert.Empty(t, b.Tracked("fo", 0))
	_, ok := b.CurveSeconds(0)
	assert.False(t, ok)
	b.GoToCurve(0) // nothing to go by
}
