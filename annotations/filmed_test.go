package annotations

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/geometry/motion"
)

// TestSlowMotionKeepsTheTempo stretches the times of a marked swing to a playback of
// 30 frames a second, as phones store slow motion, and says that it was filmed at
// 240. The times of backswing and downswing then are those of the golfer that was
// filmed, to a frame, and as sure as without stretching; where it is said to be life's they
// are eight times as long.
func TestSlowMotionKeepsTheTempo(t *testing.T) {
	times := func(l *Lesson) map[string]geometry.Measure {
		p, _ := Problem(l, 0)
		measures, missing := geometry.TempoMeasures(p.Positions, p.Clips)
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
	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].Speed = LifesSpeed
	}
	assert.InDelta(t, 8*down, times(l)["downswing time"].Value, 8.0/240)

	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].FilmedFPS, l.Swings[0].Clips[i].Speed = 240, SpeedUntold
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

// TestAStretchedClipIsAskedAbout stretches the times of a marked swing by two, four and
// eight, as players store 60, 120 and 240 frames a second at 30, and says nothing of
// it: its downswing then lasts 0.54 s and longer, which no tour player's does (0.23 to
// 0.33 s: Grober and Cholewicki 2006). Neither tempo nor speeds are stated, the rate is
// recognised, and saying it, or that this golfer is so slow, brings the numbers.
func TestAStretchedClipIsAskedAbout(t *testing.T) {
	const camera = 240
	tempo := func(l *Lesson) ([]geometry.Measure, []geometry.Missing) {
		p, _ := Problem(l, 0)
		return geometry.TempoMeasures(p.Positions, p.Clips)
	}
	stretched := func(by int64, clips ...int) *Lesson {
		l := filmed(geometry.RightHanded)
		s := &l.Swings[0]
		for i := range s.Positions {
			for k := range s.Positions[i].Frames {
				f := &s.Positions[i].Frames[k]
				for _, c := range clips {
					if f.Clip == s.Clips[c].ID {
						f.PTS *= by
					}
				}
			}
		}
		return l
	}
	for _, by := range []int64{2, 4, 8} {
		l := stretched(by, 0, 1)
		s := &l.Swings[0]
		for i := range s.Clips {
			assert.Equal(t, geometry.ClockOpen, s.Clock(&s.Clips[i]), "by %d", by)
			assert.InDelta(t, camera, s.LikelyFPS(&s.Clips[i]), 0)
		}
		m, missing := tempo(l)
		assert.Empty(t, m)
		require.Len(t, missing, 3)
		assert.Equal(t, geometry.NoClock, missing[0].Why)
		p, _ := Problem(l, 0)
		assert.Contains(t, motion.Missing(&p), motion.Lack{What: motion.NoClock, View: geometry.FaceOn})

		e := NewEditor(l)
		require.NoError(t, e.Apply(SetSpeed{Swing: s.ID, Clip: s.Clips[0].ID, FilmedFPS: camera}))
		m, _ = tempo(e.Lesson())
		require.Len(t, m, 3)
		assert.InDelta(t, 3, m[0].Value, 0.3)
		require.NoError(t, e.Apply(SetSpeed{Swing: s.ID, Clip: s.Clips[1].ID, Speed: LifesSpeed}))
		assert.Equal(t, geometry.LifesTime, e.Lesson().Swings[0].Clock(&e.Lesson().Swings[0].Clips[1]))
		e.Undo()
		e.Undo()
		m, _ = tempo(e.Lesson())
		assert.Empty(t, m)
	}
	// One clip stretched by two, or by four: the other tells.
	l := stretched(4, 1)
	s := &l.Swings[0]
	assert.Equal(t, geometry.LifesTime, s.Clock(&s.Clips[0]))
	assert.Equal(t, geometry.ClockOpen, s.Clock(&s.Clips[1]))
	m, _ := tempo(l)
	assert.Len(t, m, 3, "the other clip has them")

	// A clip whose speed changes has no times, and the document keeps that.
	for i := range s.Clips {
		s.Clips[i].Speed = VariedSpeed
	}
	text, err := l.Encode()
	require.NoError(t, err)
	assert.Equal(t, 2, strings.Count(string(text), `"speed": "varies"`))
	l, warnings, err := Decode(text)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	_, missing := tempo(l)
	require.NotEmpty(t, missing)
	assert.Equal(t, geometry.UnevenClock, missing[0].Why)
}
