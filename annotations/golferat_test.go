package annotations

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestGolferAt: where the coach has pointed at the golfer goes with the document; a place
// far outside the picture is refused by its path.
func TestGolferAt(t *testing.T) {
	l := filmed(geometry.RightHanded)
	l.Swings[0].Clips[0].GolferAt = geometry.ImagePt{X: 512, Y: 300.5}
	text, err := l.Encode()
	require.NoError(t, err)
	assert.Contains(t, string(text), `"golfer_at"`)
	back, warnings, err := Decode(text)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, l.Swings[0].Clips[0].GolferAt, back.Swings[0].Clips[0].GolferAt)
	assert.Equal(t, geometry.ImagePt{}, back.Swings[0].Clips[1].GolferAt)

	l.Swings[0].Clips[0].GolferAt.X = 1e6
	text, err = l.Encode()
	if err == nil {
		_, _, err = Decode(text)
	}
	assert.ErrorContains(t, err, "swings[0].clips[0].golfer_at[0]")
}
