package motion

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// limits are the standard deviations beyond which a measure is not shown,
// in its unit.
var limits = [numCurves]float64{12, 12, 14, 4, 12, 12, 6}

const toDegrees = 180 / math.Pi

// dofsOfMeasure lists the degrees of freedom that a measure depends on.
var dofsOfMeasure = [numCurves][]int{
	curvePelvis: {dofTurn}, curveTorso: {segmentDofs + dofTurn}, curveSeparation: {dofTurn, segmentDofs + dofTurn},
	curveSway:      {0},
	curveLeadKnee:  {0, 1, 2, 3, 4, 5, dofLeadKnee, dofLeadKnee + 1, dofLeadKnee + 2, dofLeadAnkle, dofLeadAnkle + 1, dofLeadAnkle + 2},
	curveTrailKnee: {0, 1, 2, 3, 4, 5, dofTrailKnee, dofTrailKnee + 1, dofTrailKnee + 2, dofTrailAnkle, dofTrailAnkle + 1, dofTrailAnkle + 2},
	curveBend:      {1, 2, segmentDofs + 1, segmentDofs + 2},
}

// unseenSeconds is how long the points of a part of the body may be out of sight
// before and after an instant: in the downswing, and else. What the motion prior
// would make of a longer time is a guess.
const unseenSeconds, unseenDown = 0.15, 0.08

// sightings are the times at which each part of the body is seen, by the first
// degree of freedom of the part.
func (f *problem) sightings() map[int][]float64 {
	out := map[int][]float64{}
	for i := range f.observations {
		dof := carrierOf(Points[f.observations[i].pt]).dof
		out[dof] = append(out[dof], f.observations[i].seconds)
	}
	for i := range f.keyPriors { // marks are sightings too
		p := &f.keyPriors[i]
		for _, pt := range Points {
			if f.key.Marked(p.position, pt) {
				dof := carrierOf(pt).dof
				out[dof] = append(out[dof], f.times[p.at])
			}
		}
	}
	for dof := range out {
		slices.Sort(out[dof])
	}
	return out
}

// unseen reports whether a part of the body that a measure needs is out of sight at
// an instant.
func (f *problem) unseen(k, i int, seen map[int][]float64) bool {
	most := unseenSeconds
	if f.phases[i] == &down {
		most = unseenDown
	}
	for _, d := range dofsOfMeasure[k] {
		part := d
		switch {
		case d < segmentDofs:
			part = 0
		case d < dofLeadKnee:
			part = segmentDofs
		default:
			part = d - d%3
		}
		at := seen[part]
		j, _ := slices.BinarySearch(at, f.times[i])
		near := math.Inf(1)
		if j < len(at) {
			near = at[j] - f.times[i]
		}
		if j > 0 {
			near = math.Min(near, f.times[i]-at[j-1])
		}
		if near > most {
			return true
		}
	}
	return false
}

// sinceAddress says whether a measure is counted since address.
var sinceAddress = [numCurves]bool{curvePelvis: true, curveTorso: true, curveSeparation: true, curveSway: true}

// absolute is a measure at an instant, not yet counted since address.
func absolute(curve int, x []float64, half float64) float64 {
	switch curve {
	case curvePelvis:
		return x[dofTurn] * toDegrees
	case curveTorso:
		return x[segmentDofs+dofTurn] * toDegrees
	case curveSeparation:
		return (x[segmentDofs+dofTurn] - x[dofTurn]) * toDegrees
	case curveSway:
		return 100 * x[0]
	case curveBend:
		return math.Atan2(x[segmentDofs+2]-x[2], x[segmentDofs+1]-x[1]) * toDegrees
	default:
		hip, knee, ankle := legOf(curve, x, half)
		a, b := r3.Sub(hip, knee), r3.Sub(ankle, knee)
		return 180 - math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b))*toDegrees
	}
}

func legOf(curve int, x []float64, half float64) (hip, knee, ankle r3.Vec) {
	k, side := 0, 1.0
	if curve == curveTrailKnee {
		k, side = 3, -1
	}
	pose := poseOf(x)
	hip = r3.Add(pose.at, r3.Scale(side*half, pose.axes[0]))
	knee = r3.Vec{X: x[dofLeadKnee+k], Y: x[dofLeadKnee+k+1], Z: x[dofLeadKnee+k+2]}
	ankle = r3.Vec{X: x[dofLeadAnkle+k], Y: x[dofLeadAnkle+k+1], Z: x[dofLeadAnkle+k+2]}
	return hip, knee, ankle
}

