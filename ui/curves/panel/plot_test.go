package panel

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry/motion"
)

func TestRound(t *testing.T) {
	for _, c := range []struct {
		lo, hi, ticks   float64
		low, high, step float64
	}{
		{-97, 88, 5, -100, 100, 50},
		{0, 1, 4, 0, 1, 0.5},
		{3, 3, 3, 2, 4, 1},
	} {
		r := valueRange{}
		r.include(c.lo, c.hi)
		r.round(c.ticks)
		assert.InDelta(t, c.step, r.step, 1e-9)
		assert.LessOrEqual(t, r.low, c.lo)
		assert.GreaterOrEqual(t, r.high, c.hi)
		assert.InDelta(t, c.low, r.low, c.step/2)
		assert.InDelta(t, c.high, r.high, c.step/2)
	}
}

func TestRunsLeaveGaps(t *testing.T) {
	c := motion.Curve{Values: make([]motion.Value, 6)}
	for _, i := range []int{1, 2, 5} {
		c.Values[i].Known = true
	}
	var got [][2]int
	runs(&c, func(from, to int) { got = append(got, [2]int{from, to}) })
	assert.Equal(t, [][2]int{{1, 3}, {5, 6}}, got)
}
