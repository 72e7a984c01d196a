package bundle

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
)

// TestSteady: the derivatives of the steady unknowns are those by differences, and marks
// only add to what is known of them beforehand.
func TestSteady(t *testing.T) {
	f := film(t, 3, filmed{})
	p, st := f.p, f.st
	q := f.e.Posterior(st)
	for at := range p.nG {
		const h = 1e-5
		x := make([]float64, p.Unknowns())
		x[at] = h
		up := p.steadyValues(stepBy(p, st, x))
		x[at] = -h
		down := p.steadyValues(stepBy(p, st, x))
		for i, row := range q.steadyRows() {
			var want float64
			for _, a := range row {
				if a.at == at {
					want += a.by
				}
			}
			assert.InDelta(t, want, (up[i]-down[i])/(2*h), 1e-6, "steady %d by unknown %d", i, at)
		}
	}
	s := q.Steady()
	require.NotNil(t, s)
	require.Len(t, s.Values, SteadyBody+2*SteadyCamera)
	var c mat.Cholesky
	require.True(t, c.Factorize(s.Prior))
	prior := new(mat.SymDense)
	require.NoError(t, c.InverseTo(prior))
	for i := range s.Values {
		assert.Positive(t, s.Covariance.At(i, i))
		assert.Less(t, math.Sqrt(s.Covariance.At(i, i)), 1.001*math.Sqrt(prior.At(i, i)), "steady %d", i)
	}
	assert.InDelta(t, math.Log(geometry.TypicalStatureM), s.PriorMean[geometry.NumSegments], 0.2)
}
