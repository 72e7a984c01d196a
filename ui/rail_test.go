package ui

import (
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/bench"
)

// railPoint returns where in the window the number over a frame of a rail is.
func (h *harness) railPoint(stage, frame int) f32.Point {
	st := &h.a.desk.Bench.Stages[stage]
	r := h.find("Time rail, " + st.View.String())
	x := h.a.stage.RailX(stage, frame)
	return f32.Pt(float32(r.Min.X)+x, float32(r.Min.Y)+6)
}

func TestProposedPositionsAreTakenDraggedAndTakenBack(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	b.HearStrike(0, 0.25, false)
	b.HearStrike(1, 0.20, false)
	b.Propose(0, []bench.Proposal{{Name: geometry.Top, Frame: 20}})
	h.frame()
	h.clickAt(h.railPoint(0, 20)) // a click on the number goes there
	assert.Equal(t, 20, b.Stages[0].Frame)
	assert.Empty(t, b.Swing().Positions)
	h.click("Take all key positions that are proposed; once they are, all marks proposed here")
	top, ok := b.Swing().FrameOf("fo", geometry.Top)
	require.True(t, ok)
	assert.Equal(t, 20, top.Index)
	impact, _ := b.Swing().FrameOf("dl", geometry.Impact)
	assert.Equal(t, 24, impact.Index)
	for _, taken := range []geometry.PositionName{geometry.Top, geometry.Impact} { // the pictures may show others meanwhile
		assert.False(t, b.ProposedAt(taken), "%s", taken)
	}

	h.point(pointer.Press, h.railPoint(1, 24), pointer.ButtonPrimary)
	h.point(pointer.Move, h.railPoint(1, 27), pointer.ButtonPrimary)
	h.point(pointer.Move, h.railPoint(1, 30), pointer.ButtonPrimary)
	assert.Equal(t, 30, b.Stages[1].Frame)
	h.point(pointer.Release, h.railPoint(1, 30), 0)
	impact, _ = b.Swing().FrameOf("dl", geometry.Impact)
	assert.Equal(t, 30, impact.Index)
	impact, _ = b.Swing().FrameOf("fo", geometry.Impact)
	assert.Equal(t, 30, impact.Index, "a quarter of a second into the other clip, as it was")
	h.press("Z", key.ModCtrl)
	impact, _ = b.Swing().FrameOf("dl", geometry.Impact)
	assert.Equal(t, 24, impact.Index)
}

func TestRailScrubsBetweenTheNumbers(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	h.press("4", 0) // the top, at the first frame
	below := h.railPoint(0, 10).Add(f32.Pt(0, 20))
	h.point(pointer.Press, below, pointer.ButtonPrimary)
	assert.Equal(t, 10, b.Stages[0].Frame)
	h.point(pointer.Move, h.railPoint(0, 33).Add(f32.Pt(0, 20)), pointer.ButtonPrimary)
	assert.Equal(t, 33, b.Stages[0].Frame)
	h.point(pointer.Release, h.railPoint(0, 33).Add(f32.Pt(0, 20)), 0)
	top, _ := b.Swing().FrameOf("fo", geometry.Top)
	assert.Equal(t, 0, top.Index, "scrubbing moves no key position")
}

func TestPreferencesAreKept(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press(",", key.ModCtrl)
	h.click("inches")
	h.click("512 MB")
	h.click("Done")
	assert.False(t, h.a.modal())
	assert.Equal(t, int64(512<<20), h.a.env.Budget.Limit())
	s := h.a.dirs.Settings()
	assert.True(t, s.Imperial)
	assert.Equal(t, int64(512), s.CacheMB)
}
