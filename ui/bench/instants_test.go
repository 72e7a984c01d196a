package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestRoot: where a regression line crosses zero, held against the inverse prediction of
// Norman Draper and Harry Smith, "Applied Regression Analysis", 3rd ed. 1998, ch. 3, from
// memory: x0 = -a/b, with variance s^2 (1/n + (x0 - mean)^2/Sxx) / b^2. The five points
// were put through R's lm: a = -0.992, b = 0.500, s = 0.0350238.
func TestRoot(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4}
	y := []float64{-1.01, -0.47, -0.01, 0.55, 0.98}
	zero, sd, ok := root(x, y)
	require.True(t, ok)
	assert.InDelta(t, 1.984, zero, 1e-9)
	assert.InDelta(t, 0.031328, sd, 1e-5)

	_, _, ok = root(x[:2], y[:2])
	assert.False(t, ok, "two points have no residual")
	_, _, ok = root(x, []float64{0.1, -0.1, 0.1, -0.1, 0.1})
	assert.False(t, ok, "a level line crosses nowhere")
}
