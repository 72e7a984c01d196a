package intake

import (
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

// TestTheSpeedOfAClipIsAnUndoableEdit opens the card on a swing whose marks are those of
// slow motion stretched to eight times its time: what is likely is named first, taking it
// makes the lesson say so, and undo takes it back.
func TestTheSpeedOfAClipIsAnUndoableEdit(t *testing.T) {
	l, _, err := annotations.Load("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	sw := &l.Swings[0]
	for i := range sw.Positions {
		for k := range sw.Positions[i].Frames {
			sw.Positions[i].Frames[k].PTS *= 8
		}
	}
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room { return NewSpeeds(w) })
	r := w.Room.(*Speeds)
	w.Key("W", key.ModShift)
	require.True(t, r.IsOpen())
	clip := func() *annotations.Clip { return &w.Lesson().Swings[0].Clips[0] }
	require.Equal(t, geometry.ClockOpen, w.Lesson().Swings[0].Clock(clip()))
	first := r.rows[0].answers[0]
	assert.Positive(t, first.fps)
	assert.Equal(t, "life's speed", r.rows[0].answers[1].String())
	assert.True(t, w.Shows("Done"))

	w.Frame()
	w.Click(first.String())
	w.Frame()
	assert.InDelta(t, first.fps, clip().FilmedFPS, 0)
	assert.Equal(t, geometry.LifesTime, w.Lesson().Swings[0].Clock(clip()))
	w.Open.Bench.Editor().Undo()
	assert.Zero(t, clip().FilmedFPS)
	w.Key(key.NameEscape, 0)
	assert.False(t, r.IsOpen())
}
