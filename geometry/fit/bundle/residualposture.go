package bundle

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// signTerms keep front points in front, knees bent forward, and the golfer
// turned to the side a position implies. Lengths and one picture leave mirror
// images of all of these; the terms are soft, so that a start on the wrong side
// can cross over.
func (e *evaluator) signTerms(pos int) {
	e.inFront(pos, geometry.LeadHip, geometry.TrailHip, geometry.Buckle, 1, 0.04)
	e.inFront(pos, geometry.LeadHip, geometry.TrailHip, geometry.Tailbone, -1, 0.03)
	e.inFront(pos, geometry.LeadShoulder, geometry.TrailShoulder, geometry.Breastbone, 1, 0)
	e.inFront(pos, geometry.LeadShoulder, geometry.TrailShoulder, geometry.UpperBack, -1, 0)
	e.chestHeight(pos, geometry.Breastbone)
	e.chestHeight(pos, geometry.UpperBack)
	e.beltHeight(pos, geometry.Buckle)
	e.beltHeight(pos, geometry.Tailbone)
	e.shouldersSquare(pos)
	e.kneeBend(pos, geometry.LeadHip)
	e.kneeBend(pos, geometry.TrailHip)
	pelvis, torso, ok := turnRange(e.Names[pos])
	if !ok {
		return
	}
	e.turnHinge(pos, geometry.LeadHip, pelvis)
	e.turnHinge(pos, geometry.LeadShoulder, torso)
}

// turnHinge holds against a heading outside a range of degrees, counted the
// short way round from the middle of the range: outside lies a jump by a full
// turn, opposite to it.
//
// The derivative is that of the heading whichever way round it was counted: adding a full turn
// changes none. In the half of the circle beyond the range's opposite the term pushes the other
// way, toward the nearer end; at the opposite itself it is not continuous, but no start lies
// there (figures).
func (e *evaluator) turnHinge(pos int, lead geometry.Point, degrees [2]float64) {
	lo, hi := degrees[0]*math.Pi/180, degrees[1]*math.Pi/180
	h, ok := e.heading(pos, lead, lead.Opposite(), 1)
	if !ok {
		return
	}
	off := geometry.WrapAngle(h - (lo+hi)/2)
	if half := (hi - lo) / 2; off > half {
		e.emit(pos, off-half, turnHingeSigmaRad)
	} else if off < -half {
		e.emit(pos, off+half, turnHingeSigmaRad)
	}
}

// heading fills the row with the derivative, times sign, of the heading ψ =
// atan2(dz, dx) of the line b→a in the ground plane, and returns the heading,
// radians. With ρ² = dx² + dz², ∂ψ/∂d = (−dz, 0, dx)/ρ². ok is false for a line
// that stands upright.
func (e *evaluator) heading(pos int, a, b geometry.Point, sign float64) (float64, bool) {
	d := r3.Sub(e.st.At(pos, a), e.st.At(pos, b))
	rho2 := d.X*d.X + d.Z*d.Z
	if rho2 < 1e-8 {
		return 0, false
	}
	g := r3.Vec{X: -sign * d.Z / rho2, Z: sign * d.X / rho2}
	e.r.Reset()
	e.localVec(a, g)
	e.localVec(b, r3.Scale(-1, g))
	return math.Atan2(d.Z, d.X), true
}