// slope is the derivative of a measure by the degrees of freedom of an instant
// and by half the pelvis's width: central differences, good to 1e-9.
func slope(curve int, x []float64, half float64) (by [numDofs]float64, byHalf float64) {
	const h = 1e-5
	var y [numDofs]float64
	copy(y[:], x[:numDofs])
	for _, d := range dofsOfMeasure[curve] {
		y[d] = x[d] + h
		up := absolute(curve, y[:], half)
		y[d] = x[d] - h
		by[d] = (up - absolute(curve, y[:], half)) / (2 * h)
		y[d] = x[d]
	}
	if curve == curveLeadKnee || curve == curveTrailKnee {
		byHalf = (absolute(curve, x, half+h) - absolute(curve, x, half-h)) / (2 * h)
	}
	return by, byHalf
}

// covariance is what the variances of the curves are made from.
type covariance struct {
	own, border [][]float64
	g           []float64
	address     [][]float64 // of each instant's block with the address's values
}

func (f *problem) covariance() *covariance {
	c := &covariance{}
	c.own, c.border, c.g = f.m.Blocks()
	x, xG := f.m.Columns(numDofs)
	for d := range numDofs {
		x[f.address][d*numDofs+d] = 1
	}
	f.m.Solve(x, xG, numDofs)
	c.address = x
	return c
}

// evaluate fills the curves with values, speeds and their deviations.
func (c *Curves) evaluate(ctx context.Context) error {
	f := c.problem
	cov, seen := f.covariance(), f.sightings()
	half := f.st.g[f.oShape+shapePelvisWidth]
	at := f.st.x[f.address]
	for k := range numCurves {
		d := geometry.DefinitionOf(names[k])
		curve := Curve{Name: d.Name, Definition: d.Definition, Positive: d.Positive, Unit: d.Unit,
			Values: make([]Value, len(f.times))}
		known := 0
		for i := range f.times {
			if err := ctx.Err(); err != nil {
				return err
			}
			v := Value{}
			if !f.unseen(k, i, seen) {
				v = f.value(k, i, at, half, cov)
			}
			if v.Known {
				known++
			}
			curve.Values[i] = v
		}
		if known == 0 {
			curve.Lost = true
		}
		c.Curves = append(c.Curves, curve)
	}
	return nil
}

// takeKeySigmas takes over how sure the fit at key positions is of each measure.
// How far one bends hangs on how level the phones stand, of which following tells
// nothing: of that the marks alone are as sure as can be.
func (f *problem) takeKeySigmas(marked *fit.Solution) {
	for pos, name := range f.keyNames {
		if !geometry.Finite(f.keyTimes[pos]) {
			continue
		}
		k := positionSigma{seconds: f.keyTimes[pos]}
		for i := range k.sigma {
			from := f.key
			if i == curveBend {
				from = marked
			}
			if m, miss := from.Measure(names[i], name); miss == nil {
				k.sigma[i] = m.Sigma
			}
		}
		f.keySigmas = append(f.keySigmas, k)
	}
	slices.SortFunc(f.keySigmas, func(a, b positionSigma) int { return cmp.Compare(a.seconds, b.seconds) })
}

// positionSigma is how sure the fit at a key position is of the measures, standard
// deviations; 0 for what it does not tell.
type positionSigma struct {
	seconds float64
	sigma   [numCurves]float64
}

// keySigma is the least that a measure's standard deviation can be at a time: what
// the fit at key positions has of it, at the one before and the one after. The
// tracks between say how the golfer gets from one to the other, and not where he
// was there.
func (f *problem) keySigma(k int, seconds float64) float64 {
	if len(f.keySigmas) == 0 {
		return 0
	}
	i, _ := slices.BinarySearchFunc(f.keySigmas, seconds, func(a positionSigma, t float64) int { return cmp.Compare(a.seconds, t) })
	b := &f.keySigmas[min(i, len(f.keySigmas)-1)]
	a := &f.keySigmas[max(i-1, 0)]
	if !(b.seconds > a.seconds) || seconds > b.seconds {
		return b.sigma[k]
	}
	part := math.Max((seconds-a.seconds)/(b.seconds-a.seconds), 0)
	return (1-part)*a.sigma[k] + part*b.sigma[k]
}

