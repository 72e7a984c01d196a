package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// sink receives the residuals of a problem, one by one, with their
// derivatives. pos is −1 for a residual of global unknowns alone.
type sink interface {
	add(pos int, r *row, res, w float64)
	// curve adds k·h to the second derivatives by two points of a position.
	curve(pos int, a, b Point, k float64, h *[3][3]float64)
}

// robustNu is the number of degrees of freedom of the Student t distribution
// that marks are taken to follow: a mark several standard deviations off pulls
// with a force that falls as it goes further (Lange, Little & Taylor 1989,
// J Am Stat Assoc 84:881).
const robustNu = 6

// robust returns the cost of a mark with squared distance s, in squared
// standard deviations, and the weight its two residuals carry in the normal
// equations. Sigma stands for the scale of the distribution, which is a little
// smaller than its standard deviation: a residual is smaller than the error of
// its mark, by what the mark pulls the fit toward itself, and this makes up
// for it.
func robust(s float64) (cost, weight float64) {
	return 0.5 * (robustNu + 2) * math.Log1p(s/robustNu), (robustNu + 2) / (robustNu + s)
}

// evaluator computes the cost of a state and, with a sink, the derivatives.
type evaluator struct {
	*problem
	st   *state
	out  sink
	r    row
	cost float64
	// cautious caps the weights of marks at one, as the covariance needs: the
	// curvature of the robust cost at its middle is that of a sharper
	// distribution than the marks have.
	cautious bool
}

func (e *evaluator) emit(pos int, res, sigma float64) {
	w := 1 / (sigma * sigma)
	e.cost += 0.5 * w * res * res
	if e.out != nil {
		e.out.add(pos, &e.r, res, w)
	}
}

func (e *evaluator) localVec(pt Point, d r3.Vec) {
	e.r.local(3*int(pt), d.X)
	e.r.local(3*int(pt)+1, d.Y)
	e.r.local(3*int(pt)+2, d.Z)
}

// total is the cost of a state over the given positions and the global terms.
func (p *problem) total(st *state, active []bool, global bool, out sink) float64 {
	e := evaluator{problem: p, st: st, out: out}
	return e.run(active, global)
}

func (e *evaluator) run(active []bool, global bool) float64 {
	if global {
		e.globalTerms()
	}
	for i := range e.names {
		if active[i] {
			e.positionTerms(i)
		}
	}
	return e.cost
}

// projection is a camera's view of a world point with its derivatives.
type projection struct {
	x, y    float64
	dp      [2]r3.Vec // by the world point; by the camera position it is the negative
	dw      [2]r3.Vec // by the small rotation
	df, dk  [2]float64
	late    int        // index of the unknown time of the frame, or 0
	dt      [2]float64 // by that
	stay    int        // index of what a mark is off by at all positions, or 0
	staysPx float64    // the derivative by that
}

// behindCost is the cost of a mark whose point lies behind the camera: high, but
// finite, so that the fit can leave such a start.
const behindCost = 1e6

// nearestM is the shortest distance in front of a lens that the fit considers.
const nearestM = 0.3

func (c *Camera) project(p r3.Vec, jac bool) (pr projection, ok bool) {
	q := c.ToCamera(p)
	if !(q.Z > nearestM) {
		return pr, false
	}
	iz := 1 / q.Z
	u, v := q.X*iz, q.Y*iz
	r2 := u*u + v*v
	k := c.FocalPx * (1 + c.K1*r2)
	pr.x = float64(c.Width)/2 + k*u
	pr.y = float64(c.Height)/2 + k*v
	if !jac {
		return pr, true
	}
	kk := 2 * c.FocalPx * c.K1
	uv := [2][2]float64{{k + kk*u*u, kk * u * v}, {kk * u * v, k + kk*v*v}}
	for i := 0; i < 2; i++ {
		a, b := uv[i][0], uv[i][1]
		dq := r3.Vec{X: a * iz, Y: b * iz, Z: -(a*u + b*v) * iz}
		m := &c.Rotation
		pr.dp[i] = r3.Vec{
			X: dq.X*m[0][0] + dq.Y*m[1][0] + dq.Z*m[2][0],
			Y: dq.X*m[0][1] + dq.Y*m[1][1] + dq.Z*m[2][1],
			Z: dq.X*m[0][2] + dq.Y*m[1][2] + dq.Z*m[2][2],
		}
		pr.dw[i] = r3.Cross(q, dq) // d(w×q)·dq = w·(q×dq)
	}
	pr.df = [2]float64{k * u, k * v}
	pr.dk = [2]float64{c.FocalPx * r2 * u, c.FocalPx * r2 * v}
	return pr, true
}

// cameraRow fills the global part of a mark's row for coordinate i.
func (e *evaluator) cameraRow(clip int, pr *projection, i int) {
	o := clip * camUnknowns
	e.r.global(o, -pr.dp[i].X)
	e.r.global(o+1, -pr.dp[i].Y)
	e.r.global(o+2, -pr.dp[i].Z)
	e.r.global(o+3, pr.dw[i].X)
	e.r.global(o+4, pr.dw[i].Y)
	e.r.global(o+5, pr.dw[i].Z)
	e.r.global(o+camLogFocal, pr.df[i])
	e.r.global(o+camK1, pr.dk[i])
}

