package motion

import (
	"math"

	"turngauge/geometry"
)

// heldUnknowns is how many of the first camera's unknowns are held: where it
// stands and where it looks. The tracks say nothing of where the golfer stands in
// the world, only of how he and the second camera stand to the first; the fit at
// key positions says the rest. Only scale is left to be found.
const heldUnknowns = 6

// border adds what is known of the shared unknowns beforehand: the cameras by
// the fit at key positions, a full matrix; the second clip's time by the
// frames; the body's shape by stature; misplacements by the marking model, as
// far as the two clips do not share them.
//
// None of it is told by the tracks, which show how angles and distances change. Without it
// the golfer could be twice as large and twice as far away, or lean in his own frame and
// be photographed by cameras that lean: directions of the unknowns along which no
// residual changes, and the normal matrix would have no inverse.
func (e *evaluator) border() {
	g, h := e.st.g, e.stature
	n := geometry.CameraUnknowns * e.nC
	// A unit on the diagonal keeps the matrix positive definite; its row has no
	// derivatives.
	for i := range heldUnknowns {
		if e.m != nil {
			e.m.AddBorder(i, i, 1)
		}
	}
	for i := heldUnknowns; i < n; i++ { // the cameras' prior is a full matrix
		// Of ½ gᵀΛg the gradient is Λg.
		// The held unknowns are zero and stay so: rows and columns of Λ that meet
		// them have no part.
		var gradient float64
		for j := range n {
			gradient += e.camInfo.At(i, j) * g[j]
		}
		e.cost += 0.5 * g[i] * gradient
		if e.m == nil {
			continue
		}
		e.m.AddBorderGradient(i, gradient)
		for j := i; j < n; j++ {
			e.m.AddBorder(i, j, e.camInfo.At(i, j))
		}
	}
	one := func(at int, want, sigma float64) {
		e.r.Reset()
		e.r.Global(at, 1)
		e.emit(0, g[at]-want, sq(sigma))
	}
	for c := 1; c < e.nC; c++ {
		one(e.oTime+c-1, 0, e.timeSigma)
	}
	s := e.oShape
	// Half widths: hips and shoulders lie on both sides of the origin of their
	// segment.
	// A logarithmic spread of s is one of half·s metres, to first order.
	hips, shoulders := &geometry.SegmentPriors[geometry.SegmentHipWidth], &geometry.SegmentPriors[geometry.SegmentShoulderWidth]
	one(s+shapePelvisWidth, hips.Fraction/2*h, hips.Fraction/2*h*hips.LogSigma)
	one(s+shapeChestWidth, shoulders.Fraction/2*h, shoulders.Fraction/2*h*shoulders.LogSigma)
	// The four points at the front and the rear, in metres along the segment's
	// axes: level by level with the belt and the armpits, as in the template
	// figure of package fit.
	for _, p := range [4]struct {
		at        int
		up, front float64
	}{{shapeBuckle, 0.048, 0.065}, {shapeTailbone, 0.048, -0.06}, {shapeBreastbone, -0.045, 0.065}, {shapeUpperBack, -0.045, -0.065}} {
		one(s+p.at, 0, shapeSideM)
		one(s+p.at+1, p.up*h, shapeUpM)
		one(s+p.at+2, p.front*h, shapeFrontM)
	}
	// How far a segment leans is told by its front and rear points, so that
	// their common tilt in its frame is no fact but a gauge: they are level.
	for _, p := range [2]int{shapeBuckle, shapeBreastbone} {
		e.r.Reset()
		e.r.Global(s+p+1, 1)
		e.r.Global(s+p+4, -1)
		e.emit(0, g[s+p+1]-g[s+p+4], sq(shapeGaugeM))
	}
	for i, l := range [3]int{geometry.SegmentThigh, geometry.SegmentShank, geometry.SegmentTrunk} {
		one(s+shapeThigh+i, math.Log(geometry.SegmentPriors[l].Fraction*h), geometry.SegmentPriors[l].LogSigma)
	}
	for c := range e.oOffset {
		for i, o := range e.oOffset[c] {
			if o < 0 {
				continue
			}
			for k := range 3 {
				one(o+k, 0, e.offsetSigma[c][i])
			}
		}
	}
}