// value is one measure at one instant, where it is sure enough.
func (f *problem) value(k, i int, at []float64, half float64, cov *covariance) Value {
	x := f.st.x[i]
	by, byHalf := slope(k, x, half)
	value := absolute(k, x, half)
	variance := f.misplaced(k, x, at, half)
	oHalf := f.oShape + shapePelvisWidth
	own, border := cov.own[i], cov.border[i]
	for a := range numDofs {
		if by[a] == 0 {
			continue
		}
		for b := range numDofs {
			variance += by[a] * by[b] * own[a*blockSize+b]
		}
		variance += 2 * by[a] * byHalf * border[a*f.nG+oHalf]
	}
	variance += sq(byHalf) * cov.g[oHalf*f.nG+oHalf]
	if sinceAddress[k] {
		then, _ := slope(k, at, half)
		value -= absolute(k, at, half)
		home := cov.own[f.address]
		for a := range numDofs {
			for b := range numDofs {
				variance += then[a] * then[b] * home[a*blockSize+b]
				variance -= 2 * by[a] * then[b] * cov.address[i][a*numDofs+b]
			}
		}
	}
	if k == curveSway {
		variance += sq(f.scaleSigma * value)
	}
	variance = math.Max(variance, sq(f.keySigma(k, f.times[i])))
	// The rate is the slope times the speeds.
	const h = 1e-4
	var ahead, behind [numDofs]float64
	var rate float64
	for a := range numDofs {
		rate += by[a] * x[numDofs+a]
		ahead[a], behind[a] = x[a]+h*x[numDofs+a], x[a]-h*x[numDofs+a]
	}
	s1, _ := slope(k, ahead[:], half)
	s0, _ := slope(k, behind[:], half)
	var r [blockSize]float64
	for a := range numDofs {
		r[a], r[numDofs+a] = (s1[a]-s0[a])/(2*h), by[a]
	}
	var rateVariance float64
	for a := range blockSize {
		if r[a] == 0 {
			continue
		}
		for b := range blockSize {
			rateVariance += r[a] * r[b] * own[a*blockSize+b]
		}
	}
	v := Value{Value: value, Sigma: math.Sqrt(math.Max(variance, 0)), Rate: rate, RateSigma: math.Sqrt(math.Max(rateVariance, 0))}
	if !geometry.Finite(v.Value, v.Sigma, v.Rate, v.RateSigma) || v.Sigma > limits[k] {
		return Value{}
	}
	v.Known = true
	v.Low95, v.High95 = v.Value-geometry.Z95*v.Sigma, v.Value+geometry.Z95*v.Sigma
	v.RateLow95, v.RateHigh95 = v.Rate-geometry.Z95*v.RateSigma, v.Rate+geometry.Z95*v.RateSigma
	return v
}

// misplaced is the variance of a measure from landmarks that are taken to be a
// little off: the same on the body all the time, so that of a change since
// address only as much is left as the body has tipped over.
func (f *problem) misplaced(k int, x, at []float64, half float64) float64 {
	off := sq(geometry.PlacingSigmaM)
	heading := func(dof int, half float64) float64 {
		now, then := headingBy(x[dof:], half), headingBy(at[dof:], half)
		var s float64
		for i := range now {
			s += sq((now[i] - then[i]) * toDegrees)
		}
		return 2 * off * s
	}
	pelvis := func() float64 { return heading(0, half) }
	chest := func() float64 { return heading(segmentDofs, f.st.g[f.oShape+shapeChestWidth]) }
	switch k {
	case curvePelvis:
		return pelvis()
	case curveTorso:
		return chest()
	case curveSeparation:
		return pelvis() + chest()
	case curveSway:
		now, then := poseOf(x), poseOf(at)
		var s float64
		for i := range now.axes {
			s += sq(100 * (now.axes[i].X - then.axes[i].X))
		}
		return off / 2 * s
	case curveBend:
		l2 := sq(x[segmentDofs+2]-x[2]) + sq(x[segmentDofs+1]-x[1])
		return off / 2 * 2 * sq(toDegrees) / math.Max(l2, 1e-4)
	default:
		hip, knee, ankle := legOf(k, x, half)
		a, b := r3.Norm(r3.Sub(hip, knee)), r3.Norm(r3.Sub(ankle, knee))
		c := r3.Norm(r3.Sub(hip, ankle))
		// Each end turns its bone; the knee both, by as much as the ends lie apart.
		return off * sq(toDegrees) * (1/sq(a) + 1/sq(b) + sq(c/(a*b)))
	}
}

