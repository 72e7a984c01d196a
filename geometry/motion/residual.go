package motion

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/geometry/levmar"
)

// hermite holds the weights by which values and speeds at two neighbouring
// instants make a value, and a speed, between them. Without anything seen
// between, that is where the motion prior expects it.
type hermite struct {
	i     int
	value [4]float64 // of value and speed at i, then at i+1
	speed [4]float64
}

func (f *problem) hermiteAt(t float64) hermite {
	i := sort.SearchFloat64s(f.times, t) - 1
	i = min(max(i, 0), len(f.times)-2)
	dt := f.times[i+1] - f.times[i]
	s := (t - f.times[i]) / dt
	s2, s3 := s*s, s*s*s
	return hermite{i,
		[4]float64{2*s3 - 3*s2 + 1, (s3 - 2*s2 + s) * dt, 3*s2 - 2*s3, (s3 - s2) * dt},
		[4]float64{6 * (s2 - s) / dt, 3*s2 - 4*s + 1, 6 * (s - s2) / dt, 3*s2 - 2*s}}
}

// mix returns the degrees of freedom from dof on, n of them, and their speeds.
func (h *hermite) mix(x [][]float64, dof, n int, value, speed []float64) {
	a, b := x[h.i][dof:], x[h.i+1][dof:]
	for k := range n {
		p := [4]float64{a[k], a[numDofs+k], b[k], b[numDofs+k]}
		value[k], speed[k] = 0, 0
		for j := range p {
			value[k] += h.value[j] * p[j]
			speed[k] += h.speed[j] * p[j]
		}
	}
}

// put fills a row with a derivative by a degree of freedom between instants.
func (h *hermite) put(r *levmar.Row, dof int, d float64) {
	r.Local(dof, d*h.value[0])
	r.Local(numDofs+dof, d*h.value[1])
	r.Local(blockSize+dof, d*h.value[2])
	r.Local(blockSize+numDofs+dof, d*h.value[3])
}

// total is the cost of a state; with m its normal matrix is added up.
func (f *problem) total(st *state, m *levmar.Band) float64 {
	e := evaluator{problem: f, st: st, m: m}
	for i := range f.observations {
		e.observe(&f.observations[i])
	}
	e.motion()
	e.first()
	e.keyPriorTerms()
	for i := range f.times {
		e.legs(i)
		e.spine(i)
	}
	e.border()
	return e.cost
}

// evaluator adds up the residuals of a state.
type evaluator struct {
	*problem
	st   *state
	m    *levmar.Band
	r    levmar.Row
	cost float64
}

func (e *evaluator) emit(i int, res, variance float64) {
	w := 1 / variance
	e.cost += 0.5 * w * res * res
	if e.m != nil {
		e.m.Add(min(i, e.m.Len()-1), &e.r, res, w)
	}
}

// observe adds one observation, with the robust loss of marks.
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
	}
}

// motion adds the motion prior between neighbouring instants. Of the Wiener
// velocity process the two residuals here are independent.
//
// Places are counted in units of the golfer's own legs: in metres a smaller golfer
// would move less, and the most probable motion would be that of one too small.
func (e *evaluator) motion() {
	thigh, shank := e.oShape+shapeThigh, e.oShape+shapeShank
	unit := math.Exp((e.legsLog - e.st.g[thigh] - e.st.g[shank]) / 2)
	emit := func(i, d int, res, variance float64) {
		if isAngle(d) {
			e.emit(i, res, variance)
			return
		}
		e.r.ScaleLocals(unit)
		res *= unit
		e.r.Global(thigh, -res/2)
		e.r.Global(shank, -res/2)
		e.emit(i, res, variance)
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
			emit(i, d, b[d]-a[d]-dt/2*(a[s]+b[s]), q*dt*dt*dt/12)
			e.r.Reset()
			e.r.Local(s, -1)
			e.r.Local(blockSize+s, 1)
			emit(i, d, b[s]-a[s], q*dt)
		}
	}
}

// first says next to nothing of where the golfer is at first, and that he moves
// slowly.
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

