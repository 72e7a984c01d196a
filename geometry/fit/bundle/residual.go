package bundle

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// sink receives the residuals of a problem, one by one, with their derivatives:
// the normal matrix, or a test that writes them down. pos is −1 for a residual
// of global unknowns alone, else the index of the position whose block it
// touches.
type sink interface {
	// Add takes a residual res with derivatives r. w is the inverse of its
	// variance, times the weight of its loss.
	Add(pos int, r *levmar.Row, res, w float64)
	// Curve adds k·h to the second derivatives by two points of a position, whose
	// first unknowns are i and j.
	Curve(pos, i, j int, k float64, h *[3][3]float64)
}

// evaluator computes the cost of a state and, with a sink, the derivatives. All
// terms of the cost are methods of it; each fills the row r and emits its
// residual:
//
//	cost = ½ Σ (prior residuals/sigma)² + Σ robust(marks),
//
// with lengths in metres, angles in radians and marks in pixels. Nothing is
// allocated: an evaluation of a full swing is some 1300 residuals, and a solve
// asks for a hundred of them.
type evaluator struct {
	*Problem
	st   *State
	out  sink
	r    levmar.Row
	cost float64
	// cautious caps the weights of marks at one, as the covariance needs: the
	// curvature of the robust cost at its middle is that of a sharper
	// distribution than the marks have.
	cautious bool
}

// emit adds a residual with normal errors of standard deviation sigma, whose
// derivatives are in e.r.
func (e *evaluator) emit(pos int, res, sigma float64) {
	w := 1 / (sigma * sigma)
	e.cost += 0.5 * w * res * res
	if e.out != nil {
		e.out.Add(pos, &e.r, res, w)
	}
}

// priorNu is the number of degrees of freedom of the Student t distribution that a
// golfer's build and stance are taken to follow: an odd one is believed where the
// marks say so, however poor they are.
const priorNu = 4

// emitHeavy is emit with such tails.
//
// The negative logarithm of the t density with ν degrees of freedom is (ν+1)/2 · log(1 + s/ν)
// but for constants, s = r²/σ². Its derivative by r is w r/σ² with
//
//	w = (ν + 1)/(ν + s),
//
// so that as a weighted least-squares term (Lange, Little & Taylor 1989) it falls from 1.25 at
// the middle to 1 at one sigma and below a quarter beyond four. The curvature that w itself
// adds is negative and left out, as of marks.
func (e *evaluator) emitHeavy(pos int, res, sigma float64) {
	iw := 1 / (sigma * sigma)
	s := res * res * iw
	e.cost += 0.5 * (priorNu + 1) * math.Log1p(s/priorNu)
	if e.out == nil {
		return
	}
	w := (priorNu + 1) / (priorNu + s)
	if e.cautious {
		w = math.Min(w, 1)
	}
	e.out.Add(pos, &e.r, res, w*iw)
}

// localVec enters the derivative by a point of the position, d per metre of
// each coordinate.
func (e *evaluator) localVec(pt geometry.Point, d r3.Vec) {
	e.r.Local(3*int(pt), d.X)
	e.r.Local(3*int(pt)+1, d.Y)
	e.r.Local(3*int(pt)+2, d.Z)
}

// total is the cost of a state over the active positions and, where global, the
// terms of the shared unknowns alone. With out the residuals go there as well.
// The order of the terms is fixed, so that the same state has the same cost to
// the last bit.
//
// A mark of a point that the state has behind the lens costs levmar.BehindCost and has no
// derivative; figureTerms and lengths then draw the point back.
func (p *Problem) total(st *State, active []bool, global bool, out sink) float64 {
	e := evaluator{Problem: p, st: st, out: out}
	return e.run(active, global)
}

// PositionCost is the cost of the terms of one position.
func (p *Problem) PositionCost(st *State, pos int) float64 {
	e := evaluator{Problem: p, st: st}
	e.positionTerms(pos)
	return e.cost
}

// run adds up the cost.
func (e *evaluator) run(active []bool, global bool) float64 {
	if global {
		e.globalTerms()
	}
	for i := range e.Names {
		if active[i] {
			e.positionTerms(i)
		}
	}
	return e.cost
}

// cameraRow fills the global part of a mark's row for coordinate i: the
// derivatives by the camera of its clip.
func (e *evaluator) cameraRow(clip int, pr *geometry.Projection, i int) {
	o := clip * geometry.CameraUnknowns
	for j, v := range pr.ByCamera(i) {
		e.r.Global(o+j, v)
	}
}