// inFront keeps pt on the front (side +1) or the rear (−1) of the line b→a: its
// horizontal distance v = m·n from the middle of the line, square to it, is at
// least least metres on that side. The normal n = (−dz, 0, dx)/ρ points forward
// for a line trail → lead.
//
// Without it one picture has a body and its inside-out twin: the same widths and lengths with
// breastbone and buckle behind. Which way is front is settled by that alone where no second
// view is marked.
func (e *evaluator) inFront(pos int, a, b, pt geometry.Point, side, least float64) {
	pa, pb, pc := e.st.At(pos, a), e.st.At(pos, b), e.st.At(pos, pt)
	d := r3.Sub(pa, pb)
	rho := math.Hypot(d.X, d.Z)
	if rho < 1e-4 {
		return
	}
	nx, nz := -d.Z/rho, d.X/rho // forward, level
	m := r3.Sub(pc, r3.Scale(0.5, r3.Add(pa, pb)))
	v := m.X*nx + m.Z*nz
	if side*v >= least {
		return
	}
	// Turning the line by dψ turns its normal: dv = (m·t) (−dψ) with t the
	// unit vector along the line.
	along := m.X*d.X/rho + m.Z*d.Z/rho
	turn := r3.Vec{X: -d.Z / (rho * rho), Z: d.X / (rho * rho)} // dψ/da
	n := r3.Vec{X: nx, Z: nz}
	e.r.Reset()
	e.localVec(pt, r3.Scale(side, n))
	e.localVec(a, r3.Scale(side, r3.Add(r3.Scale(-0.5, n), r3.Scale(-along, turn))))
	e.localVec(b, r3.Scale(side, r3.Add(r3.Scale(-0.5, n), r3.Scale(along, turn))))
	e.hinge(pos, side*v, least, hingeSigma)
}

// chestHeight says how far below the shoulders, along the spine, the breastbone
// and the upper back lie: the distances to the shoulders alone leave a mirror
// image above them. With mid the middle of the shoulders, u the unit vector
// from mid-hip to mid and d = p − mid, the residual is v = d·u plus the usual
// depth. It moves with p by u, with mid by (d − v u)/n − u, with mid-hip by −(d
// − v u)/n, n the length of the spine.
//
// Derivation: v = d·s/n with n = |s|; ∂v/∂s = (d − v u)/n, and mid enters both s, by 1, and d, by
// −1. Both shoulders have half of mid's, both hips half of mid-hip's.
func (e *evaluator) chestHeight(pos int, pt geometry.Point) {
	st := e.st
	mid := r3.Scale(0.5, r3.Add(st.At(pos, geometry.LeadShoulder), st.At(pos, geometry.TrailShoulder)))
	s := r3.Sub(mid, r3.Scale(0.5, r3.Add(st.At(pos, geometry.LeadHip), st.At(pos, geometry.TrailHip))))
	n := r3.Norm(s)
	if n < 0.05 {
		return
	}
	u := r3.Scale(1/n, s)
	d := r3.Sub(st.At(pos, pt), mid)
	v := r3.Dot(d, u)
	across := r3.Scale(1/n, r3.Sub(d, r3.Scale(v, u)))
	shoulder, hip := r3.Scale(0.5, r3.Sub(across, u)), r3.Scale(-0.5, across)
	e.r.Reset()
	e.localVec(pt, u)
	e.localVec(geometry.LeadShoulder, shoulder)
	e.localVec(geometry.TrailShoulder, shoulder)
	e.localVec(geometry.LeadHip, hip)
	e.localVec(geometry.TrailHip, hip)
	e.emit(pos, v+chestBelowM, ChestSigmaM)
}

// shouldersSquare says that the shoulder line w lies about square to the spine
// s: the residual is the cosine v of their angle, whose derivatives are (ŝ − v
// ŵ)/|w| by w and (ŵ − v ŝ)/|s| by s, the latter halved for each of the ends of
// a midpoint.
//
// Of the cosine v = ŵ·ŝ the derivative by w is that of ŵ by w, (I − ŵŵᵀ)/|w|, applied to ŝ. The
// cosine of an angle near a right one is its complement in radians to the third order, so that
// the sigmas are radians.
func (e *evaluator) shouldersSquare(pos int) {
	st := e.st
	w := r3.Sub(st.At(pos, geometry.LeadShoulder), st.At(pos, geometry.TrailShoulder))
	mid := r3.Scale(0.5, r3.Add(st.At(pos, geometry.LeadShoulder), st.At(pos, geometry.TrailShoulder)))
	s := r3.Sub(mid, r3.Scale(0.5, r3.Add(st.At(pos, geometry.LeadHip), st.At(pos, geometry.TrailHip))))
	nw, ns := r3.Norm(w), r3.Norm(s)
	if nw < 0.05 || ns < 0.05 {
		return
	}
	uw, us := r3.Scale(1/nw, w), r3.Scale(1/ns, s)
	v := r3.Dot(uw, us)
	dw := r3.Scale(1/nw, r3.Sub(us, r3.Scale(v, uw)))
	ds := r3.Scale(0.5/ns, r3.Sub(uw, r3.Scale(v, us)))
	e.r.Reset()
	e.localVec(geometry.LeadShoulder, r3.Add(dw, ds))
	e.localVec(geometry.TrailShoulder, r3.Sub(ds, dw))
	e.localVec(geometry.LeadHip, r3.Scale(-1, ds))
	e.localVec(geometry.TrailHip, r3.Scale(-1, ds))
	sigma := ShouldersSquareSigma
	if pos == e.Address {
		sigma = shouldersAddressSigma
	}
	e.emitHeavy(pos, v, sigma)
}