// legs ties hip to knee, knee to ankle, and hips to shoulders by lengths that
// all instants share.
func (e *evaluator) legs(i int) {
	step := e.phases[i].step
	lasts := math.Max(lengthLasts/step, 1)
	x := e.st.x[i]
	pelvis := poseOf(x)
	half := e.st.g[e.oShape+shapePelvisWidth]
	joint := func(dof int) r3.Vec { return r3.Vec{X: x[dof], Y: x[dof+1], Z: x[dof+2]} }
	tie := func(d r3.Vec, length int, sigma float64, fill func(u r3.Vec)) {
		n := r3.Norm(d)
		if n < 1e-6 {
			return
		}
		l := math.Exp(e.st.g[e.oShape+length])
		e.r.Reset()
		fill(r3.Scale(1/n, d))
		e.r.Global(e.oShape+length, -l)
		e.emit(i, n-l, sq(sigma)*lasts)
	}
	three := func(dof int, u r3.Vec) {
		e.r.Local(dof, u.X)
		e.r.Local(dof+1, u.Y)
		e.r.Local(dof+2, u.Z)
	}
	for k, side := range [2]float64{1, -1} {
		knee, ankle := dofLeadKnee+3*k, dofLeadAnkle+3*k
		q := [3]float64{side * half}
		hip := r3.Add(pelvis.at, weighted(&pelvis.axes, q))
		tie(r3.Sub(hip, joint(knee)), shapeThigh, jointSigmaM, func(u r3.Vec) {
			three(0, u)
			for j := range pelvis.by {
				e.r.Local(dofTurn+j, r3.Dot(u, weighted(&pelvis.by[j], q)))
			}
			three(knee, r3.Scale(-1, u))
			e.r.Global(e.oShape+shapePelvisWidth, side*r3.Dot(u, pelvis.axes[0]))
		})
		tie(r3.Sub(joint(knee), joint(ankle)), shapeShank, jointSigmaM, func(u r3.Vec) {
			three(knee, u)
			three(ankle, r3.Scale(-1, u))
		})
	}
	tie(r3.Sub(joint(segmentDofs), joint(0)), shapeTrunk, trunkSigmaM, func(u r3.Vec) {
		three(segmentDofs, u)
		three(0, r3.Scale(-1, u))
	})
}

// spineSquareSigma and spineLeanSigma are how far, in radians, the shoulder line is
// off square to the line from mid-hip to mid-shoulder, and the chest off its
// direction: as the fit at key positions has it.
const spineSquareSigma, spineLeanSigma = fit.ShouldersSquareSigma, fit.ChestSigmaM / 0.115

// spine says that the chest stands about square on the spine.
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
		e.emit(i, v, sq(sigma)*lasts)
	}
}

// heldUnknowns is how many of the first camera's unknowns are held: where it
// stands and where it looks. The tracks say nothing of where the golfer stands in
// the world, only of how he and the second camera stand to the first; the fit at
// key positions says the rest. Only scale is left to be found.
const heldUnknowns = 6

// border adds what is known of the shared unknowns beforehand.
func (e *evaluator) border() {
	g, h := e.st.g, e.stature
	n := geometry.CameraUnknowns * e.nC
	for i := range heldUnknowns {
		if e.m != nil {
			e.m.AddBorder(i, i, 1)
		}
	}
	for i := heldUnknowns; i < n; i++ { // the cameras' prior is a full matrix
		var gradient float64
		for j := range n {
			gradient += e.camInfo[i*n+j] * g[j]
		}
		e.cost += 0.5 * g[i] * gradient
		if e.m == nil {
			continue
		}
		e.m.AddBorderGradient(i, gradient)
		for j := i; j < n; j++ {
			e.m.AddBorder(i, j, e.camInfo[i*n+j])
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
	hips, shoulders := &geometry.SegmentPriors[geometry.SegmentHipWidth], &geometry.SegmentPriors[geometry.SegmentShoulderWidth]
	one(s+shapePelvisWidth, hips.Fraction/2*h, hips.Fraction/2*h*hips.LogSigma)
	one(s+shapeChestWidth, shoulders.Fraction/2*h, shoulders.Fraction/2*h*shoulders.LogSigma)
	for _, p := range [4]struct {
		at        int
		up, front float64
	}{{shapeBuckle, 0.048, 0.065}, {shapeTailbone, 0.048, -0.06}, {shapeBreastbone, -0.045, 0.065}, {shapeUpperBack, -0.045, -0.065}} {
		one(s+p.at, 0, shapeSideM)
		one(s+p.at+1, p.up*h, shapeUpM)
		one(s+p.at+2, p.front*h, shapeFrontM)
	}
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
