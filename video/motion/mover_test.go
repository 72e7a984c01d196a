package motion_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/motion"
)

// TestMover: the middle of what moves before the strike lies within the reach of the bar
// that swings, also in noise and where somebody walks through the picture behind it; where
// nothing moves there is none.
func TestMover(t *testing.T) {
	for _, c := range []struct {
		name string
		clip bar
		ok   bool
	}{
		{"a swing", bar{restS: 9}, true},
		{"noise", bar{restS: 9, noise: 4}, true},
		{"30 frames a second", bar{restS: 9, rate: 30}, true},
		{"somebody crosses", bar{restS: 9, crosses: true}, true},
		{"nothing", bar{still: true}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			x, y, ok, err := motion.Mover(context.Background(), c.clip, size, barStrike-0.3, barStrike)
			require.NoError(t, err)
			require.Equal(t, c.ok, ok)
			if ok {
				assert.InDelta(t, 96.0/192, x, 50.0/192)
				assert.InDelta(t, 54.0/108, y, 50.0/108)
			}
		})
	}
}
