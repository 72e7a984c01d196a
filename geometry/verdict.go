package geometry

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Range is a target range of a measure, in the measure's own unit. An end may
// be infinite.
type Range struct{ Low, High float64 }

// Verdict says what is known of a true value and a target range.
type Verdict string

// The verdicts. The one-sided NotBelow and NotAbove say which end of a range is
// settled where no two-sided one is; CantTell is the answer where neither end is.
const (
	Within   Verdict = "within"
	Below    Verdict = "below"
	Above    Verdict = "above"
	NotBelow Verdict = "not below"
	NotAbove Verdict = "not above"
	CantTell Verdict = "can't tell"
)

// TwoSided reports whether a verdict says where the value lies, not only where
// it does not.
func (v Verdict) TwoSided() bool { return v == Within || v == Below || v == Above }

// Decided is the posterior probability from which on a verdict is given, where a
// coach has not said otherwise. Ours: one statement in five of the least sure kind
// may be wrong, and each says how sure it is.
const Decided = 0.8

// Judgement is what is known of a measured value and a target range.
type Judgement struct {
	Verdict Verdict
	// Probability is the posterior one that the verdict is true; 0 for CantTell.
	Probability float64
	// Below, Within and Above are the posterior probabilities that the true value
	// lies there; they sum to one, and are NaN where nothing can be judged.
	Below, Within, Above float64
}

// Judge compares a measured value, with standard deviation sigma in the same
// unit, with a target range. A verdict is given where its probability is decided
// at least (0 takes Decided): a two-sided one if there is one, else the more
// probable of those one-sided ones whose end is finite. The value's distribution
// is taken as normal. With a sigma of zero the comparison is exact and the ends
// count as within. A NaN, a negative or infinite sigma or a range whose Low
// exceeds its High gives CantTell and NaN probabilities.
//
// With Φ the normal distribution the probabilities are Below = Φ((Low − value)/sigma), Above
// = Φ((value − High)/sigma), and Within what is left. They are posterior ones under a flat
// prior on the value: the range itself is no evidence of where a golfer is, and a coach's
// golfers are not all within it. That they come true as often as they say is measured, on
// made-up golfers (fit's TestVerdictsAreCalibrated).
//
// A one-sided verdict is a weaker statement than a two-sided one with the same probability:
// "not above" is Below or Within. So it is given only where no two-sided one is.
func Judge(value, sigma float64, r Range, decided float64) Judgement {
	return judge(value, sigma, r, decided, NormalCDF)
}

// JudgeT is Judge of a value whose standard deviation was estimated with so many
// degrees of freedom: its distribution is Student's.
func JudgeT(value, sigma, df float64, r Range, decided float64) Judgement {
	return judge(value, sigma, r, decided, distuv.StudentsT{Sigma: 1, Nu: df}.CDF)
}

func judge(value, sigma float64, r Range, decided float64, cdf func(float64) float64) Judgement {
	if math.IsNaN(value) || !(sigma >= 0) || math.IsInf(sigma, 0) || !(r.Low <= r.High) {
		nan := math.NaN()
		return Judgement{Verdict: CantTell, Below: nan, Within: nan, Above: nan}
	}
	if decided == 0 {
		decided = Decided
	}
	var j Judgement
	switch {
	case sigma > 0:
		j.Below = cdf((r.Low - value) / sigma)
		j.Above = cdf((value - r.High) / sigma)
		j.Within = math.Max(0, 1-j.Below-j.Above)
	case value < r.Low:
		j.Below = 1
	case value > r.High:
		j.Above = 1
	default:
		j.Within = 1
	}
	notBelow, notAbove := 1-j.Below, 1-j.Above
	if math.IsInf(r.Low, -1) {
		notBelow = 0 // that it is not below no end says nothing
	}
	if math.IsInf(r.High, 1) {
		notAbove = 0
	}
	switch {
	case j.Within >= decided:
		j.Verdict, j.Probability = Within, j.Within
	case j.Below >= decided:
		j.Verdict, j.Probability = Below, j.Below
	case j.Above >= decided:
		j.Verdict, j.Probability = Above, j.Above
	case notBelow >= decided && notBelow >= notAbove:
		j.Verdict, j.Probability = NotBelow, notBelow
	case notAbove >= decided:
		j.Verdict, j.Probability = NotAbove, notAbove
	default:
		j.Verdict = CantTell
	}
	return j
}

// True reports whether the verdict holds for a value that is known.
func (v Verdict) True(value float64, r Range) bool {
	switch v {
	case Within:
		return value >= r.Low && value <= r.High
	case Below:
		return value < r.Low
	case Above:
		return value > r.High
	case NotBelow:
		return value >= r.Low
	case NotAbove:
		return value <= r.High
	default:
		return true
	}
}
