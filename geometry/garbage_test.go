package geometry

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Marks that make no sense at all, anywhere in the picture and around it, end
// in a solution, in ErrNotConverged or in reasons, never in a hang or in
// numbers that are none.
func TestGarbageEnds(t *testing.T) {
	for seed := uint64(0); seed < 12; seed++ {
		r := rand.New(rand.NewPCG(seed, 99))
		o := fullFilm
		o.positions = []PositionName{Address, Top, Impact}
		if seed%3 > 0 {
			o.views = []View{View(1 + seed%2)}
		}
		f := makeFilm(r, o)
		for i := range f.swing.Marks {
			m := &f.swing.Marks[i]
			c := &f.swing.Clips[m.Clip]
			m.At = ImagePt{uniform(r, -1.5, 2.5) * float64(c.Width), uniform(r, -1.5, 2.5) * float64(c.Height)}
		}
		sol, err := NewSolver().Solve(context.Background(), f.swing)
		if err != nil {
			require.ErrorIs(t, err, ErrNotConverged)
		}
		ms, _ := sol.Measures()
		for _, m := range ms {
			assert.True(t, finite(m.Value, m.Sigma, m.Low95, m.High95), "%s at %s, seed %d", m.Name, m.Position, seed)
		}
	}
}

// A point that starts behind its camera is brought in front.
func TestStartBehindCamera(t *testing.T) {
	f := anyFilm(2, fullFilm)
	sw := upright(f.swing)
	p := newProblem(&sw)
	st := p.firstState()
	p.setSigmas(&sw, st)
	s := NewSolver()
	e := s.engineFor(p, st)
	active := make([]bool, len(p.names))
	active[0] = true
	fig := stanceFor(Address).figure(p.statureM, p.clubM)
	p.seed(st, 0, &fig)
	st.set(0, LeadKnee, WorldPt{Z: 40})
	cost, _, _, err := e.minimise(context.Background(), st, active, false, 200)
	require.NoError(t, err)
	assert.Less(t, cost, behindCost)
	assert.Less(t, st.at(0, LeadKnee).Z, 1.0)
}
