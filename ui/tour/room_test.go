package tour

import (
	"image"
	"strings"
	"testing"
	"time"

	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
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
			Rows: func() bool { return true }, Row: func() string { return h.row }, Focus: func(layout.Context) {}, GoTo: func(geometry.PositionName) {},
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

// The guide asks for a point; where all are marked already, what is left to try is
// dragging one.
func TestMarkingIsSeenDoneByAMarkPlacedOrDragged(t *testing.T) {
	t.Parallel()
	clip := annotations.Clip{ID: "c1", View: geometry.FaceOn, File: "f.mp4", SHA256: strings.Repeat("0", 64), Width: 1920, Height: 1080}
	mark := annotations.Mark{Clip: clip.ID, Position: geometry.Address, Point: geometry.LeadHip, At: geometry.ImagePt{X: 960, Y: 500}}
	dragged := mark
	dragged.At.X += 7
	for name, c := range map[string]struct {
		there []annotations.Mark
		put   annotations.Mark
	}{
		"placed":  {put: mark},
		"dragged": {there: []annotations.Mark{mark}, put: dragged},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := oneSwing()
			l.Swings[0].Clips, l.Swings[0].Positions, l.Swings[0].Marks = []annotations.Clip{clip}, []annotations.Position{{Name: geometry.Address}}, c.there
			h := newTest(t, l)
			h.r.Start()
			h.r.Show(int(Guide))
			h.Frame()
			h.Wait(2 * pause)
			h.Frame()
			require.True(t, h.Shows("Marking"), "it waits to be tried")
			require.NoError(t, h.Open.Edit(annotations.SetMark{Swing: "s1", Mark: c.put}))
			h.Frame()
			assert.True(t, h.Shows("Marking"), "it stays to be seen done")
			h.Wait(pause + time.Millisecond)
			h.Frame()
			assert.True(t, h.Shows("The sheet"))
		})
	}
}

// The row under the pointer is known once the sheet was drawn, which is after the
// tour was asked: it has to ask for another frame by itself.
func TestARowPointedAtIsSeenWithoutTheNextEvent(t *testing.T) {
	t.Parallel()
	h := newTest(t, oneSwing())
	h.r.Start()
	h.r.Show(int(Sheet))
	var ops op.Ops
	var router input.Router
	draw := func() {
		ops.Reset()
		h.r.Layout(layout.Context{Ops: &ops, Now: time.Now(), Source: router.Source(), Metric: unit.Metric{PxPerDp: 1, PxPerSp: 1}, Constraints: layout.Exact(image.Pt(1600, 1000))})
		router.Frame(&ops)
	}
	draw()
	draw() // where what it drew first asked for one
	_, again := router.WakeupTime()
	require.False(t, again, "nothing is pointed at")
	h.row = "pelvis turn @ top"
	draw()
	_, again = router.WakeupTime()
	assert.True(t, again)
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
