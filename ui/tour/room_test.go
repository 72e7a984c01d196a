package tour

import (
	"image"
	"testing"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

type test struct {
	*kittest.Window
	r              *Room
	row            string
	demos, cleared int
}

// newTest returns the tour of a window in which every part has its place; lesson
// may be nil.
func newTest(t *testing.T, lesson *annotations.Lesson) *test {
	t.Helper()
	h := &test{}
	h.Window = kittest.New(t, lesson, func(w *kittest.Window) kit.Room {
		h.r = New(w, w.Dirs, Doors{
			Demo: func() { h.demos++ }, Clear: func() { h.cleared++ },
			Rows: func() bool { return true }, Row: func() string { return h.row }, Focus: func(layout.Context) {},
		})
		return h.r
	})
	h.r.Place([NumPanels]image.Rectangle{
		Stages: image.Rect(0, 40, 1200, 700), Strip: image.Rect(0, 800, 800, 1000), Guide: image.Rect(800, 800, 1200, 1000),
		Sheet: image.Rect(1200, 40, 1600, 640), Plan: image.Rect(1200, 640, 1600, 1000),
	})
	return h
}

func oneSwing() *annotations.Lesson {
	return &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}}
}

func TestAStepIsSeenDoneBeforeTheNext(t *testing.T) {
	h := newTest(t, oneSwing())
	h.Key(key.NameF1, key.ModShift)
	assert.Equal(t, 1, h.cleared)
	h.r.Show(int(Sheet)) // the steps go through the parts in their order
	h.Frame()
	require.True(t, h.Shows("The sheet"))
	h.row = "pelvis turn @ top"
	h.Frame()
	assert.True(t, h.Shows("The sheet"))
	h.Wait(pause + time.Millisecond)
	h.Frame()
	assert.True(t, h.Shows("Seen from above"))
	h.Click("Done")
	assert.False(t, h.r.On())
	assert.Empty(t, h.Notes, "it was seen to its end")
}

func TestTourLeftEarlySaysHowItIsBegunAgain(t *testing.T) {
	h := newTest(t, oneSwing())
	h.r.Start()
	h.Frame()
	h.Key(key.NameEscape, 0)
	assert.False(t, h.r.On())
	require.Len(t, h.Notes, 1)
	assert.Contains(t, h.Notes[0], bench.Note("The tour is over."))
}

func TestTourWithoutALessonWaitsForTheDemo(t *testing.T) {
	h := newTest(t, nil)
	h.Settings().TourSeen = true
	h.r.Start()
	assert.Equal(t, 1, h.demos)
	assert.False(t, h.r.On())
	h.Open = newTest(t, oneSwing()).Open
	h.r.DemoOpened()
	assert.True(t, h.r.On())
	h.r.LessonClosed()
	h.r.DemoOpened()
	assert.False(t, h.r.On(), "it was wanted once")
}
