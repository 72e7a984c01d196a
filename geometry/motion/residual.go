package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// total is the cost of a state; with m its normal matrix is added up. The order
// of the terms is fixed, so that the same state has the same cost to the last
// bit.
//
// A cost is half the sum of squared residuals over their variances, observations through
// the robust loss (levmar.Robust): minus the logarithm of the posterior density, but for a
// constant.
func (f *problem) total(st *state, m *levmar.Band) float64 {
	e := evaluator{problem: f, st: st, m: m}
	e.all()
	return e.cost
}

// all adds up all terms.
func (e *evaluator) all() {
	for i := range e.observations {
		e.observe(&e.observations[i])
	}
	e.motion()
	e.first()
	e.keyPriorTerms()
	for i := range e.times {
		e.legs(i)
		e.spine(i)
	}
	e.border()
	e.clothTerms()
}

// evaluator adds up the residuals of a state. Each term fills the row r, whose
// local entries are of an instant and the next one, and emits its residual.
type evaluator struct {
	*problem
	st   *state
	m    *levmar.Band
	r    levmar.Row
	cost float64
	// draws, where not nil, has errors drawn for each row.
	draws *errorDraws
}

// emit adds a residual of instant i, and the next one, with a variance. A
// residual of the last instant alone comes with i = n−1; those of the border
// alone with any.
func (e *evaluator) emit(i int, res, variance float64) {
	w := 1 / variance
	e.cost += 0.5 * w * res * res
	if e.m != nil {
		e.m.Add(min(i, e.m.Len()-1), &e.r, res, w)
	}
	if e.draws != nil {
		e.draws.fresh(math.Sqrt(variance))
		e.draws.add(e, min(i, len(e.times)-1), w)
	}
}

// emitLasting is emit for what lasts: a standard deviation that counts once in so many
// seconds, and by times its variance. key tells it from others.
func (e *evaluator) emitLasting(i int, key [4]int, res, variance, by float64) {
	d := e.draws
	e.draws = nil
	e.emit(i, res, variance*by)
	if e.draws = d; d != nil {
		clear(d.eps)
		d.plus(math.Sqrt(variance), d.lastingAt(key, e.times[i], lengthLasts))
		d.add(e, i, 1/(variance*by))
	}
}

// observe adds one observation, with the robust loss of marks. A point of a
// segment is
//
//	w = at + axes·(q + off),
//
// at and axes the segment's pose between the instants at the time of the frame,
// q the point's place in the segment's frame (shape) and off what the coach is
// off in this clip; a knee or an ankle is a joint by itself, w = x + off. The
// clip's time offset moves w by its speed.
func (e *evaluator) observe(s *observation) {
	pt := Points[s.pt]
	c := carrierOf(pt)
	t := s.seconds
	if s.clip > 0 {
		t += e.st.g[e.oTime+s.clip-1]
	}
	h := e.hermiteAt(t)
	o := e.oOffset[s.clip][s.pt]
	off := e.st.g[o:][:3]
	var x, v [segmentDofs]float64
	var w, speed r3.Vec
	var pose segmentPose
	var q [3]float64
	if c.shape >= 0 {
		h.mix(e.st.x, c.dof, segmentDofs, x[:], v[:])
		pose = poseOf(x[:])
		q = c.placeIn(e.st.g[e.oShape:])
		for k := range q {
			q[k] += off[k]
		}
		w = r3.Add(pose.at, weighted(&pose.axes, q))
	} else {
		h.mix(e.st.x, c.dof, 3, x[:], v[:])
		w = r3.Vec{X: x[0] + off[0], Y: x[1] + off[1], Z: x[2] + off[2]}
	}
	pr, ok := e.st.cams[s.clip].Linearise(w, e.m != nil)
	if !ok {
		e.cost += levmar.BehindCost
		return
	}
	rx, ry := pr.X-s.x, pr.Y-s.y
	cost, weight := levmar.Robust((rx*rx + ry*ry) * s.weight)
	e.cost += cost
	if e.m == nil {
		return
	}
	if e.cautious {
		weight = math.Min(weight, 1)
	}
	weight *= s.weight
	for k, res := range [2]float64{rx, ry} {
		d := pr.ByPoint[k]
		r := &e.r
		r.Reset()
		// Of the place and the angles, of shape and offset, of time and of the
		// camera.
		speed = r3.Vec{X: v[0], Y: v[1], Z: v[2]}
		for j, g := range [3]float64{d.X, d.Y, d.Z} {
			h.put(r, c.dof+j, g)
		}
		if c.shape >= 0 {
			for j := range pose.by {
				by := weighted(&pose.by[j], q)
				h.put(r, c.dof+dofTurn+j, r3.Dot(d, by))
				speed = r3.Add(speed, r3.Scale(v[dofTurn+j], by))
			}
			for j, axis := range pose.axes {
				g := r3.Dot(d, axis)
				r.Global(o+j, g)
				if c.side != 0 && j == 0 {
					r.Global(e.oShape+c.shape, c.side*g)
				} else if c.side == 0 {
					r.Global(e.oShape+c.shape+j, g)
				}
			}
		} else {
			for j, g := range [3]float64{d.X, d.Y, d.Z} {
				r.Global(o+j, g)
			}
		}
		if s.clip > 0 {
			r.Global(e.oTime+s.clip-1, r3.Dot(d, speed))
		}
		b := s.clip * geometry.CameraUnknowns
		for j, g := range pr.ByCamera(k) {
			if b+j >= heldUnknowns {
				r.Global(b+j, g)
			}
		}
		e.m.Add(h.i, r, res, weight)
		if e.draws != nil {
			e.draws.followed(s, k)
			e.draws.add(e, h.i, weight)
		}
	}
}

