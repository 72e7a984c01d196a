package annotations

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestAFrameThatWasProposedIsLessSure: what rests on the instant of a key position
// that was merely taken is wider, until the coach sets it himself.
func TestAFrameThatWasProposedIsLessSure(t *testing.T) {
	l := filmed(geometry.RightHanded)
	sigma := func(l *Lesson, name string) float64 {
		r, err := Evaluate(context.Background(), l, 0, Options{})
		require.NoError(t, err)
		return r.Find(name, geometry.Impact).Sigma
	}
	tempo, turn := sigma(l, "tempo"), sigma(l, "pelvis turn")
	e := NewEditor(l)
	set := func(name geometry.PositionName, proposed bool) {
		for _, f := range l.Swings[0].Position(name).Frames {
			require.NoError(t, e.Apply(SetPosition{Swing: l.Swings[0].ID, Clip: f.Clip, Position: name, Index: f.Index, PTS: f.PTS, Proposed: proposed}))
		}
	}
	set(geometry.Address, true)
	assert.Greater(t, sigma(e.Lesson(), "tempo"), 1.5*tempo)
	set(geometry.Impact, true)
	assert.Greater(t, sigma(e.Lesson(), "pelvis turn"), 1.01*turn)

	data, err := e.Lesson().Encode()
	require.NoError(t, err)
	assert.Contains(t, string(data), `"proposed": true`)
	again, warnings, err := Decode(data)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, e.Lesson().Swings[0].Positions, again.Swings[0].Positions)

	set(geometry.Address, false)
	set(geometry.Impact, false)
	assert.Equal(t, l.Swings[0].Marks, e.Lesson().Swings[0].Marks, "the same frames: no mark becomes a proposal")
	assert.Equal(t, tempo, sigma(e.Lesson(), "tempo"))
}
