package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// patch is a piece of cloth as one frame shows it, and what was found of it in others.
//
// Where on the body it lies is no unknown of its own: it is where the ray of its pixel
// meets its facet, given where the pelvis is in that frame. So all patches of a frame share
// six unknowns of the border, the pelvis' pose there (a view of the chain's own, tied to it
// by clothTies), and the nodes of the shell, however many there are.
type patch struct {
	clip, frame int // as Cloth has them
	seconds     float64
	view        int // of which views it is seen in; index into clothFit.views
	at          geometry.ImagePt
	origin, ray r3.Vec // of its pixel in the world
	facet
	matches []match
}

// match is a patch found in a frame.
type match struct {
	frame   int
	seconds float64 // common clock
	x, y    float64 // where it was found, as the fit sees the picture
	// The rows of the whitening W, upper triangular with WᵀW the information.
	w00, w01, w11 float64
	s             float64 // squared, whitened residual at the state last looked at
	// Of how many matches, and seconds, W takes the error to be one.
	lasts, lastsSeconds float64
}

// view is a frame of a clip that patches are taken from.
type view struct {
	clip    int
	seconds float64 // common clock
}

// clothFit is the part of the problem that the clothes are.
//
// Behind the other unknowns the border has
//
//	poses   6 a view     of the pelvis in the frames that patches are taken from
//	shell   shellNodes   metres along the radius, off the rough shell
//	slip    1 a key position but address   radians: by how much the clothes have turned on the pelvis since address
type clothFit struct {
	shell shell
	// cams and lag, seconds, are the cameras and clocks as the fit without clothes has
	// them, and are held: what all matches of a clip err in alike, its camera and its shell, would
	// else be explained by two clocks that are off.
	cams    []geometry.Camera
	lag     []float64 // by clip, of its clock
	views   []view
	patches []patch
	knots   []float64 // times of the slip's unknowns; before the first there is none
	begin   float64   // the time at which slip is none
	top     float64   // when the club turns round
	// hidden says that neither buckle nor tailbone is marked anywhere: what is seen there
	// may be a shirt over the belt.
	hidden bool
	seen   []float64 // times of the frames that enough was found in, ascending
	// First indices into the border.
	oPose, oShell, oSlip int
}

// size is how many unknowns of the border that takes.
func (c *clothFit) size() int { return segmentDofs*len(c.views) + shellNodes + len(c.knots) }

// Slip. Cloth goes with the bone it lies on but for what it gives: nothing in the
// pictures tells that from turning, so that it is an unknown with the prior alone. How much it is
// is an assumption (2.3 mm at the belt are a degree): slipBackM until the turn begins to go back, when all
// is slow, and evenly more from there to slipLateM at impact, when the pelvis is fastest and the cloth is
// pulled most. clothBias stands for what all patches err in alike, shading, shell and cameras, as found on
// rendered swings. It comes and goes with the time constant slipLasts (a first-order autoregression: of
// unit variance φ, φ′ = aφ + √(1−a²)·ε, a = exp(−Δt/slipLasts)), so that positions next to each other
// share it.
const (
	slipBackM, slipLateM = 0.003, 0.0055
	clothBias            = 1.5 / toDegrees
	slipLasts            = 0.3
	// handsDiffer is by how much a turn by clothes differs from hand to hand that mark.
	handsDiffer = 0.4 / toDegrees
	// beltHidden is by how much more a shirt over the belt slips than belt and trousers (ours;
	// a rendered one whose hem goes along with the chest by an eighth bears it out).
	beltHidden = 2.5
)

// slipSigma is the standard deviation of what the clothes turn by on the pelvis at a time,
// radians, clothBias taken in.
func (c *clothFit) slipSigma(t float64) float64 {
	from := c.top - turnBefore
	part := math.Min(math.Max((t-from)/math.Max(-from, 0.01), 0), 1)
	slip := slipBackM + (slipLateM-slipBackM)*part
	if c.hidden {
		slip *= beltHidden
	}
	return math.Hypot(slip/((c.shell.a1+c.shell.b)/2), clothBias)
}

// sigma is the least standard deviation, radians, that is told of a turn by clothes at a time.
func (c *clothFit) sigma(t float64) float64 { return math.Hypot(c.slipSigma(t), handsDiffer) }