// pixel adds a mark of the world point w. The callback fills the row's part that
// belongs to the point, given the derivative by it.
func (e *evaluator) pixel(pos int, m *markTerm, w r3.Vec, point func(d r3.Vec)) {
	pr, ok := e.st.cams[m.clip].project(w, e.out != nil)
	if !ok {
		e.cost += behindCost
		return
	}
	dx, dy := m.off(e.st)
	rx, ry := pr.x+dx-m.x, pr.y+dy-m.y
	iw := 1 / (m.sigma * m.sigma)
	c, weight := robust((rx*rx + ry*ry) * iw)
	e.cost += c
	if e.out == nil {
		return
	}
	if e.cautious {
		weight = math.Min(weight, 1)
	}
	for i, res := range [2]float64{rx, ry} {
		e.r.reset()
		e.cameraRow(m.clip, &pr, i)
		point(pr.dp[i])
		if m.stay > 0 {
			e.r.global(m.stay+i, m.staysPx)
		}
		e.out.add(pos, &e.r, res, weight*iw)
	}
}

// positionTerms adds everything that touches the points of one position.
func (e *evaluator) positionTerms(pos int) {
	st := e.st
	for i := range e.marks[pos] {
		m := &e.marks[pos][i]
		at, by, o := e.shown(st, m.clip, pos, m.pt)
		e.pixel(pos, m, at, func(d r3.Vec) {
			e.localVec(m.pt, d)
			if o > 0 {
				e.r.global(o, r3.Dot(d, by))
			}
		})
	}
	for _, l := range bodyLengths {
		d := r3.Sub(st.at(pos, l.a), st.at(pos, l.b))
		n := r3.Norm(d)
		length := math.Exp(st.g[e.oLengths+l.length])
		e.r.reset()
		if n > 1e-9 {
			u := r3.Scale(1/n, d)
			e.localVec(l.a, u)
			e.localVec(l.b, r3.Scale(-1, u))
		}
		e.r.global(e.oLengths+l.length, -length)
		sigma := segmentPriors[l.length].sigmaM
		e.emit(pos, n-length, sigma)
		if e.out != nil && n > 1e-9 {
			h := curvature(d, n, (n-length)/(sigma*sigma))
			e.out.curve(pos, l.a, l.a, 1, &h)
			e.out.curve(pos, l.b, l.b, 1, &h)
			e.out.curve(pos, min(l.a, l.b), max(l.a, l.b), -1, &h)
		}
	}
	e.midLength(pos, lenTrunk, [4]Point{LeadShoulder, TrailShoulder, LeadHip, TrailHip}, 4)
	e.midLength(pos, lenHead, [4]Point{LeadShoulder, TrailShoulder, Head}, 3)
	e.roughTerms(pos)
	e.footTerms(pos)
	e.signTerms(pos)
	if pos == e.address {
		e.addressTerms(pos)
	}
	if n := e.names[pos]; n == Impact || n == Address {
		e.ballTerm(pos)
	}
}

// curvature is k times the second derivative of the length n of d. It is
// negative across a segment that is squeezed: without it a segment that lies
// square to a single camera's view looks stiffer than it is.
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
// rest by a shared length.
func (e *evaluator) midLength(pos, length int, pts [4]Point, n int) {
	st := e.st
	var d r3.Vec
	for i := 0; i < n; i++ {
		d = r3.Add(d, r3.Scale(midCoefficient(i, n), st.at(pos, pts[i])))
	}
	dist := r3.Norm(d)
	l := math.Exp(st.g[e.oLengths+length])
	e.r.reset()
	if dist > 1e-9 {
		u := r3.Scale(1/dist, d)
		for i := 0; i < n; i++ {
			e.localVec(pts[i], r3.Scale(midCoefficient(i, n), u))
		}
	}
	e.r.global(e.oLengths+length, -l)
	sigma := segmentPriors[length].sigmaM
	e.emit(pos, dist-l, sigma)
	if e.out != nil && dist > 1e-9 {
		h := curvature(d, dist, (dist-l)/(sigma*sigma))
		for i := 0; i < n; i++ {
			for j := 0; j < n; j++ {
				e.out.curve(pos, pts[i], pts[j], midCoefficient(i, n)*midCoefficient(j, n), &h)
			}
		}
	}
}

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

// roughTerms are the very wide priors about a rough golfer.
func (e *evaluator) roughTerms(pos int) {
	for pt := Point(0); pt < Point(numBody); pt++ {
		d := r3.Sub(e.st.at(pos, pt), e.rough[pos][pt])
		sigma := wideSigma(pt)
		for i, v := range [3]float64{d.X, d.Y, d.Z} {
			e.r.reset()
			e.r.local(3*int(pt)+i, 1)
			e.emit(pos, v, sigma)
		}
	}
}

func wideSigma(pt Point) float64 {
	switch pt {
	case LeadElbow, TrailElbow, LeadWrist, TrailWrist, Grip, Clubhead:
		return wideHandSigmaM
	default:
		return wideSigmaM
	}
}

// footTerms tie the feet to their shared places.
func (e *evaluator) footTerms(pos int) {
	for k, pt := range plantedPoints {
		across, up := plantedSigma(e.names[pos], pt)
		for i := 0; i < 3; i++ {
			sigma, rise := across, 0.0
			if i == 1 {
				sigma, rise = up, e.heelRise(pos, pt)
			}
			o := e.oPlanted + 3*k + i
			e.r.reset()
			e.r.local(3*int(pt)+i, 1)
			e.r.global(o, -1)
			e.emit(pos, e.st.p[pos][3*int(pt)+i]-e.st.g[o]-rise, sigma)
		}
	}
}

// hinge adds a one-sided constraint value ≥ least whose row has been filled.
func (e *evaluator) hinge(pos int, value, least, sigma float64) {
	if value < least {
		e.emit(pos, value-least, sigma)
	}
}

// wrapRad brings an angle into (−π, π].
func wrapRad(a float64) float64 {
	a = math.Mod(a, 2*math.Pi)
	switch {
	case a > math.Pi:
		return a - 2*math.Pi
	case a <= -math.Pi:
		return a + 2*math.Pi
	default:
		return a
	}
}
