package motion_test

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/motion"
)

// followed is a bar that swings on after the strike, slower and slower, until it rests;
// slow is how many times slower than life it plays.
type followed struct {
	bar
	slow float64
	cut  float64 // seconds of life at which the clip ends
}

const restS = barStrike + 0.8

func (s followed) Frames() int           { return int(s.cut * s.fps()) }
func (s followed) Seconds(n int) float64 { return s.bar.Seconds(n) * s.slow }

func (s followed) Gray(ctx context.Context, n int, dst *image.Gray) error {
	if t := s.bar.Seconds(n); t > barStrike {
		left := max(1-(t-barStrike)/(restS-barStrike), 0)
		n = int((barStrike + 0.2*(1-left*left)) * s.fps())
	}
	return s.bar.Gray(ctx, n, dst)
}

// TestFinish: coming to rest is found within two tenths of a second before the last motion,
// at any speed of playing; not where the clip ends before.
func TestFinish(t *testing.T) {
	for _, s := range []followed{
		{slow: 1, cut: 4}, {bar: bar{rate: 120}, slow: 1, cut: 4}, {slow: 8, cut: 4}, {bar: bar{noise: 1.5}, slow: 1, cut: 4},
	} {
		n, ok, err := motion.Finish(context.Background(), s, size, barStrike*s.slow, s.slow)
		require.NoError(t, err)
		require.True(t, ok, "%+v", s)
		assert.InDelta(t, restS-0.1, s.Seconds(n)/s.slow, 0.1, "%+v", s)
	}
	for _, s := range []followed{{slow: 1, cut: barStrike + 0.4}, {slow: 1, cut: barStrike}, {bar: bar{still: true}, slow: 1, cut: 4}} {
		_, ok, err := motion.Finish(context.Background(), s, size, barStrike, 1)
		require.NoError(t, err)
		assert.False(t, ok, "%+v", s)
	}
}
