package motion

import (
	"cmp"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// takeKeySigmas takes over how sure the fit at key positions is of each measure.
// How far one bends hangs on how level the phones stand, of which following tells
// nothing: of that the marks alone are as sure as can be.
//
// This is no theorem but a caution. The tracks' model says that their errors are drift and
// click; what all tracks err in alike, cloth that swings with the body, it does not know,
// and it would let a hundred frames average it away.
func (f *problem) takeKeySigmas(marked *fit.Solution) {
	for pos, name := range f.keyNames {
		if !geometry.Finite(f.keyTimes[pos]) {
			continue
		}
		k := positionSigma{seconds: f.keyTimes[pos]}
		for i := range k.sigma {
			from := f.key
			if i == curveBend {
				from = marked
			}
			if m, miss := from.Measure(names[i], name); miss == nil {
				k.sigma[i] = m.Sigma
			}
		}
		f.keySigmas = append(f.keySigmas, k)
	}
	slices.SortFunc(f.keySigmas, func(a, b positionSigma) int { return cmp.Compare(a.seconds, b.seconds) })
}

// positionSigma is how sure the fit at a key position is of the measures, standard
// deviations; 0 for what it does not tell.
type positionSigma struct {
	seconds float64
	sigma   [numCurves]float64
}

// keySigma is the least that a measure's standard deviation can be at a time: what
// the fit at key positions has of it, at the one before and the one after. The
// tracks between say how the golfer gets from one to the other, and not where he
// was there.
func (f *problem) keySigma(k int, seconds float64) float64 {
	if len(f.keySigmas) == 0 {
		return 0
	}
	i, _ := slices.BinarySearchFunc(f.keySigmas, seconds, func(a positionSigma, t float64) int { return cmp.Compare(a.seconds, t) })
	b := &f.keySigmas[min(i, len(f.keySigmas)-1)]
	a := &f.keySigmas[max(i-1, 0)]
	if !(b.seconds > a.seconds) || seconds > b.seconds {
		return b.sigma[k]
	}
	part := math.Max((seconds-a.seconds)/(b.seconds-a.seconds), 0)
	return (1-part)*a.sigma[k] + part*b.sigma[k]
}

// leastSigma is the least that the standard deviation of a measure may be at an
// instant: keySigma, or of the pelvis turn where the clothes were followed what they are
// good for, if that is less.
//
// The clothes show how far the pelvis has turned since address whatever the marks are, so
// that the marks' own uncertainty is no bound there. Between frames that show it a gap as long as
// clothGap is no more than the motion prior bridges.
func (f *problem) leastSigma(k, i int) float64 {
	least := f.keySigma(k, f.times[i])
	if f.cloth == nil || k != curvePelvis || i <= f.address {
		return least
	}
	if j, _ := slices.BinarySearch(f.cloth.seen, f.times[i]); (j == len(f.cloth.seen) || f.cloth.seen[j] > f.times[i]+clothGap) && (j == 0 || f.cloth.seen[j-1] < f.times[i]-clothGap) {
		return least
	}
	return math.Min(least, f.cloth.sigma(f.times[i])*toDegrees)
}

// clothGap, seconds, is how far from a frame in which the clothes were followed their word
// counts.
const clothGap = 0.03