// slipAt returns the two unknowns that the slip at a time is the mean of, −1 for none,
// and their weights: straight lines from key position to key position.
func (c *clothFit) slipAt(t float64) (at [2]int, weight [2]float64) {
	at = [2]int{-1, -1}
	before := c.begin
	for i, k := range c.knots {
		if t < k {
			u := math.Max((t-before)/math.Max(k-before, 1e-6), 0)
			at[1], weight[1] = c.oSlip+i, u
			if i > 0 {
				at[0], weight[0] = c.oSlip+i-1, 1-u
			}
			return at, weight
		}
		before = k
	}
	if n := len(c.knots); n > 0 {
		at[0], weight[0] = c.oSlip+n-1, 1
	}
	return at, weight
}

// place is where a patch lies on the body, with its derivatives.
type place struct {
	q      r3.Vec
	byPose [segmentDofs]r3.Vec
	byNode r3.Vec // by a radial offset, all four nodes alike
	ok     bool
}

// placeOf intersects a patch's ray with its facet, both in the pelvis' frame,
//
//	q = o + s d,   s = (c − n·o)/(n·d),   o = Aᵀ(origin − at), d = Aᵀ ray.
//
// If o and d move by δo and δd, the distance s along the ray moves so that q stays in the
// plane: n·(δo + δs d + s δd) = δc, and δq = δo + s δd + δs d.
func (p *patch) placeOf(x []float64, rho []float64, derivatives bool) (out place) {
	pose := poseOf(x)
	v := r3.Sub(p.origin, pose.at)
	into := func(axes *[3]r3.Vec, w r3.Vec) r3.Vec {
		return r3.Vec{X: r3.Dot(axes[0], w), Y: r3.Dot(axes[1], w), Z: r3.Dot(axes[2], w)}
	}
	o, d := into(&pose.axes, v), into(&pose.axes, p.ray)
	den := r3.Dot(p.normal, d)
	if den > -0.1 { // the plane is seen edge on, or from behind
		return out
	}
	s := (p.facet.at + p.radial*p.offset(rho) - r3.Dot(p.normal, o)) / den
	out.q, out.ok = r3.Add(o, r3.Scale(s, d)), true
	if !derivatives {
		return out
	}
	move := func(dO, dD r3.Vec) r3.Vec {
		free := r3.Add(dO, r3.Scale(s, dD))
		return r3.Sub(free, r3.Scale(r3.Dot(p.normal, free)/den, d))
	}
	for j := range 3 {
		out.byPose[j] = move(r3.Scale(-1, into(&pose.axes, [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}[j])), r3.Vec{})
		out.byPose[dofTurn+j] = move(into(&pose.by[j], v), into(&pose.by[j], p.ray))
	}
	out.byNode = r3.Scale(p.radial/den, d)
	return out
}

// clothTerms adds what the clothes say: the matches, the ties of the views' poses to
// the chain, the shell's prior and that of the slip.
func (e *evaluator) clothTerms() {
	c := e.cloth
	if c == nil {
		return
	}
	e.clothTies()
	g := e.st.g
	rho := g[c.oShell:][:shellNodes]
	for i := range c.patches {
		p := &c.patches[i]
		if len(p.matches) == 0 {
			continue
		}
		o := c.oPose + segmentDofs*p.view
		at := p.placeOf(g[o:][:segmentDofs], rho, e.m != nil)
		for k := range p.matches {
			e.matched(p, i, &p.matches[k], &at)
		}
	}
	for i := range shellNodes {
		e.r.Reset()
		e.r.Global(c.oShell+i, 1)
		e.emit(0, rho[i], sq(shellSigmaM))
	}
	before, was := c.begin, 1.0
	draws := e.draws
	e.draws = nil // they have the slip at all times
	for i, t := range c.knots {
		a, sigma := math.Exp(-(t-before)/slipLasts), c.slipSigma(t)
		res := g[c.oSlip+i]
		e.r.Reset()
		e.r.Global(c.oSlip+i, 1)
		if i > 0 {
			res -= a * sigma / was * g[c.oSlip+i-1]
			e.r.Global(c.oSlip+i-1, -a*sigma/was)
		}
		e.emit(0, res, sq(sigma)*math.Max(1-a*a, 1e-4))
		before, was = t, sigma
	}
	e.draws = draws
}

// clothTies holds the pose of each view to the chain's at its time.
func (e *evaluator) clothTies() {
	c := e.cloth
	for i := range c.views {
		v := &c.views[i]
		h := e.hermiteAt(v.seconds + c.lag[v.clip])
		var x, speed [segmentDofs]float64
		h.mix(e.st.x, 0, segmentDofs, x[:], speed[:])
		for d := range segmentDofs {
			e.r.Reset()
			h.put(&e.r, d, 1)
			o := c.oPose + segmentDofs*i + d
			e.r.Global(o, -1)
			e.emit(h.i, x[d]-e.st.g[o], sq(tieSigma))
		}
	}
}

