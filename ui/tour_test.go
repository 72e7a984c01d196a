package ui

import (
	"image"
	"testing"
	"time"

	"turngauge/ui/help"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheTourGoesOnByDoingOrByNext(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press(key.NameF1, key.ModShift)
	require.True(t, h.a.tour.On())
	h.find("One swing, two views")
	h.press("D", 0)
	h.now = h.now.Add(time.Second)
	h.frame()
	h.frame()
	h.find("Key positions")
	h.press("1", 0)
	h.now = h.now.Add(time.Second)
	h.frame()
	h.frame()
	h.find("Marking")
	h.click("Back")
	h.frame()
	h.find("Key positions")
	for range 3 {
		h.click("Next")
		h.frame()
	}
	h.find("Seen from above")
	h.click("Done")
	assert.False(t, h.a.tour.On())
	assert.True(t, h.a.dirs.Settings().TourSeen, "never again unasked")
}

func TestTheTourCanBeSkippedAndCalledFromTheHelp(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.a.tour.DemoOpened()
	h.frame()
	require.True(t, h.a.tour.On(), "unasked the first time")
	h.click("Skip the tour")
	assert.False(t, h.a.tour.On())
	h.a.tour.DemoOpened()
	assert.False(t, h.a.tour.On(), "and never again")

	h.press(key.NameF1, 0)
	h.click("A tour of the window in five steps")
	require.True(t, h.a.tour.On())
	assert.False(t, roomOf[*help.Room](h.a).IsOpen())
	h.press(key.NameEscape, 0)
	assert.False(t, h.a.tour.On())
}

// TestTheTourStaysInsideTheWindow and off the panel that it rings.
func TestTheTourStaysInsideTheWindow(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.a.tour.Start()
	for _, size := range []image.Point{{1100, 700}, {1280, 800}, {2560, 1440}} {
		for _, scale := range []float32{0.8, 1, 1.5, 2} {
			h.size = size
			h.a.settings.TextScale = scale
			for step := range 5 {
				h.a.tour.Show(step)
				h.frame()
				h.frame()
				r := h.find("Tour")
				assert.True(t, r.In(image.Rectangle{Max: size}), "step %d at %v and %.1f: %v", step, size, scale, r)
				assert.Less(t, r.Dy(), size.Y-20, "step %d at %v and %.1f", step, size, scale)
			}
		}
	}
}
