package geometry

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// student is a made-up golfer: how his swings spread, and what is the same in all of a
// visit, or in all visits.
type student struct{ spread, sigma, shared, lasting float64 }

// visit films n swings of a student with a mean. always is what lasts of him.
func (s *student) visit(r *rand.Rand, n int, mean, always float64) Visit {
	common := always + math.Sqrt(sq(s.shared)-sq(s.lasting))*r.NormFloat64()
	own := math.Sqrt(sq(s.sigma) - sq(s.shared))
	v := make(Visit, n)
	for i := range v {
		v[i] = Occasion{mean + s.spread*r.NormFloat64() + common + own*r.NormFloat64(), s.sigma, s.shared, s.lasting}
	}
	return v
}

// The table of annotations/series is -students 60000.
var madeUpStudents = flag.Int("students", 4000, "how many students of each kind TestVisits makes up")

// TestVisits films made-up students of known mean and spread: intervals of mean and
// spread hold the truth as often as they say, and no more than 5 % of those who have not
// changed are told that they have.
func TestVisits(t *testing.T) {
	const truth, change = 45.0, 10.0
	students := *madeUpStudents // 4000: 95 % ± 0.7 %
	r := rand.New(rand.NewPCG(18, 5))
	share := func(n int) float64 { return float64(n) / float64(students) }
	for _, c := range []struct{ earlier, later, before int }{{0, 3, 0}, {0, 6, 0}, {3, 3, 0}, {6, 6, 0}, {1, 3, 0}, {2, 2, 0}, {1, 1, 3}, {1, 1, 0}} {
		for _, spread := range []float64{1.5, 3, 6} {
			s := student{spread, 4, 1.8, 1.2}
			mean, inside, held, false95, old, found := 0, 0, 0, 0, 0, 0
			for range students {
				// Half of the variance of what lasts is another on another day.
				always, day := s.lasting*math.Sqrt(lastingCorrelation)*r.NormFloat64(), s.lasting*math.Sqrt(1-lastingCorrelation)
				film := func(n int, mean float64) Visit { return s.visit(r, n, mean, always+day*r.NormFloat64()) }
				a, b := film(c.earlier, truth), film(c.later, truth)
				if c.earlier == 0 { // one visit alone
					sp := SpreadOf([]Visit{b}, 0)
					if m := b.Mean(sp); m.Low95 <= truth && truth <= m.High95 {
						mean++
					}
					if sp.Low95 <= spread && spread <= sp.High95 {
						inside++
					}
					continue
				}
				var others []Visit
				for range c.before {
					others = append(others, film(3, truth-20))
				}
				x := Compare(a, b, others, UsualSpread("pelvis turn", Degrees))
				if m := x.Later; m.Low95 <= truth && truth <= m.High95 {
					mean++
				}
				if x.Spread.Low95 <= spread && spread <= x.Spread.High95 {
					inside++
				}
				if x.Low95 <= 0 && 0 <= x.High95 {
					held++
				}
				if x.Real {
					false95++
				}
				if Changed(a[0].Value, s.sigma, b[0].Value, s.sigma, 0).Real {
					old++
				}
				for i := range b {
					b[i].Value += change
				}
				if Compare(a, b, others, UsualSpread("pelvis turn", Degrees)).Real {
					found++
				}
			}
			t.Logf("%d and %d swings, %d visits before, spread %g: mean covered %.3f, spread %.3f; told of a change that is none %.3f (one swing with one, spread 0: %.3f); change of %g found %.2f",
				c.earlier, c.later, c.before, spread, share(mean), share(inside), share(false95), share(old), change, share(found))
			if c.earlier == 1 && c.later == 1 && c.before == 0 {
				continue // the spread is assumed: see TestNoChangeIsToldWhereSwingsSpread
			}
			assert.InDelta(t, 0.95, share(mean), 0.02+0.007, "two standard errors of the simulation beside 93 to 97 %%")
			assert.InDelta(t, 0.95, share(inside), 0.02)
			if c.earlier == 0 {
				continue
			}
			assert.LessOrEqual(t, share(false95), 0.05+0.011, "three standard errors")
			assert.Greater(t, share(old), share(false95))
		}
	}
}

// TestCompareIsStudentsT: with swings of one accuracy nothing is left but the two-sample
// t test (Student 1908). Values: the sleep data of Cushny and Peebles as R's datasets has
// them (sleep$extra by group), t.test(var.equal = TRUE): t = -1.8608, df = 18,
// p = 0.07919, interval -3.363874 to 0.203874.
func TestCompareIsStudentsT(t *testing.T) {
	var first, second Visit
	for _, v := range []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0} {
		first = append(first, Occasion{Value: v, Sigma: 0.1})
	}
	for _, v := range []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4} {
		second = append(second, Occasion{Value: v, Sigma: 0.1})
	}
	c := Compare(second, first, nil, 1)
	assert.InDelta(t, -1.58, c.Value, 1e-9)
	assert.InDelta(t, 18, c.DF, 1e-9)
	assert.InDelta(t, -3.363874, c.Low95, 1e-5)
	assert.InDelta(t, 0.203874, c.High95, 1e-5)
	assert.InDelta(t, 1-0.07919/2, c.Probability, 1e-5)
	assert.False(t, c.Real)
	assert.Equal(t, 10, c.Later.N)
}

// One swing each can't tell a change of 8 degrees, three of the later visit can if it
// stays; and a visit that is known badly leaves it open however many follow.
func TestHowManySwingsSettleAChange(t *testing.T) {
	one := func(v, sigma float64) Visit { return Visit{{Value: v, Sigma: sigma}} }
	c := Compare(one(40, 2), one(49, 2), nil, 3)
	assert.False(t, c.Real)
	n := c.Settled()
	assert.Greater(t, n, 1)
	var more Visit
	for range n {
		more = append(more, Occasion{Value: 49, Sigma: 2})
	}
	// That they spread as assumed: half above, half below.
	for i := range more {
		more[i].Value += 3 * math.Sqrt(float64(n-1)/float64(n)) * float64(1-2*(i%2)) * float64(min(1, n-n%2-i)) // the odd one in the middle
	}
	assert.True(t, Compare(one(40, 2), more, nil, 3).Real, "%d swings", n)
	far := Compare(one(40, 8), one(49, 2), nil, 3)
	assert.Zero(t, far.Settled())
	known := Compare(one(40, 2), one(60, 2), nil, 3)
	assert.True(t, known.Real)
	assert.Zero(t, known.Settled())
}
