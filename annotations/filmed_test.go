package annotations

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// TestSlowMotionKeepsTheTempo stretches the times of a marked swing to a playback of
// 30 frames a second, as phones store slow motion, and says that it was filmed at
// 240. The times of backswing and downswing then are those of the golfer that was
// filmed, to a frame, and as sure as without stretching; where nothing is said they
// are eight times as long.
func TestSlowMotionKeepsTheTempo(t *testing.T) {
	times := func(l *Lesson) map[string]geometry.Measure {
		p, _ := Problem(l, 0)
		measures, missing := geometry.TempoMeasures(p.Positions, len(p.Clips))
		require.Empty(t, missing)
		out := make(map[string]geometry.Measure)
		for _, m := range measures {
			out[m.Name] = m
		}
		return out
	}
	real := times(filmed(geometry.RightHanded))
	l := filmed(geometry.RightHanded)
	for i := range l.Swings[0].Positions {
		for k := range l.Swings[0].Positions[i].Frames {
			l.Swings[0].Positions[i].Frames[k].PTS *= 8
		}
	}
	e := golfer.Mara().Events()
	down := e[geometry.Impact] - e[geometry.Top]
	assert.InDelta(t, 8*down, times(l)["downswing time"].Value, 8.0/240)

	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].FilmedFPS = 240
	}
	text, err := l.Encode()
	require.NoError(t, err)
	assert.Equal(t, 2, strings.Count(string(text), `"filmed_fps": 240`))
	l, warnings, err := Decode(text)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	got := times(l)
	assert.InDelta(t, down, got["downswing time"].Value, 1.0/240)
	assert.InDelta(t, e[geometry.Top]-e[geometry.Address], got["backswing time"].Value, 1.0/240)
	for name, m := range got {
		assert.InDelta(t, real[name].Value, m.Value, 1e-9, name)
		assert.InDelta(t, real[name].Sigma, m.Sigma, 1e-9, name)
	}
}
