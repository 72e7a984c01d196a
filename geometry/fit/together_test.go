package fit

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestTogether marks the same golfers before the same cameras one, three and six times,
// and puts the swings together: the mean over them comes nearer to the truth, its
// interval is narrower, and holds the truth as often. A golfer who swings alike each
// time is the case in which nothing but the marking differs.
func TestTogether(t *testing.T) {
	t.Parallel()
	golfers := 6
	if *accuracy {
		golfers = *accuracyN
	}
	names := []string{"pelvis turn", "torso turn"}
	type sums struct{ n, se, half, in float64 }
	table := map[string]map[int]*[2]sums{}
	singles := map[string]*[2]sums{}
	add := func(s *sums, value, half, truth float64) {
		s.n++
		s.se += sq(value - truth)
		s.half += half
		if math.Abs(value-truth) <= half {
			s.in++
		}
	}
	for i := range golfers {
		r := rand.New(rand.NewPCG(*accuracySeed+11, uint64(i)))
		f := makeFilm(r, with(func(o *filmOptions) { o.fatTails = false }))
		var shares []*Shares
		var alone []map[measureAt]geometry.Measure
		for range 6 {
			again := f.swing
			again.Marks = nil
			for _, m := range f.swing.Marks {
				if m, ok := f.mark(r, m.Clip, m.Position, m.Point, uniform(r, -0.5, 0.5)/f.o.fps); ok {
					again.Marks = append(again.Marks, m)
				}
			}
			sol, err := NewSolver().Solve(context.Background(), again)
			require.NoError(t, err)
			list, _ := sol.Measures()
			by := map[measureAt]geometry.Measure{}
			for _, m := range list {
				by[measureAt{m.Name, m.Position}] = m
			}
			alone = append(alone, by)
			shares = append(shares, sol.Shares())
		}
		for _, n := range []int{1, 3, 6} {
			together := PutTogether(shares[:n])
			for _, name := range names {
				for _, pos := range []geometry.PositionName{geometry.Top, geometry.Impact} {
					truth := f.truth[name+" / "+string(pos)]
					var each, joint geometry.Visit
					for k := range n {
						m, ok := alone[k][measureAt{name, pos}]
						if !ok {
							continue
						}
						x := together[k].Apply(m)
						each, joint = append(each, m.Occasion()), append(joint, x.Occasion())
						if n == 6 && k == 0 {
							key := name
							if singles[key] == nil {
								singles[key] = new([2]sums)
							}
							add(&singles[key][0], m.Value, geometry.Z95*m.Sigma, truth)
							add(&singles[key][1], x.Value, geometry.Z95*x.Sigma, truth)
						}
					}
					if len(each) == 0 {
						continue
					}
					key := name
					if table[key] == nil {
						table[key] = map[int]*[2]sums{}
					}
					if table[key][n] == nil {
						table[key][n] = new([2]sums)
					}
					for j, v := range []geometry.Visit{each, joint} {
						s := geometry.Assumed(0)
						mean := v.Mean(s)
						add(&table[key][n][j], mean.Value, geometry.Z95*mean.Sigma, truth)
					}
				}
			}
		}
	}
	say := func(s *sums) (rmse, half, in float64) { return math.Sqrt(s.se / s.n), s.half / s.n, s.in / s.n }
	for key, rows := range table {
		for _, n := range []int{1, 3, 6} {
			a, ha, ca := say(&rows[n][0])
			b, hb, cb := say(&rows[n][1])
			t.Logf("%-22s %d swings: mean of fits alone: rmse %.2f ± %.1f, %.2f inside; put together: %.2f ± %.1f, %.2f inside", key, n, a, ha, ca, b, hb, cb)
			assert.LessOrEqual(t, hb, ha+1e-9, key)
			assert.Less(t, b, a*1.2+0.1, key)
			assert.Greater(t, cb, 0.75, key) // of so few golfers
		}
		a, ha, ca := say(&singles[key][0])
		b, hb, cb := say(&singles[key][1])
		t.Logf("%-22s one of six: alone rmse %.2f ± %.1f, %.2f inside; by the others too %.2f ± %.1f, %.2f inside", key, a, ha, ca, b, hb, cb)
	}
}

// What is seen from one view only stays as it is.
func TestOneViewIsNotPutTogether(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(*accuracySeed+12, 1))
	f := makeFilm(r, with(func(o *filmOptions) { o.views = []geometry.View{geometry.FaceOn} }))
	sol, err := NewSolver().Solve(context.Background(), f.swing)
	require.NoError(t, err)
	m, none := sol.Measure("pelvis turn", geometry.Top)
	require.Nil(t, none)
	s := sol.Shares()
	assert.Equal(t, m, PutTogether([]*Shares{s, s})[0].Apply(m))
	assert.Equal(t, m, PutTogether([]*Shares{s, nil})[0].Apply(m))
}