// motion adds the motion prior between neighbouring instants: each degree of
// freedom is a Wiener velocity process, whose speed v gains a variance of q a
// second. Over dt the increments of value and speed have the covariance
//
//	q | dt³/3  dt²/2 |
//	  | dt²/2  dt    |
//
// (Särkkä & Solin 2019, ch. 6), of which the two residuals
//
//	x₁ − x₀ − dt (v₀+v₁)/2 ~ N(0, q dt³/12),   v₁ − v₀ ~ N(0, q dt)
//
// are independent.
//
// Places are counted in units of the golfer's own legs: in metres a smaller
// golfer would move less, and the most probable motion would be that of one too
// small. So a residual of places is multiplied by unit = exp((legsLog − log
// thigh − log shank)/2), whose derivative by each of the two logarithms is −½
// of itself.
func (e *evaluator) motion() {
	thigh, shank := e.oShape+shapeThigh, e.oShape+shapeShank
	unit := math.Exp((e.legsLog - e.st.g[thigh] - e.st.g[shank]) / 2)
	draws := e.draws
	e.draws = nil
	emit := func(i, d int, res, variance float64, speed bool) {
		if !isAngle(d) {
			e.r.ScaleLocals(unit)
			res *= unit
			e.r.Global(thigh, -res/2)
			e.r.Global(shank, -res/2)
		}
		e.emit(i, res, variance)
		if draws != nil {
			draws.moves(d, i, e.times[i+1]-e.times[i], speed)
			draws.add(e, i, 1/variance)
		}
	}
	for i := range len(e.times) - 1 {
		dt := e.times[i+1] - e.times[i]
		a, b := e.st.x[i], e.st.x[i+1]
		for d := range numDofs {
			q := e.phases[i].density(d)
			s := numDofs + d
			e.r.Reset()
			e.r.Local(d, -1)
			e.r.Local(s, -dt/2)
			e.r.Local(blockSize+d, 1)
			e.r.Local(blockSize+s, -dt/2)
			emit(i, d, b[d]-a[d]-dt/2*(a[s]+b[s]), q*dt*dt*dt/12, false)
			e.r.Reset()
			e.r.Local(s, -1)
			e.r.Local(blockSize+s, 1)
			emit(i, d, b[s]-a[s], q*dt, true)
		}
	}
	e.draws = draws
}

// first says next to nothing of where the golfer is at first, and that he moves
// slowly: it makes the chain's prior proper. Half a metre about mid-hip and
// knees at their usual heights, a radian of angles.
//
// An improper start would leave the whole motion free to be moved as one; of half a metre
// against millimetres of everything else nothing is felt.
func (e *evaluator) first() {
	for d := range numDofs {
		sigma, want := firstPlaceM, 0.0
		switch d % segmentDofs {
		case 1, 4:
			want = 0.8
		}
		if isAngle(d) {
			sigma, want = firstAngle, 0
		}
		e.r.Reset()
		e.r.Local(d, 1)
		e.emit(0, e.st.x[0][d]-want, sq(sigma))
		e.r.Reset()
		e.r.Local(numDofs+d, 1)
		e.emit(0, e.st.x[0][numDofs+d], sq(firstSpeed))
	}
}
