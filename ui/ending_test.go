package ui

import (
	"testing"
	"time"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// TestToldToEndTheLessonIsSaved ends a window that draws no more frames, as one does whose
// disk or display keeps it waiting: what was done last is on the disk before it is left.
func TestToldToEndTheLessonIsSaved(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press(key.NameEnd, 0)
	h.press("1", 0)
	closing, saving := closingTime, savingTime
	closingTime, savingTime = time.Millisecond, time.Minute // however busy the computer is
	t.Cleanup(func() { closingTime, savingTime = closing, saving })
	left := false
	h.a.endWithin(nil, func() {
		left = true
		l, _, err := annotations.Load(h.a.desk.Path)
		require.NoError(t, err)
		ref, ok := l.Swings[0].FrameOf("fo", geometry.Address)
		require.True(t, ok)
		assert.Equal(t, 47, ref.Index)
	})
	assert.True(t, left)

	// One that has closed meanwhile is not left from here.
	done := make(chan struct{})
	close(done)
	h.a.endWithin(done, func() { t.Error("it was left twice") })
	h.frame()
	assert.True(t, h.a.ending)
}
