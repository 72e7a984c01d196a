package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry/fit/bundle"
)

// legs ties hip to knee, knee to ankle, and hips to shoulders by lengths that
// all instants share: the residual is the distance n = |d| less exp of the
// logarithm, with the derivative d/n by the ends.
//
// A segment that looks too long at one instant, by cloth or a joint that gives,
// does so at the next one too, so that residuals of instants step seconds apart
// are not independent: their variance is multiplied by the number of instants
// in lengthLasts.
//
// The number of instants within lengthLasts seconds is lengthLasts/step: so many residuals
// that are all of one deviation weigh together as one of its variance. It is the weight of
// a correlated sequence in the limit in which its members are equal within that time and
// independent beyond (the effective sample size of an autocorrelated mean: Bayley &
// Hammersley 1946, Suppl J R Stat Soc 8:184).
func (e *evaluator) legs(i int) {
	step := e.phases[i].step
	lasts := math.Max(lengthLasts/step, 1)
	x := e.st.x[i]
	pelvis := poseOf(x)
	half := e.st.g[e.oShape+shapePelvisWidth]
	joint := func(dof int) r3.Vec { return r3.Vec{X: x[dof], Y: x[dof+1], Z: x[dof+2]} }
	tie := func(d r3.Vec, length, side int, sigma float64, fill func(u r3.Vec)) {
		n := r3.Norm(d)
		if n < 1e-6 {
			return
		}
		l := math.Exp(e.st.g[e.oShape+length])
		e.r.Reset()
		fill(r3.Scale(1/n, d))
		e.r.Global(e.oShape+length, -l)
		e.emitLasting(i, [4]int{byBody, length, side}, n-l, sq(sigma), lasts)
	}
	// A joint's three coordinates from dof on.
	three := func(dof int, u r3.Vec) {
		e.r.Local(dof, u.X)
		e.r.Local(dof+1, u.Y)
		e.r.Local(dof+2, u.Z)
	}
	for k, side := range [2]float64{1, -1} {
		knee, ankle := dofLeadKnee+3*k, dofLeadAnkle+3*k
		q := [3]float64{side * half}
		hip := r3.Add(pelvis.at, weighted(&pelvis.axes, q))
		tie(r3.Sub(hip, joint(knee)), shapeThigh, k, jointSigmaM, func(u r3.Vec) {
			three(0, u)
			for j := range pelvis.by {
				e.r.Local(dofTurn+j, r3.Dot(u, weighted(&pelvis.by[j], q)))
			}
			three(knee, r3.Scale(-1, u))
			e.r.Global(e.oShape+shapePelvisWidth, side*r3.Dot(u, pelvis.axes[0]))
		})
		tie(r3.Sub(joint(knee), joint(ankle)), shapeShank, k, jointSigmaM, func(u r3.Vec) {
			three(knee, u)
			three(ankle, r3.Scale(-1, u))
		})
	}
	tie(r3.Sub(joint(segmentDofs), joint(0)), shapeTrunk, 0, trunkSigmaM, func(u r3.Vec) {
		three(segmentDofs, u)
		three(0, r3.Scale(-1, u))
	})
}

// spineSquareSigma and spineLeanSigma are how far, in radians, the shoulder line is
// off square to the line from mid-hip to mid-shoulder, and the chest off its
// direction: as the fit at key positions has it.
const spineSquareSigma, spineLeanSigma = bundle.ShouldersSquareSigma, bundle.ChestSigmaM / 0.115

// spine says that the chest stands about square on the spine: with u the unit
// vector from mid-hip to mid-shoulder, the cosines of its angle to the chest's
// axes to the lead side and to the front are about zero.
//
// The derivative of v = axis·u by the ends of d = n u is ±(axis − v u)/n: what of the axis
// is square to u, over its length.
func (e *evaluator) spine(i int) {
	x := e.st.x[i]
	lasts := math.Max(lengthLasts/e.phases[i].step, 1)
	chest := poseOf(x[segmentDofs:])
	d := r3.Sub(chest.at, r3.Vec{X: x[0], Y: x[1], Z: x[2]})
	n := r3.Norm(d)
	if n < 0.05 {
		return
	}
	u := r3.Scale(1/n, d)
	for k, sigma := range [2]float64{spineSquareSigma, spineLeanSigma} {
		axis := 2 * k // to the lead side, to the front
		v := r3.Dot(chest.axes[axis], u)
		g := r3.Scale(1/n, r3.Sub(chest.axes[axis], r3.Scale(v, u)))
		e.r.Reset()
		for j, c := range [3]float64{g.X, g.Y, g.Z} {
			e.r.Local(segmentDofs+j, c)
			e.r.Local(j, -c)
		}
		for j := range chest.by {
			e.r.Local(segmentDofs+dofTurn+j, r3.Dot(chest.by[j][axis], u))
		}
		e.emitLasting(i, [4]int{byBody, -1, k}, v, sq(sigma), lasts)
	}
}
