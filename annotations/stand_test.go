package annotations

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestStand: where the phone stood goes with the document into what is fitted, and is
// counted from 1.
func TestStand(t *testing.T) {
	t.Parallel()
	l := filmed(geometry.RightHanded)
	l.Swings[0].Clips[1].Stand = 3
	data, err := l.Encode()
	require.NoError(t, err)
	back, warnings, err := Decode(data)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, []int{0, 3}, []int{back.Swings[0].Clips[0].Stand, back.Swings[0].Clips[1].Stand})
	sw, _ := Problem(back, 0)
	assert.Equal(t, 3, sw.Clips[1].Stand)
	back.Swings[0].Clips[1].Stand = -1
	assert.ErrorContains(t, back.Validate(), "stand")
}
