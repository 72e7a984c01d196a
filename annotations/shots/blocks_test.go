package shots

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The numbers to compare with are SciPy 1.10.1's: stats.ttest_ind(b, a,
// equal_var=False) with its Welch interval, stats.t.interval, and all 6435
// regroupings by itertools.combinations.
var (
	pathBefore = []float64{-4.1, -2.8, -5.0, -3.3, -4.6, -2.2, -3.9}
	pathAfter  = []float64{-1.2, -0.4, -2.9, -1.8, 0.3, -1.1, -2.0, -0.7}
)

func TestBlockSummaryAgreesWithSciPy(t *testing.T) {
	s := Summarise(pathBefore)
	assert.InDelta(t, -3.7, s.Mean, 1e-9)
	assert.InDelta(t, 0.9933109617167559, s.SD, 1e-12)
	assert.InDelta(t, -4.618659418817936, s.Low95, 1e-6)
	assert.InDelta(t, -2.781340581182063, s.High95, 1e-6)
	assert.True(t, s.Enough)
	assert.False(t, Summarise(pathBefore[:4]).Enough)
	assert.Equal(t, Summary{}, Summarise(nil))
	one := Summarise([]float64{3})
	assert.Equal(t, 3.0, one.Mean)
	assert.False(t, one.Enough)
}

func TestBlockDifferenceAgreesWithSciPy(t *testing.T) {
	d := Compare(pathBefore, pathAfter)
	assert.InDelta(t, 2.475, d.Value, 1e-9)
	assert.InDelta(t, 1.3575127554985869, d.Low95, 1e-6)
	assert.InDelta(t, 3.5924872445014113, d.High95, 1e-6)
	assert.InDelta(t, 6.0/6435, d.P, 0.0015)
	assert.True(t, d.Real)
	few := Compare(pathBefore[:3], pathAfter[:3])
	assert.False(t, few.Enough)
	assert.False(t, few.Real, "too few shots to tell, whatever they are")
	same := Compare(pathBefore, pathBefore)
	assert.False(t, same.Real)
	assert.InDelta(t, 1, same.P, 1e-9)
	alike := Compare([]float64{1, 1, 1, 1, 1}, []float64{2, 2, 2, 2, 2})
	assert.False(t, alike.Real, "readings without spread say nothing of how sure the difference is")
}

func TestDispersionEllipse(t *testing.T) {
	// numpy.cov, numpy.linalg.eigh and scipy.stats.f.ppf(.95, 2, 6) on the
	// same eight strikes.
	x := []float64{3, -5, 8, 1, -2, 6, 4, 0}
	y := []float64{2, 1, -3, 4, 0, -1, 5, 3}
	e, ok := Dispersion(x, y)
	require.True(t, ok)
	assert.InDelta(t, 16.11366879, e.Major, 1e-5)
	assert.InDelta(t, 9.01392846, e.Minor, 1e-5)
	assert.InDelta(t, 163.17644141-180, e.AngleDeg, 1e-5)
	_, ok = Dispersion(x[:4], y[:4])
	assert.False(t, ok)
}

// TestTwoShotsEach: the least from which a spread can be told. By hand: 1, 3 and 6, 8 have
// variance 2 and differ by 5 with a standard error of √2 on 2 degrees of freedom, whose
// 0.975 quantile is 4.3027 (Student's t, any table).
func TestTwoShotsEach(t *testing.T) {
	d := Compare([]float64{1, 3}, []float64{6, 8})
	assert.InDelta(t, 5-4.3027*1.41421, d.Low95, 5e-4)
	assert.InDelta(t, 5+4.3027*1.41421, d.High95, 5e-4)
	assert.False(t, d.Real)
	assert.False(t, d.Enough)
	// P: of the six ways to deal four shots into two pairs, two differ by 5.
	assert.InDelta(t, 1.0/3, d.P, 0.015)
	one := Compare([]float64{1}, []float64{6, 8})
	assert.Equal(t, [2]float64{one.Value, one.Value}, [2]float64{one.Low95, one.High95})
	assert.Equal(t, 1.0, one.P)
}

// TestBlocksAndReadings: a block's readings are its own, and those that were not made are
// left out.
func TestBlocksAndReadings(t *testing.T) {
	list := List{
		{Block: "before", Values: map[Reading]float64{ClubPath: -4, Carry: 120}},
		{Block: "after", Values: map[Reading]float64{ClubPath: -1}},
		{Block: "before", Values: map[Reading]float64{ClubPath: -3}},
		{Block: "after", Values: map[Reading]float64{Carry: 125}},
	}
	assert.Equal(t, []string{"before", "after"}, list.Blocks())
	assert.Equal(t, []float64{-4, -3}, list.Of("before", ClubPath))
	assert.Equal(t, []float64{-1}, list.Of("after", ClubPath))
	assert.Equal(t, []float64{125}, list.Of("after", Carry))
	assert.Empty(t, list.Of("none", Carry))
	assert.Empty(t, List(nil).Blocks())
}

// Of many shots the ellipses come down to the quantiles of chi-square with two degrees of
// freedom: 1.386 for half of them, 5.991 for 95 of 100 (any table, as NIST/SEMATECH
// e-Handbook of Statistical Methods, 1.3.6.7.4). Of ten the factor is that of F with 2 and
// 8 degrees of freedom, whose quantile has the closed form 4 ((1-p)^(-1/4) - 1), times
// 2 * 9 / 8 * 1.1.
func TestEllipsesForHalfAndForNearlyAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var x, y []float64
	for range 40000 {
		x, y = append(x, rng.NormFloat64()), append(y, 3*rng.NormFloat64())
	}
	for p, want := range map[float64]float64{0.5: 1.386, 0.95: 5.991} {
		e, ok := DispersionOf(x, y, p)
		require.True(t, ok)
		assert.InDelta(t, 3*math.Sqrt(want), e.Major, 0.03)
		assert.InDelta(t, math.Sqrt(want), e.Minor, 0.02)
		inside := 0
		for i := range x {
			if (x[i]-e.X)*(x[i]-e.X)/(e.Minor*e.Minor)+(y[i]-e.Y)*(y[i]-e.Y)/(e.Major*e.Major) <= 1 {
				inside++
			}
		}
		assert.InDelta(t, p, float64(inside)/float64(len(x)), 0.01)

		ten, ok := DispersionOf(x[:10], y[:10], p)
		require.True(t, ok)
		whole, _ := DispersionOf(x[:10], y[:10], 0.95)
		factor := func(p float64) float64 { return 4 * (math.Pow(1-p, -0.25) - 1) }
		assert.InDelta(t, math.Sqrt(factor(p)/factor(0.95)), ten.Major/whole.Major, 1e-6)
	}
}
