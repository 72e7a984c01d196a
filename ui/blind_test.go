package ui

import (
	"slices"
	"strings"
	"testing"

	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/repeats"
	"turngauge/ui/session"
)

// placeAsked clicks n points where the program asks for them, each moved by
// (dx, dy) picture pixels.
func (h *harness) placeAsked(n int, dx, dy float64) {
	h.t.Helper()
	for i := range n {
		h.clickAt(h.stagePoint(0, 120+10*float64(i)+dx, 40+12*float64(i)+dy))
	}
}

func TestMarkingAgainBlindInTheWindow(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	h.press("1", 0)
	h.press("M", 0)
	_, on := b.Blind()
	require.False(t, on)
	assert.Contains(t, h.a.notices.Passing(), "at least 6 points")

	h.placeAsked(8, 0, 0)
	h.press("M", 0)
	s, on := b.Blind()
	require.True(t, on)
	require.Equal(t, bench.Blind{Position: geometry.Address, Total: 8}, s)
	h.press("C", 0)
	assert.Contains(t, h.a.notices.Passing(), "being marked again")
	h.press("2", 0)
	assert.Len(t, b.Swing().Positions, 1, "no other key position is set meanwhile")

	h.placeAsked(3, 1, 0)
	h.press(key.NameEscape, 0)
	assert.Contains(t, h.a.notices.Passing(), "3 of 8 points")
	h.press("M", 0)
	s, _ = b.Blind()
	require.Equal(t, 3, s.Done)
	for i := 3; i < 8; i++ {
		h.clickAt(h.stagePoint(0, 121+10*float64(i), 40+12*float64(i)))
	}
	h.find("Every point is marked again")
	h.press(key.NameReturn, 0)
	require.True(t, roomIn[*repeats.Room](h.a).IsOpen())
	h.until("the comparison", func() bool { return h.begins("Use ") })
	h.click(h.labelled("Use "))
	assert.False(t, roomIn[*repeats.Room](h.a).IsOpen())
	// Each point strays by 1 px in x: √(Σd²/4n) = 0.5, lead and trail alike
	// face-on. A place is rounded to a window pixel.
	assert.InDelta(t, 0.5, b.Lesson().ClickSDPx, 0.15)
	assert.InDelta(t, b.Lesson().ClickSDPx, h.a.dirs.Settings().ClickSDPx, 1e-9, "kept for new lessons")

	h.press("M", key.ModShift)
	require.True(t, roomIn[*repeats.Room](h.a).IsOpen(), "the comparison can be looked at again")
	h.until("the comparison", func() bool { return h.begins("Back to ") })
	h.click("Throw the second marks away")
	assert.Empty(t, b.Swing().Repeats)
	h.press("Z", key.ModCtrl)
	assert.Len(t, b.Swing().Repeats, 8)
}

func TestNewLessonsAreMeasuredWithTheCoachsOwnClicks(t *testing.T) {
	h := newHarness(t)
	h.a.settings.ClickSDPx = 1.4
	h.click("New student")
	h.click("Begin the lesson")
	require.NotNil(t, h.a.desk)
	l, _, err := annotations.Load(h.a.desk.Path)
	require.NoError(t, err)
	assert.InDelta(t, 1.4, l.ClickSDPx, 1e-9)
}

func TestThePointIsChosenFromTheGuide(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("1", 0)
	h.click("Choose another point")
	require.True(t, h.a.points.Shown(), "the small drawing leads to the large one")
	h.frame()
	h.click("tailbone")
	p, ok := h.a.desk.Bench.Armed()
	require.True(t, ok)
	assert.Equal(t, geometry.Tailbone, p)
	assert.False(t, h.a.points.Shown())
	h.find("Click the tailbone")
}

func TestAMarkThatDisagreesSaysWhyInTheGuide(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("1", 0)
	h.placeAsked(1, 0, 0)
	d := h.a.desk
	h.until("the fit", func() bool { return d.Result.Revision == d.Bench.Editor().Revision() })
	const reason = "the lead hip at address in the face-on clip is 40 px from where the other marks put it"
	d.Result.Suspects = []session.Suspect{{Clip: "fo", Position: geometry.Address, Point: geometry.LeadHip, Reason: reason}}
	for range 2 { // the mark in hand, then the asked point
		d.Bench.LetGo()
	}
	h.clickAt(h.stagePoint(0, 120, 40))
	h.frame()
	h.find("Lead hip")
	assert.True(t, slices.ContainsFunc(h.labels(), func(text string) bool { return strings.HasPrefix(text, "Ringed: "+reason) }), h.labels())
}

func TestARingedMarkSaysWhyOnTheStage(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("1", 0)
	h.placeAsked(1, 0, 0)
	d := h.a.desk
	h.until("the fit", func() bool { return d.Result.Revision == d.Bench.Editor().Revision() })
	const reason = "the lead hip at address in the face-on clip is 40 px from where the other marks put it"
	d.Result.Suspects = []session.Suspect{{Clip: "fo", Position: geometry.Address, Point: geometry.LeadHip, Reason: reason}}
	for range 2 {
		d.Bench.LetGo()
	}
	h.point(pointer.Move, h.stagePoint(0, 200, 120), 0)
	h.frame()
	assert.False(t, h.shows(bench.Title(reason)+"."))
	h.point(pointer.Move, h.stagePoint(0, 120, 40), 0)
	h.frame()
	h.find(bench.Title(reason) + ".")
	inside := false
	for _, n := range h.nodes() {
		inside = inside || n.Desc.Label == bench.Title(reason)+"." && n.Desc.Bounds.In(h.find(pictureLabel(0, d.Bench)))
	}
	assert.True(t, inside, "inside the picture")
	h.clickAt(h.stagePoint(0, 120, 40))
	h.point(pointer.Move, h.stagePoint(0, 200, 120), 0)
	h.frame()
	h.find(bench.Title(reason) + ".")
}