// headingBy is the derivative of the heading of a segment's line by where one of
// its ends lies on the body, along the segment's axes, radians per metre.
func headingBy(x []float64, half float64) (out [3]float64) {
	p := poseOf(x)
	d := r3.Scale(2*half, p.axes[0])
	rho2 := math.Max(d.X*d.X+d.Z*d.Z, 1e-6)
	for i, axis := range p.axes {
		out[i] = (d.X*axis.Z - d.Z*axis.X) / rho2
	}
	return out
}

// At returns a curve's value at a time on the common clock; it is not known
// outside the instants, nor next to one where there is none.
func (c *Curves) At(curve int, seconds float64) Value {
	f := c.problem
	if curve < 0 || curve >= len(c.Curves) || !(seconds >= c.Seconds[0] && seconds <= c.Seconds[len(c.Seconds)-1]) {
		return Value{}
	}
	h := f.hermiteAt(seconds)
	a, b := &c.Curves[curve].Values[h.i], &c.Curves[curve].Values[h.i+1]
	part := (seconds - c.Seconds[h.i]) / (c.Seconds[h.i+1] - c.Seconds[h.i])
	switch {
	case part <= 1e-9:
		return *a
	case part >= 1-1e-9:
		return *b
	case !a.Known || !b.Known:
		return Value{}
	}
	v := Value{Known: true}
	p := [4]float64{a.Value, a.Rate, b.Value, b.Rate}
	for j := range p {
		v.Value += h.value[j] * p[j]
		v.Rate += h.speed[j] * p[j]
	}
	mix := func(p, q float64) float64 { return (1-part)*p + part*q }
	v.Sigma, v.RateSigma = mix(a.Sigma, b.Sigma), mix(a.RateSigma, b.RateSigma)
	v.Low95, v.High95 = v.Value-geometry.Z95*v.Sigma, v.Value+geometry.Z95*v.Sigma
	v.RateLow95, v.RateHigh95 = v.Rate-geometry.Z95*v.RateSigma, v.Rate+geometry.Z95*v.RateSigma
	return v
}

// Measures returns the curves' values at the key positions, as measures whose
// method says that they come from the fit through time.
func (c *Curves) Measures() []geometry.Measure {
	var out []geometry.Measure
	for i, name := range c.positionNames {
		if !geometry.Finite(c.Positions[i]) {
			continue
		}
		for k := range c.Curves {
			d := geometry.DefinitionOf(c.Curves[k].Name)
			if v := c.At(k, c.Positions[i]); v.Known && d.AppliesTo(name) {
				out = append(out, d.Measure(name, v.Value, v.Sigma, "tracked, fit through time"))
			}
		}
	}
	return out
}

// PointsAt returns where the golfer's pelvis, chest, knees and ankles are at a
// time on the common clock, metres; ok is false outside the instants.
func (c *Curves) PointsAt(seconds float64) (out [len(Points)]geometry.WorldPt, ok bool) {
	if !(seconds >= c.Seconds[0] && seconds <= c.Seconds[len(c.Seconds)-1]) {
		return out, false
	}
	f := c.problem
	h := f.hermiteAt(seconds)
	for i, pt := range Points {
		k := carrierOf(pt)
		var x, v [segmentDofs]float64
		if k.shape < 0 {
			h.mix(f.st.x, k.dof, 3, x[:], v[:])
			out[i] = r3.Vec{X: x[0], Y: x[1], Z: x[2]}
			continue
		}
		h.mix(f.st.x, k.dof, segmentDofs, x[:], v[:])
		pose := poseOf(x[:])
		out[i] = r3.Add(pose.at, weighted(&pose.axes, k.placeIn(f.st.g[f.oShape:])))
	}
	return out, true
}
