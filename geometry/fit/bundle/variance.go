package bundle

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
)

// The variance components, as indices: the logarithms of factors on variances.
// Those of the marks come first: one for each class, and one on the far side
// down the line. Then those of how far segments give (geometry.SegmentPrior.SigmaM).
const (
	FarComponent = geometry.NumClasses
	firstGive    = geometry.NumMarkComponents

	givePelvis    = firstGive
	giveChest     = firstGive + 1
	giveLegs      = firstGive + 2
	giveFeet      = firstGive + 3
	giveArms      = firstGive + 4
	NumComponents = firstGive + 5
	NoGive        = -1
)

// Components are the logarithms of the factors on the usual variances.
type Components [NumComponents]float64

// GiveOf is the component of a segment's give, noGive for those that keep the
// usual one: trunk, head and club hang on single points.
func GiveOf(length int) int {
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
		return NoGive
	}
}

// GiveSigma is how far a segment's length at one position strays from the
// golfer's own, metres.
//
// A body is not rigid where it is marked: cloth slides over the hips, and a shoulder's joint
// moves by centimetres on the chest. SegmentPriors has what is usual of each, and exp(l/2) is
// what the swing's own residuals make of it.
func (p *Problem) GiveSigma(length int) float64 {
	sigma := geometry.SegmentPriors[length].SigmaM
	if g := GiveOf(length); g != NoGive {
		sigma *= math.Exp(p.LogScales[g] / 2)
	}
	return sigma
}

// MarkVariance is the variance in pixels squared of one coordinate of a mark
// whose own is not given, at a scale.
//
// Clicks err in pixels and misplacements in millimetres, but 2.5 px is some 7 mm at any
// distance that is filmed from, so that the residuals can't tell them apart: one factor scales
// both.
func (p *Problem) MarkVariance(pt geometry.Point, st geometry.MarkState, v geometry.View, pxPerM, clickPx float64) float64 {
	all := sq(geometry.SigmaPxAt(pt, st, v, pxPerM, clickPx))
	c, ok := geometry.ClassOf(pt)
	if !ok {
		return all
	}
	l := p.LogScales[c]
	if FarSide(pt, v) {
		l += p.LogScales[FarComponent]
	}
	return all * math.Exp(l)
}

// FarSide reports whether a point is on the side that the other one hides.
func FarSide(pt geometry.Point, v geometry.View) bool {
	return v == geometry.DownTheLine && pt.Side() == geometry.Lead
}

// LastingSigmaM is the standard deviation along each axis, metres, of how far
// off a coach takes a landmark to be at all positions alike. It moves with the
// body and does not show in any residual, so it is an assumption, stated and not
// estimated. Hip joints lie deep under cloth: where landmarks predict them they
// are 12.3 ± 5.9 mm off in space (67 people against computed tomography, Mantovani,
// Ng & Lamontagne 2016, Gait Posture 44:48), √((12.3²+5.9²)/3) = 7.9 mm along each
// axis. Shoulders and head are round, feet plain to see (this project's own).
func LastingSigmaM(pt geometry.Point) float64 {
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

// How often a mark is on the wrong thing, before any is seen: three times in two
// hundred, as if of a hundred marks seen (this project's own; no source).
const (
	WrongSeen  = 100
	WrongUsual = 1.5
)

// PoorTimes is how many times as much the marks of a cell scatter that is marked poorly
// (this project's own; no source). A cell is one class of points at one position; see
// the fit's cell.go.
const PoorTimes = 3.0

// CellIndex is the index of a cell into problem.poor.
//
// Cells are counted by position and then by class, geometry.NumClasses of them a position.
func CellIndex(pos int, c geometry.PointClass) int { return geometry.NumClasses*pos + int(c) }

// CellFactor is the expected factor on the variance of a mark from its cell.
func (p *Problem) CellFactor(pos int, pt geometry.Point) float64 {
	c, ok := geometry.ClassOf(pt)
	if !ok {
		return 1
	}
	return poorFactor(p.Poor[CellIndex(pos, c)])
}

func poorFactor(probability float64) float64 { return 1 + (PoorTimes*PoorTimes-1)*probability }

// NoisePrior returns mean and information (inverse covariance) of all
// components before a swing's marks are seen.
//
// Both in logarithms of variance, length numComponents: mean 0 is the usual marking, and a
// step of 1 a factor of e in variance, 1.65 in standard deviation. Marks and segments are
// independent beforehand; classes of marks are not, since a careful coach is careful
// everywhere (geometry.UsualMarking).
func NoisePrior(m *geometry.MarkingPrior) (mean Components, info *mat.SymDense) {
	if m == nil {
		m = geometry.UsualMarking()
	}
	cov := mat.NewSymDense(NumComponents, nil)
	for i := 0; i < geometry.NumMarkComponents; i++ {
		mean[i] = m.Mean[i]
		for j := i; j < geometry.NumMarkComponents; j++ {
			cov.SetSym(i, j, m.Covariance[i][j])
		}
	}
	for i := firstGive; i < NumComponents; i++ {
		cov.SetSym(i, i, sq(giveLogSigma))
	}
	info = mat.NewSymDense(NumComponents, nil)
	var chol mat.Cholesky
	if !chol.Factorize(cov) || chol.InverseTo(info) != nil {
		mean, info = NoisePrior(geometry.UsualMarking())
	}
	return mean, info
}
