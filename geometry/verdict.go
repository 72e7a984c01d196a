package geometry

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Range is a target range of a measure, in the measure's own unit. An end may
// be infinite.
type Range struct{ Low, High float64 }

// Verdict says how a measured value stands to a target range.
type Verdict string

// The verdicts. CantTell is the answer whenever no other has a probability of
// at least VerdictProbability.
const (
	Within   Verdict = "within"
	Below    Verdict = "below"
	Above    Verdict = "above"
	CantTell Verdict = "can't tell"
)

// VerdictProbability is the posterior probability a verdict needs.
const VerdictProbability = 0.9

// Judge compares a measured value, with standard deviation sigma in the same
// unit, with a target range. It returns the verdict and the probabilities that
// the true value lies below, within and above the range, which sum to one; the
// value's distribution is taken as normal. With a sigma of zero the comparison
// is exact and the ends count as within. A NaN, a negative sigma or a range
// whose Low exceeds its High gives CantTell and NaN probabilities.
func Judge(value, sigma float64, r Range) (v Verdict, pBelow, pWithin, pAbove float64) {
	if math.IsNaN(value) || !(sigma >= 0) || math.IsInf(sigma, 0) || !(r.Low <= r.High) {
		nan := math.NaN()
		return CantTell, nan, nan, nan
	}
	if sigma == 0 {
		switch {
		case value < r.Low:
			return Below, 1, 0, 0
		case value > r.High:
			return Above, 0, 0, 1
		default:
			return Within, 0, 1, 0
		}
	}
	pBelow = distuv.UnitNormal.CDF((r.Low - value) / sigma)
	pAbove = distuv.UnitNormal.CDF((value - r.High) / sigma)
	pWithin = math.Max(0, 1-pBelow-pAbove)
	switch {
	case pWithin >= VerdictProbability:
		v = Within
	case pBelow >= VerdictProbability:
		v = Below
	case pAbove >= VerdictProbability:
		v = Above
	default:
		v = CantTell
	}
	return v, pBelow, pWithin, pAbove
}
