package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// seenFilm is a film whose marks a program made: each point off by a part that
// is the same at all positions of a clip and one that is not, as it says.
func seenFilm(seed uint64, stays, own float64) *film {
	f := anyFilm(seed, filmOptions{views: bothViews, positions: []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact}, stick: true, stature: true, focal: true, clean: true})
	r := rand.New(rand.NewPCG(seed, 11))
	type group struct {
		clip int
		pt   geometry.Point
	}
	off := map[group][2]float64{}
	for i := range f.swing.Marks {
		m := &f.swing.Marks[i]
		g := group{m.Clip, m.Point}
		if _, ok := off[g]; !ok {
			off[g] = [2]float64{stays * r.NormFloat64(), stays * r.NormFloat64()}
		}
		m.At.X += off[g][0] + own*r.NormFloat64()
		m.At.Y += off[g][1] + own*r.NormFloat64()
		m.SigmaPx, m.SharedBiasPx = math.Hypot(stays, own), stays
		if m.Point == geometry.Ball {
			m.SharedBiasPx = 0
		}
	}
	return f
}

// TestSharedBias: where a program's marks are off alike at all positions and say so,
// what is counted since address errs less and its intervals are narrower by as
// much, and they contain the truth as often as they say.
func TestStays(t *testing.T) {
	t.Parallel()
	since := []string{"sway", "pelvis height change", "pelvis toward the ball", "pelvis turn", "head travel up"}
	here := []string{"forward bend", "trail knee flex", "torso side bend"}
	var info, untold, width [2]float64 // mean square errors in units of the told sd; widths of the others
	inside, all := 0, 0
	n := films(24, 40)
	for seed := range uint64(n) {
		f := seenFilm(seed+1, 9, 4)
		with := solve(t, f.swing)
		sw := f.swing
		sw.Marks = slices.Clone(sw.Marks)
		for i := range sw.Marks {
			sw.Marks[i].SharedBiasPx = 0
		}
		without := solve(t, sw)
		for k, names := range [2][]string{since, here} {
			for _, name := range names {
				a, missA := with.Measure(name, geometry.Impact)
				b, missB := without.Measure(name, geometry.Impact)
				if missA != nil || missB != nil {
					continue
				}
				want := f.truth[name+" / "+string(geometry.Impact)]
				info[k] += math.Pow((a.Value-want)/b.Sigma, 2)
				untold[k] += math.Pow((b.Value-want)/b.Sigma, 2)
				width[k] += math.Log(a.Sigma / b.Sigma)
				all++
				if math.Abs(a.Value-want) <= geometry.Z95*a.Sigma {
					inside++
				}
			}
		}
	}
	t.Logf("since address: error %.2f of what it is untold, intervals %.2f; at the instant %.2f, %.2f; %d of %d inside",
		math.Sqrt(info[0]/untold[0]), math.Exp(width[0]/float64(n)/float64(len(since))),
		math.Sqrt(info[1]/untold[1]), math.Exp(width[1]/float64(n)/float64(len(here))), inside, all)
	require.Greater(t, all, 6*n)
	assert.Less(t, info[0], 0.9*untold[0], "the errors")
	assert.Less(t, width[0]/float64(n)/float64(len(since)), math.Log(0.75), "the intervals")
	assert.Greater(t, float64(inside), 0.92*float64(all))
}

// TestStaysOfOnePosition: with one position it makes no difference which part of
// an error would stay.
func TestStaysOfOnePosition(t *testing.T) {
	f := seenFilm(3, 7, 4)
	sw := f.swing
	sw.Positions = sw.Positions[:1]
	sw.Marks = slices.DeleteFunc(slices.Clone(sw.Marks), func(m geometry.Mark) bool { return m.Position != 0 })
	with := valuesOf(solve(t, sw))
	for i := range sw.Marks {
		sw.Marks[i].SharedBiasPx = 0
	}
	without := valuesOf(solve(t, sw))
	require.NotEmpty(t, with)
	for name, m := range with {
		n, ok := without[name]
		if !ok {
			continue
		}
		// A stated bias is taken to be part of how far off a landmark is always.
		assert.InEpsilon(t, n.Sigma, m.Sigma, 0.35, name)
		assert.InDelta(t, n.Value, m.Value, n.Sigma, name)
	}
}

func TestStaysOutOfRange(t *testing.T) {
	for _, v := range []float64{-1, 12, math.NaN(), math.Inf(1)} {
		f := seenFilm(3, 7, 4)
		f.swing.Marks[5].SigmaPx, f.swing.Marks[5].SharedBiasPx = 10, v
		_, err := NewSolver().Solve(t.Context(), f.swing)
		var bad *geometry.Insufficient
		assert.ErrorAs(t, err, &bad, "%g", v)
	}
}
