package annotations

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// TestAResultStandsWhileItsSolverGoesOn asks a result for all that is shown of it
// while the solver it came from follows the hand: under the race detector nothing
// may be shared, and what the result says must not change.
func TestAResultStandsWhileItsSolverGoesOn(t *testing.T) {
	l := filmed(geometry.RightHanded)
	solver := fit.NewSolver()
	o := Options{Solver: solver, Targets: DefaultTargets(), Rules: DefaultRules()}
	r, err := Evaluate(context.Background(), l, 0, o)
	require.NoError(t, err)
	require.False(t, r.Fit.Warm)
	before := r.Report()
	done := make(chan struct{})
	go func() {
		defer close(done)
		moved := l.Clone()
		for range 3 {
			moved.Swings[0].Marks[0].At.X++
			later, err := Evaluate(context.Background(), moved, 0, o)
			if assert.NoError(t, err) {
				assert.True(t, later.Fit.Warm)
			}
		}
	}()
	for range 3 {
		assert.Equal(t, before, r.Report())
		for i := range r.Problem.Clips {
			_, _, ok := r.Solution.Reproject(i, 0, geometry.LeadHip)
			assert.True(t, ok)
		}
	}
	_, ok := r.Sharpen(func() bool { return false })
	assert.True(t, ok)
	<-done
}

func TestNothingIsFoundInNoResult(t *testing.T) {
	var none *Result
	assert.Nil(t, none.Find("sway", geometry.Top))
	assert.Nil(t, none.Points(geometry.Top))
}
