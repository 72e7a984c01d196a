package fit

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// Marks that make no sense at all, anywhere in the picture and around it, end
// in a solution, in ErrNotConverged or in reasons, never in a hang or in
// numbers that are none.
func TestGarbageEnds(t *testing.T) {
	t.Parallel()
	for seed := range uint64(films(4, 24)) {
		r := rand.New(rand.NewPCG(seed, 99))
		o := fullFilm
		o.positions = []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact}
		if seed%3 > 0 {
			o.views = []geometry.View{geometry.View(1 + seed%2)}
		}
		f := makeFilm(r, o)
		for i := range f.swing.Marks {
			m := &f.swing.Marks[i]
			c := &f.swing.Clips[m.Clip]
			m.At = geometry.ImagePt{X: uniform(r, -1.5, 2.5) * float64(c.Width), Y: uniform(r, -1.5, 2.5) * float64(c.Height)}
		}
		sol, err := NewSolver().Solve(context.Background(), f.swing)
		if err != nil {
			require.ErrorIs(t, err, geometry.ErrNotConverged)
		}
		ms, _ := sol.Measures()
		for _, m := range ms {
			assert.True(t, geometry.Finite(m.Value, m.Sigma, m.Low95, m.High95), "%s at %s, seed %d", m.Name, m.Position, seed)
		}
	}
}