// beltHeight says how far the belt lies above the middle of the hips,
// vertically.
//
// Vertically and not along the trunk, since the belt goes with the pelvis, which a golfer bends
// forward far less than the trunk; the pelvis' own axis is not known where only the hips are
// marked.
func (e *evaluator) beltHeight(pos int, pt geometry.Point) {
	x := e.st.p[pos]
	e.r.Reset()
	e.r.Local(3*int(pt)+1, 1)
	e.r.Local(3*int(geometry.LeadHip)+1, -0.5)
	e.r.Local(3*int(geometry.TrailHip)+1, -0.5)
	above := buckleAboveM
	if pt == geometry.Tailbone {
		above = tailboneAboveM
	}
	e.emit(pos, x[3*int(pt)+1]-0.5*(x[3*int(geometry.LeadHip)+1]+x[3*int(geometry.TrailHip)+1])-above, beltSigmaM)
}

// kneeBend says that a knee lies in front of the line from hip to ankle, toward
// the toes, and not far aside of it. m is the knee less the middle of hip and
// ankle, fwd the level direction heel → toe and aside the level one square to
// it, so that
//
//	ahead = m·fwd,  off = m·aside,
//
// and turning the foot by dψ changes ahead by off·dψ and off by −ahead·dψ. A
// knee behind the line pays the hinge as well: it does not bend that way.
//
// The level direction of the foot is taken for the leg's own front: seen from one side alone, a
// knee's depth is told by little else than this and the lengths of thigh and shank. The spread, 7
// cm ahead and 5 aside, is half of how far a knee bends in a swing (ours).
func (e *evaluator) kneeBend(pos int, hip geometry.Point) {
	side := hip - geometry.LeadHip
	knee, ankle, heel, toe := geometry.LeadKnee+side, geometry.LeadAnkle+side, geometry.LeadHeel+side, geometry.LeadToe+side
	st := e.st
	f := r3.Sub(st.At(pos, toe), st.At(pos, heel))
	rho := math.Hypot(f.X, f.Z)
	if rho < 1e-3 {
		return
	}
	fwd := r3.Vec{X: f.X / rho, Z: f.Z / rho}
	aside := r3.Vec{X: fwd.Z, Z: -fwd.X}
	m := r3.Sub(st.At(pos, knee), r3.Scale(0.5, r3.Add(st.At(pos, hip), st.At(pos, ankle))))
	ahead, off := r3.Dot(m, fwd), r3.Dot(m, aside)
	put := func(emit func(pos int, res, sigma float64), n, turn r3.Vec, res, sigma float64) {
		e.r.Reset()
		e.localVec(knee, n)
		e.localVec(hip, r3.Scale(-0.5, n))
		e.localVec(ankle, r3.Scale(-0.5, n))
		e.localVec(toe, turn)
		e.localVec(heel, r3.Scale(-1, turn))
		emit(pos, res, sigma)
	}
	// Turning the foot turns fwd along aside, and aside against fwd.
	usual := kneeForwardM
	if n := e.Names[pos]; n == geometry.Impact || n == geometry.Finish {
		usual = kneeStraightM
	}
	put(e.emitHeavy, fwd, r3.Scale(off/rho, aside), ahead-usual, kneeForwardSigmaM)
	put(e.emitHeavy, aside, r3.Scale(-ahead/rho, aside), off, kneeAsideSigmaM)
	if ahead < 0 {
		put(e.emit, fwd, r3.Scale(off/rho, aside), ahead, hingeSigma)
	}
}