// tieSigma, metres and radians, is far below what any match tells.
const tieSigma = 1e-4

// clothNu is the degrees of freedom of the matches' Student t distribution: a third of
// them and more have settled on another thread.
const clothNu = 2

// matched adds one match: the patch's place q on the body, turned on it by the slip φ
// since it was seen,
//
//	w = at + axes·(q + φ(q.z − z₀ to −lead, q.x to the front)),
//
// pictured, less where it was found, whitened by its information. The two rows that come of
// it have one weight (see levmar.Robust, here with clothNu).
func (e *evaluator) matched(p *patch, index int, m *match, at *place) {
	c := e.cloth
	if !at.ok {
		e.cost += clothLost
		return
	}
	h := e.hermiteAt(m.seconds + c.lag[p.clip])
	var x, v [segmentDofs]float64
	h.mix(e.st.x, 0, segmentDofs, x[:], v[:])
	pose := poseOf(x[:])
	now, nowBy := c.slipAt(m.seconds)
	then, thenBy := c.slipAt(p.seconds)
	var slip float64
	for k := range now {
		if now[k] >= 0 {
			slip += nowBy[k] * e.st.g[now[k]]
		}
		if then[k] >= 0 {
			slip -= thenBy[k] * e.st.g[then[k]]
		}
	}
	turned := func(q r3.Vec, z0 float64) r3.Vec {
		return r3.Vec{X: q.X - slip*(q.Z-z0), Y: q.Y, Z: q.Z + slip*q.X}
	}
	q := turned(at.q, c.shell.z0)
	body := [3]float64{q.X, q.Y, q.Z}
	w := r3.Add(pose.at, weighted(&pose.axes, body))
	pr, ok := c.cams[p.clip].Linearise(w, e.m != nil)
	if !ok {
		e.cost += levmar.BehindCost
		return
	}
	rx, ry := pr.X-m.x, pr.Y-m.y
	y0, y1 := m.w00*rx+m.w01*ry, m.w11*ry
	s := y0*y0 + y1*y1
	m.s = s
	e.cost += 0.5 * (clothNu + 2) * math.Log1p(s/clothNu)
	if e.m == nil {
		return
	}
	weight := (clothNu + 2) / (clothNu + s)
	if e.cautious {
		weight = math.Min(weight, 1)
	}
	rows := [2]r3.Vec{r3.Add(r3.Scale(m.w00, pr.ByPoint[0]), r3.Scale(m.w01, pr.ByPoint[1])), r3.Scale(m.w11, pr.ByPoint[1])}
	o := c.oPose + segmentDofs*p.view
	for k, res := range [2]float64{y0, y1} {
		d := rows[k]
		r := &e.r
		r.Reset()
		inBody := r3.Vec{X: r3.Dot(d, pose.axes[0]), Y: r3.Dot(d, pose.axes[1]), Z: r3.Dot(d, pose.axes[2])}
		for j, g := range [3]float64{d.X, d.Y, d.Z} {
			h.put(r, j, g)
		}
		for j := range pose.by {
			h.put(r, dofTurn+j, r3.Dot(d, weighted(&pose.by[j], body)))
		}
		// By the place on the body, through the slip's turn.
		through := r3.Vec{X: inBody.X + slip*inBody.Z, Y: inBody.Y, Z: inBody.Z - slip*inBody.X}
		for j := range at.byPose {
			r.Global(o+j, r3.Dot(through, at.byPose[j]))
		}
		g := r3.Dot(through, at.byNode)
		for j, n := range p.nodes {
			r.Global(c.oShell+n, g*p.weight[j])
		}
		bySlip := inBody.Z*at.q.X - inBody.X*(at.q.Z-c.shell.z0)
		for j := range now {
			if now[j] >= 0 {
				r.Global(now[j], bySlip*nowBy[j])
			}
			if then[j] >= 0 {
				r.Global(then[j], -bySlip*thenBy[j])
			}
		}
		e.m.Add(h.i, r, res, weight)
		if e.draws != nil {
			e.draws.aligned(index, m, k)
			e.draws.plus(bySlip, e.draws.turnedAt(m.seconds))
			e.draws.plus(-bySlip, e.draws.turnedAt(p.seconds))
			e.draws.add(e, h.i, weight)
		}
	}
}

// clothLost is the cost of a match whose patch has turned its back on its own camera.
const clothLost = 20