// pixel adds a mark of the world point w. The callback fills the row's part
// that belongs to the point, given the derivative d by it, pixels per metre: a
// point of the golfer is local, the ball and the ends of sticks are global.
//
// The residual is the picture less the mark, with the shared bias that the fit
// finds in it. Both coordinates have one weight, by their squared distance
// together, so that the loss has no preferred direction. Of a robust loss only
// the first derivatives are taken: the curvature that its weight has along the
// residual is negative and would spoil the matrix.
func (e *evaluator) pixel(pos int, m *Mark, w r3.Vec, point func(d r3.Vec)) {
	pr, ok := e.st.Cameras[m.Clip].Linearise(w, e.out != nil)
	if !ok {
		e.cost += levmar.BehindCost
		return
	}
	dx, dy := m.bias(e.st)
	rx, ry := pr.X+dx-m.X, pr.Y+dy-m.Y
	iw := 1 / (m.Sigma * m.Sigma)
	c, weight := levmar.Robust((rx*rx + ry*ry) * iw)
	e.cost += c
	if e.out == nil {
		return
	}
	if e.cautious {
		weight = math.Min(weight, 1)
	}
	for i, res := range [2]float64{rx, ry} {
		e.r.Reset()
		e.cameraRow(m.Clip, &pr, i)
		point(pr.ByPoint[i])
		if m.oBias > 0 {
			e.r.Global(m.oBias+i, m.biasPx)
		}
		e.out.Add(pos, &e.r, res, weight*iw)
	}
}

// positionTerms adds everything that touches the points of one position: its
// marks, the lengths of its segments and what is known of posture beforehand.
func (e *evaluator) positionTerms(pos int) {
	st := e.st
	for i := range e.Marks[pos] {
		m := &e.Marks[pos][i]
		at, by, o := e.shown(st, m.Clip, pos, m.Point)
		e.pixel(pos, m, at, func(d r3.Vec) {
			e.localVec(m.Point, d)
			if o > 0 {
				e.r.Global(o, r3.Dot(d, by))
			}
		})
	}
	for k, l := range geometry.BodySegments {
		d := r3.Sub(st.At(pos, l.A), st.At(pos, l.B))
		n := r3.Norm(d)
		length, by := e.segmentLength(st, k)
		e.r.Reset()
		if n > 1e-9 {
			u := r3.Scale(1/n, d)
			e.localVec(l.A, u)
			e.localVec(l.B, r3.Scale(-1, u))
		}
		for _, g := range by {
			if g.by != 0 {
				e.r.Global(g.at, -g.by)
			}
		}
		sigma := e.giveSigmas[l.Segment]
		e.emit(pos, n-length, sigma)
		if e.out != nil && n > 1e-9 {
			h := curvature(d, n, (n-length)/(sigma*sigma))
			a, b := 3*int(l.A), 3*int(l.B)
			e.out.Curve(pos, a, a, 1, &h)
			e.out.Curve(pos, b, b, 1, &h)
			e.out.Curve(pos, min(a, b), max(a, b), -1, &h)
		}
	}
	e.midLength(pos, geometry.SegmentTrunk, [4]geometry.Point{geometry.LeadShoulder, geometry.TrailShoulder, geometry.LeadHip, geometry.TrailHip}, 4)
	e.midLength(pos, geometry.SegmentHead, [4]geometry.Point{geometry.LeadShoulder, geometry.TrailShoulder, geometry.Head}, 3)
	e.figureTerms(pos)
	e.footTerms(pos)
	e.signTerms(pos)
	if pos == e.Address {
		e.addressTerms(pos)
	}
	if n := e.Names[pos]; n == geometry.Impact || n == geometry.Address {
		e.ballTerm(pos)
	}
}

// curvature is k times the second derivative of the length n = |d| of a segment
// by its vector d, with u = d/n
//
//	∂²n/∂d² = (I − uuᵀ)/n,
//
// to be added to the normal matrix for k = (n−L)/σ², the derivative of the cost
// by n. It is negative across a segment that is squeezed: without it a segment
// that lies square to a single camera's view looks stiffer than it is, and
// depth, which there enters by its square alone, as if it were known. By both
// ends the blocks are h, h and −h.
func curvature(d r3.Vec, n, k float64) (h [3][3]float64) {
	u := [3]float64{d.X / n, d.Y / n, d.Z / n}
	for i := range h {
		for j := range h {
			h[i][j] = -k / n * u[i] * u[j]
		}
		h[i][i] += k / n
	}
	return h
}

