package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
)

// The variance components, as indices: the logarithms of factors on variances.
// Those of the marks come first: one for each class, and one on the far side
// down the line. Then those of how far segments give (geometry.SegmentPrior.SigmaM).
const (
	farComponent = geometry.NumClasses
	firstGive    = geometry.NumMarkComponents

	givePelvis    = firstGive
	giveChest     = firstGive + 1
	giveLegs      = firstGive + 2
	giveFeet      = firstGive + 3
	giveArms      = firstGive + 4
	numComponents = firstGive + 5
	noGive        = -1
)

// components are the logarithms of the factors on the usual variances.
type components [numComponents]float64

// giveOf is the component of a segment's give, noGive for those that keep the
// usual one: trunk, head and club hang on single points.
func giveOf(length int) int {
	switch length {
	case geometry.SegmentHipWidth, geometry.SegmentHipBuckle, geometry.SegmentHipTailbone, geometry.SegmentBuckleTailbone:
		return givePelvis
	case geometry.SegmentShoulderWidth, geometry.SegmentShoulderBreastbone, geometry.SegmentShoulderUpperBack, geometry.SegmentBreastboneUpperBack:
		return giveChest
	case geometry.SegmentThigh, geometry.SegmentShank:
		return giveLegs
	case geometry.SegmentAnkleHeel, geometry.SegmentHeelToe, geometry.SegmentAnkleToe:
		return giveFeet
	case geometry.SegmentUpperArm, geometry.SegmentForearm:
		return giveArms
	default:
		return noGive
	}
}

// giveSigma is how far a segment's length at one position strays from the
// golfer's own, metres.
func (p *problem) giveSigma(length int) float64 {
	sigma := geometry.SegmentPriors[length].SigmaM
	if g := giveOf(length); g != noGive {
		sigma *= math.Exp(p.scale[g] / 2)
	}
	return sigma
}

// markVariance is the variance in pixels squared of one coordinate of a mark
// whose own is not given, at a scale.
func (p *problem) markVariance(pt geometry.Point, st geometry.MarkState, v geometry.View, pxPerM, clickPx float64) float64 {
	all := sq(geometry.SigmaPxAt(pt, st, v, pxPerM, clickPx))
	c, ok := geometry.ClassOf(pt)
	if !ok {
		return all
	}
	l := p.scale[c]
	if farSide(pt, v) {
		l += p.scale[farComponent]
	}
	return all * math.Exp(l)
}

// farSide reports whether a point is on the side that the other one hides.
func farSide(pt geometry.Point, v geometry.View) bool {
	return v == geometry.DownTheLine && pt.Side() == geometry.Lead
}

// lastingSigmaM is the standard deviation along each axis, metres, of how far
// off a coach takes a landmark to be at all positions alike. It moves with the
// body and does not show in any residual, so it is an assumption, stated and not
// estimated. Hip joints lie deep under cloth: where landmarks predict them they
// are 12.3 ± 5.9 mm off in space (67 people against computed tomography, Mantovani,
// Ng & Lamontagne 2016, Gait Posture 44:48), √((12.3²+5.9²)/3) = 7.9 mm along each
// axis. Shoulders and head are round, feet plain to see (this project's own).
func lastingSigmaM(pt geometry.Point) float64 {
	c, ok := geometry.ClassOf(pt)
	if !ok {
		return 0
	}
	switch c {
	case geometry.HipClass:
		return 0.008
	case geometry.ShoulderClass, geometry.HeadClass:
		return 0.010
	case geometry.FootClass:
		return 0.006
	case geometry.ClubClass:
		return 0
	default:
		return 0.008
	}
}

// The prior of the give of segments: a factor of e about the usual standard
// deviation (this project's own; no source).
const giveLogSigma = 2

// componentPrior returns mean and information (inverse covariance) of all
// components before a swing's marks are seen.
//
// Both in logarithms of variance, length numComponents: mean 0 is the usual marking, and a
// step of 1 a factor of e in variance, 1.65 in standard deviation. Marks and segments are
// independent beforehand; classes of marks are not, since a careful coach is careful
// everywhere (geometry.UsualMarking).
func componentPrior(m *geometry.MarkingPrior) (mean components, info *mat.SymDense) {
	if m == nil {
		m = geometry.UsualMarking()
	}
	cov := mat.NewSymDense(numComponents, nil)
	for i := 0; i < geometry.NumMarkComponents; i++ {
		mean[i] = m.Mean[i]
		for j := i; j < geometry.NumMarkComponents; j++ {
			cov.SetSym(i, j, m.Covariance[i][j])
		}
	}
	for i := firstGive; i < numComponents; i++ {
		cov.SetSym(i, i, sq(giveLogSigma))
	}
	info = mat.NewSymDense(numComponents, nil)
	var chol mat.Cholesky
	if !chol.Factorize(cov) || chol.InverseTo(info) != nil {
		mean, info = componentPrior(geometry.UsualMarking())
	}
	return mean, info
}
