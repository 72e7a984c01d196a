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

func TestEvaluateComparesWithTheSwingBefore(t *testing.T) {
	l := filmed(geometry.RightHanded)
	before, err := Evaluate(context.Background(), l, 0, Options{})
	require.NoError(t, err)
	later := l.Clone()
	for i := range later.Swings[0].Marks {
		if m := &later.Swings[0].Marks[i]; m.Position == geometry.Top {
			m.At.X += 30
		}
	}
	now, err := Evaluate(context.Background(), later, 0, Options{Previous: before})
	require.NoError(t, err)
	m, b := now.Find("sway", geometry.Top), before.Find("sway", geometry.Top)
	require.NotNil(t, m)
	require.NotNil(t, m.Change)
	assert.Equal(t, b.Measure, *m.Before)
	assert.InDelta(t, m.Value-b.Value, m.Change.Value, 1e-12)
	assert.Nil(t, b.Before, "nothing was compared then")
	var none *Result
	assert.Nil(t, none.Find("sway", geometry.Top))
	assert.Nil(t, none.Points(geometry.Top))
}
