package ui

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
)

// TestAClipInSlowMotionKeepsLifesTime opens a lesson whose second clip plays four
// times slower than life: its file has 120 frames a second of a camera that took 480.
// Locked to the first by impact, it goes on by four frames for each of that one's.
func TestAClipInSlowMotionKeepsLifesTime(t *testing.T) {
	h := newHarness(t)
	h.openLessonOf(testClip, func(s *annotations.Swing) {
		s.Clips[1].FilmedFPS = 480
		s.Positions = []annotations.Position{{Name: geometry.Impact, Frames: []annotations.FrameRef{
			{Clip: "fo", Index: 10, PTS: 10 * 128}, {Clip: "dl", Index: 8, PTS: 8 * 128},
		}}}
	})
	b := h.a.desk.Bench
	assert.InDelta(t, 24.0/120, b.Stages[0].Film.Seconds(24), 1e-9)
	assert.InDelta(t, 24.0/480, b.Stages[1].Film.Seconds(24), 1e-9)
	b.Activate(0)
	b.GoTo(0, 10)
	b.SetLock(bench.LockByTime)
	b.GoTo(0, 14)
	assert.Equal(t, 8+4*4, b.Stages[1].Frame)
	b.Activate(1)
	b.GoTo(1, 40)
	assert.Equal(t, 10+8, b.Stages[0].Frame)
}
