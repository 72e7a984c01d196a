package fit

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestSharedPart marks the same golfers before the same cameras twice, with fresh
// errors but for the lasting ones. What the two values of a measure differ by is what
// is not shared, and what both miss the truth by what is.
func TestSharedPart(t *testing.T) {
	t.Parallel()
	golfers := 16
	if *accuracy {
		golfers = *accuracyN
	}
	names := []string{"pelvis turn", "torso turn", "forward bend", "lead foot flare", "trail knee flex", "sway"}
	own, common, stated, n := map[string]float64{}, map[string]float64{}, map[string]float64{}, map[string]float64{}
	o := with(func(o *filmOptions) { o.fatTails = false })
	eachGolfer(golfers, func(i int) (*film, *Solution, error) {
		r := rand.New(rand.NewPCG(*accuracySeed+7, uint64(i)))
		f := makeFilm(r, o)
		sol, err := NewSolver().Solve(context.Background(), f.swing)
		return f, sol, err
	}, func(f *film, first *Solution, err error) {
		require.NoError(t, err)
		again := f.swing
		again.Marks = nil
		r := rand.New(rand.NewPCG(*accuracySeed+8, uint64(n["sway"])))
		for _, m := range f.swing.Marks {
			late := uniform(r, -0.5, 0.5) / f.o.fps
			if m, ok := f.mark(r, m.Clip, m.Position, m.Point, late); ok {
				again.Marks = append(again.Marks, m)
			}
		}
		second, err := NewSolver().Solve(context.Background(), again)
		require.NoError(t, err)
		for _, name := range names {
			for _, pos := range []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact} {
				a, none := first.Measure(name, pos)
				b, none2 := second.Measure(name, pos)
				if none != nil || none2 != nil {
					continue
				}
				truth := f.truth[name+" / "+string(pos)]
				assert.Less(t, a.Shared, a.Sigma)
				own[name] += sq(a.Value-b.Value) / (sq(a.Sigma) - sq(a.Shared) + sq(b.Sigma) - sq(b.Shared))
				// The product of the two errors has the shared variance for its mean.
				common[name] += (a.Value - truth) * (b.Value - truth) / (a.Sigma * b.Sigma)
				stated[name] += a.Shared * b.Shared / (a.Sigma * b.Sigma)
				n[name]++
			}
		}
	})
	for _, name := range names {
		t.Logf("%-16s squared differences over what is stated %.2f; correlation of errors %.2f, stated %.2f",
			name, own[name]/n[name], common[name]/n[name], stated[name]/n[name])
		// Intervals of turns are wider than their errors by as much as the table of
		// noise shows, hence the low end.
		assert.InDelta(t, 0.9, own[name]/n[name], 0.5, "%s: what differs from one marking to the next", name)
		assert.Less(t, common[name]/n[name], stated[name]/n[name]+0.25, "%s: what two markings share", name)
	}
}

// TestWhatAProgramSawRepeats: what is measured on marks that stand where a program saw the
// points is shared by the swings of a visit for the most part, and not put together with
// theirs; what a hand has placed is its own.
func TestWhatAProgramSawRepeats(t *testing.T) {
	t.Parallel()
	f := anyFilm(3, fullFilm)
	part := func(make func(*geometry.Mark)) (shared float64, together bool) {
		sw := f.swing
		sw.Marks = slices.Clone(sw.Marks)
		for i := range sw.Marks {
			sw.Marks[i].SigmaPx = 12
			make(&sw.Marks[i])
		}
		s, err := NewSolver().Solve(context.Background(), sw)
		require.NoError(t, err)
		m, missing := s.Measure("pelvis turn", geometry.Top)
		require.Nil(t, missing)
		_, together = s.hanging[measureAt{m.Name, m.Position}]
		return sq(m.Shared / m.Sigma), together
	}
	byHand, together := part(func(*geometry.Mark) {})
	assert.Less(t, byHand, 0.5)
	assert.True(t, together)
	for _, make := range []func(*geometry.Mark){
		func(m *geometry.Mark) { m.State = geometry.Proposed },
		func(m *geometry.Mark) { m.LowConfidence = true },
	} {
		seen, together := part(make)
		assert.Greater(t, seen, byHand+0.3)
		assert.False(t, together)
	}
}
