package geometry

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestEveryMeasureHasASpread(t *testing.T) {
	for _, d := range Definitions() {
		assert.Positive(t, UsualSpread(d.Name, d.Unit), d.Name)
	}
	assert.Positive(t, UsualSpread("tempo", Ratio))
	assert.Zero(t, UsualSpread("", ""))
}

// A golfer whose swings spread and who has not changed is told of a real change in 5 %
// of pairs of swings at most; without the spread it was in more.
func TestNoChangeIsToldWhereSwingsSpread(t *testing.T) {
	const pairs, sigma, spread = 20000, 4.0, 3.0
	r := rand.New(rand.NewPCG(18, 2))
	told, before := 0, 0
	for range pairs {
		one := func() float64 { return 45 + spread*r.NormFloat64() + sigma*r.NormFloat64() }
		a, b := one(), one()
		if c := Changed(a, sigma, b, sigma, spread); c.Real {
			told++
		}
		if c := Changed(a, sigma, b, sigma, 0); c.Real {
			before++
		}
	}
	t.Logf("told of a real change where there is none: %.1f %%, without the spread from swing to swing %.1f %%", 100*float64(told)/pairs, 100*float64(before)/pairs)
	assert.InDelta(t, 0.05, float64(told)/pairs, 0.01)
	assert.Greater(t, float64(before)/pairs, 0.10)
}

// JudgeT is Judge for many degrees of freedom, and less sure for few: of two, Student's
// t has 0.9082 below 2 (Student's table, as in any handbook).
func TestJudgeOfFewSwings(t *testing.T) {
	r := Range{Low: 40, High: 60}
	many, few := JudgeT(36, 2, 1e6, r, 0), JudgeT(36, 2, 2, r, 0)
	assert.InDelta(t, Judge(36, 2, r, 0).Below, many.Below, 1e-5)
	assert.InDelta(t, 0.9082, few.Below, 1e-4)
	assert.Equal(t, Below, few.Verdict)
}
