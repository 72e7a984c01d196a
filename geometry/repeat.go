package geometry

import "math"

// Repeatability is how well a coach repeats his own marks and measures.
type Repeatability struct {
	Pairs int // marks, or values, done twice
	// ClickSigmaPx is the standard deviation of one coordinate of one mark,
	// pixels. Set Swing.ClickSigmaPx to it.
	ClickSigmaPx float64
}

// minRepeatPairs is the least number of repeated marks from which a standard
// deviation is worth having: its own relative error is then about a fifth.
const minRepeatPairs = 6

// RepeatMarks compares two blind markings of the same frames: marks of the
// same clip, position and point in first and second, hidden ones left out. The
// standard deviation of one coordinate is that of the differences divided by
// √2, without the mean shift between the two sessions, which is a real change
// of mind and is counted in (Bland & Altman 1996, BMJ 312:1654: within-subject
// standard deviation √(Σd²/2n)). ok is false with fewer than six pairs.
//
// Each pair has two coordinates, and a difference the variance of two clicks: Σ(dx² + dy²)
// is expected at 4n σ², n the number of pairs. With n pairs σ is known to 1/√(4n) of itself.
func RepeatMarks(first, second []Mark) (r Repeatability, ok bool) {
	type key struct {
		clip, pos int
		pt        Point
	}
	at := map[key]ImagePt{}
	for _, m := range first {
		if m.State != Hidden && Finite(m.At.X, m.At.Y) {
			at[key{m.Clip, m.Position, m.Point}] = m.At
		}
	}
	var sum float64
	for _, m := range second {
		if m.State == Hidden || !Finite(m.At.X, m.At.Y) {
			continue
		}
		if a, found := at[key{m.Clip, m.Position, m.Point}]; found {
			sum += sq(m.At.X-a.X) + sq(m.At.Y-a.Y)
			r.Pairs++
		}
	}
	if r.Pairs < minRepeatPairs {
		return r, false
	}
	r.ClickSigmaPx = math.Sqrt(sum / float64(4*r.Pairs))
	return r, true
}

// Agreement compares two sets of paired values of one measure.
type Agreement struct {
	Pairs int
	Bias  float64 // mean of first − second
	SD    float64 // standard deviation of the differences
	// Low95 and High95 are the 95 % limits of agreement, Bias ± 1.96 SD
	// (Bland & Altman 1986, Lancet i:307; they round 1.96 to 2).
	Low95, High95 float64
	// SEM is the standard error of measurement of one value, SD/√2, and
	// MDC95 the minimal detectable change between two, 1.96·√2·SEM
	// (Weir 2005, J Strength Cond Res 19:231).
	SEM, MDC95 float64
}

// Agree computes the agreement of two equally long sets of at least two
// finite values; ok is false otherwise.
func Agree(first, second []float64) (a Agreement, ok bool) {
	if len(first) != len(second) || len(first) < 2 || !Finite(first...) || !Finite(second...) {
		return a, false
	}
	n := float64(len(first))
	for i := range first {
		a.Bias += (first[i] - second[i]) / n
	}
	for i := range first {
		a.SD += sq(first[i] - second[i] - a.Bias)
	}
	a.Pairs = len(first)
	a.SD = math.Sqrt(a.SD / (n - 1))
	a.Low95, a.High95 = a.Bias-Z95*a.SD, a.Bias+Z95*a.SD
	a.SEM = a.SD / math.Sqrt2
	a.MDC95 = MDC95(a.SEM)
	return a, true
}

// MDC95 is the minimal detectable change between two values that each have
// the standard error sem: 1.96·√2·sem.
func MDC95(sem float64) float64 { return Z95 * math.Sqrt2 * sem }