// addressTerms place the origin and say how a golfer stands to the ball: ankles
// about the origin, pelvis, shoulders and stance about square to the target
// line, the clubhead on the ground and the centre of mass over the feet.
//
// Square to the target line are 5.5 degrees of spread for pelvis and shoulders and 4 for the
// feet. They are what the heading of a single camera, and with it every turn, is told from
// where no stick lies on the ground: the fit can turn golfer and camera together about the
// vertical, and only these and the camera's yaw hold that. A stick holds it better.
//
// The centre of mass is a linear function of the block: mean of a pair's two z with weight w,
// the three weights summing to 1.
func (e *evaluator) addressTerms(pos int) {
	st := e.st
	for _, i := range [2]int{0, 2} {
		e.r.Reset()
		e.r.Local(3*int(geometry.LeadAnkle)+i, 0.5)
		e.r.Local(3*int(geometry.TrailAnkle)+i, 0.5)
		e.emit(pos, 0.5*(st.p[pos][3*int(geometry.LeadAnkle)+i]+st.p[pos][3*int(geometry.TrailAnkle)+i]), originSigmaM)
	}
	for _, l := range [3]struct {
		lead  geometry.Point
		sigma float64
	}{{geometry.LeadHip, squareSigmaRad}, {geometry.LeadShoulder, squareSigmaRad}, {geometry.LeadAnkle, stanceSigmaRad}} {
		if h, ok := e.heading(pos, l.lead, l.lead.Opposite(), 1); ok {
			e.emitHeavy(pos, h, l.sigma)
		}
	}
	e.r.Reset()
	e.r.Local(3*int(geometry.Clubhead)+1, 1)
	e.emit(pos, st.p[pos][3*int(geometry.Clubhead)+1]-clubheadHeightM, clubheadSigmaM)

	// Balance: the centre of mass over the feet. The share of the mass in
	// front of the trunk's ends is small; thirds of shoulders, hips and knees
	// come within a centimetre of the segment table's answer.
	w := [3]float64{0.45, 0.4, 0.15}
	var z float64
	e.r.Reset()
	for k, pt := range [3]geometry.Point{geometry.LeadShoulder, geometry.LeadHip, geometry.LeadKnee} {
		for o := geometry.Point(0); o < 2; o++ {
			i := 3*int(pt+o) + 2
			e.r.Local(i, w[k]/2)
			z += w[k] / 2 * st.p[pos][i]
		}
	}
	e.emit(pos, z-balanceM, balanceSigmaM)
}

// ballTerm keeps the clubhead near the ball: behind it, within a clubface. At
// address it is soled there; at impact the frame chosen may be one before or
// after, in which a clubhead at 40 m/s goes 17 cm at 240 frames a second, of
// which half is allowed for.
//
// x is toward the target: a clubhead's middle rests some 4 cm behind the ball's, half a ball
// and half a head (common practice, no source).
func (e *evaluator) ballTerm(pos int) {
	st := e.st
	want := [3]float64{-0.04, 0.0, 0.0}
	sigma := [3]float64{0.03, 0.03, 0.03}
	if e.Names[pos] == geometry.Impact {
		sigma = [3]float64{0.08, 0.03, 0.03}
	}
	for i := 0; i < 3; i++ {
		e.r.Reset()
		e.r.Local(3*int(geometry.Clubhead)+i, 1)
		e.r.Global(e.oBall+i, -1)
		e.emit(pos, st.p[pos][3*int(geometry.Clubhead)+i]-st.g[e.oBall+i]-want[i], sigma[i])
	}
}