// midLength ties the midpoint of the first two points to the midpoint of the
// rest by a shared length: with coefficients c of the points, d = Σ c p, and
// the second derivatives by two of them are cᵢcⱼ times those by d.
//
// The trunk runs from mid-hip to mid-shoulder, the head from mid-shoulder to its mark. These
// midpoints are no marks, but their distance is more nearly constant than any one side's:
// shoulders lift and hips tilt.
func (e *evaluator) midLength(pos, length int, pts [4]geometry.Point, n int) {
	st := e.st
	var d r3.Vec
	for i := 0; i < n; i++ {
		d = r3.Add(d, r3.Scale(midCoefficient(i, n), st.At(pos, pts[i])))
	}
	dist := r3.Norm(d)
	l := math.Exp(st.g[e.oLengths+length])
	e.r.Reset()
	if dist > 1e-9 {
		u := r3.Scale(1/dist, d)
		for i := 0; i < n; i++ {
			e.localVec(pts[i], r3.Scale(midCoefficient(i, n), u))
		}
	}
	e.r.Global(e.oLengths+length, -l)
	sigma := e.giveSigmas[length]
	e.emit(pos, dist-l, sigma)
	if e.out != nil && dist > 1e-9 {
		h := curvature(d, dist, (dist-l)/(sigma*sigma))
		for i := 0; i < n; i++ {
			for j := 0; j < n; j++ {
				e.out.Curve(pos, 3*int(pts[i]), 3*int(pts[j]), midCoefficient(i, n)*midCoefficient(j, n), &h)
			}
		}
	}
}

// midCoefficient is the coefficient of point i of n: the difference of two
// midpoints, or of a midpoint and a point.
func midCoefficient(i, n int) float64 {
	switch {
	case i < 2:
		return 0.5
	case n == 4:
		return -0.5
	default:
		return -1
	}
}

// figureTerms are the very wide priors about the template figure. They make the
// posterior proper where nothing is marked, and are what PointEstimate.Known is
// measured by.
func (e *evaluator) figureTerms(pos int) {
	for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
		d := r3.Sub(e.st.At(pos, pt), e.figure[pos][pt])
		sigma := wideSigma(pt)
		for i, v := range [3]float64{d.X, d.Y, d.Z} {
			e.r.Reset()
			e.r.Local(3*int(pt)+i, 1)
			e.emit(pos, v, sigma)
		}
	}
}

func wideSigma(pt geometry.Point) float64 {
	switch pt {
	case geometry.LeadElbow, geometry.TrailElbow, geometry.LeadWrist, geometry.TrailWrist, geometry.Grip, geometry.Clubhead:
		return wideHandSigmaM
	default:
		return wideSigmaM
	}
}

// footTerms tie the feet to their shared places: the point at this position
// less its planted place, less what a heel has risen, by axis.
//
// Were a foot's places at the positions tied to each other pairwise there would be as many
// terms as pairs, and the normal matrix would no longer be an arrow. One shared place as an
// unknown of its own, with the tie of each position to that, is the same by integration (a
// one-level hierarchical model) and touches one position a term.
func (e *evaluator) footTerms(pos int) {
	for k, pt := range plantedPoints {
		across, up := plantedSigma(e.Names[pos], pt)
		for i := 0; i < 3; i++ {
			sigma, rise := across, 0.0
			if i == 1 {
				sigma, rise = up, e.heelRise(pos, pt)
			}
			o := e.oPlanted + 3*k + i
			e.r.Reset()
			e.r.Local(3*int(pt)+i, 1)
			e.r.Global(o, -1)
			e.emit(pos, e.st.p[pos][3*int(pt)+i]-e.st.g[o]-rise, sigma)
		}
	}
}

// hinge adds a one-sided constraint value ≥ least whose row has been filled.
// Its cost has a continuous first derivative; the second jumps, which
// Levenberg-Marquardt takes.
//
// The priors it stands for are half normal densities joined to a constant; the constant's
// height is that of the normal's top, so that the cost is 0 inside and the prior improper
// there: what makes it proper are the wide terms of figureTerms.
func (e *evaluator) hinge(pos int, value, least, sigma float64) {
	if value < least {
		e.emit(pos, value-least, sigma)
	}
}
