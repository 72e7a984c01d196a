package motion

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// Of a curve a coach reads shape and order before values; a value whose standard deviation
// exceeds limits says nothing of either, and is left out rather than drawn with a band as wide as
// the plot. They are half to all of what a golfer of whom nothing is known has (OpenSigma in
// geometry; ours).
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

// sinceAddress says whether a measure is counted since address.
var sinceAddress = [numCurves]bool{curvePelvis: true, curveTorso: true, curveSeparation: true, curveSway: true}

// absolute is a measure at an instant, not yet counted since address.
//
// Turns are headings in the ground plane, degrees, and unwrapped: the degrees of freedom carry
// the full turns. Sway is in centimetres. Bend is of the line from mid-hip to mid-shoulder, whose
// z and y are those of the two segments' origins.
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

// The hip lies half the pelvis' width along its lateral axis from mid-hip, and is no unknown of
// its own; knees and ankles are.
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
//
// own[i] is blockSize square (values, then speeds), border[i] blockSize by nG, g nG square, all
// row by row, in the squares of metres and radians (and a second for speeds); address[i] is
// blockSize by numDofs.
type covariance struct {
	own, border [][]float64
	g           []float64
	address     [][]float64 // of each instant's block with the address's values
}

// A column of H⁻¹ is the solution for a unit vector; those of the address' values, as many as an
// instant has degrees of freedom, are solved for together.
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
//
// The blocks of H⁻¹ that curves need are those of each instant with itself, with the border
// and with the address: the first two by the recursion of Takahashi (levmar.Band.Blocks),
// the last by one solve with numDofs columns, whatever the number of instants.
func (c *Curves) evaluate(ctx context.Context) error {
	f := c.problem
	cov, seen := f.covariance(), f.sightings()
	f.draws = f.drawErrors(numDraws)
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

// value is one measure at one instant, where it is sure enough.
//
// With y the unknowns of this instant, a those of the address, w the half width of the
// pelvis, and f the measure,
//
//	Var f = fᵧ C_yy fᵧᵀ + 2 fᵧ C_yw f_w + f_w² C_ww
//	      − 2 fᵧ C_ya f_aᵀ + f_a C_aa f_aᵀ            where it is since address,
//
// and the rate ṙ = f_y v has the derivatives f_y by the speeds and ∂(f_y v)/∂y, here a
// difference quotient along v, by the values.
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
	variance = math.Max(variance, sq(f.leastSigma(k, i)))
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
	v := Value{Value: value, Sigma: math.Sqrt(math.Max(variance, 0)), Rate: rate, RateSigma: f.rateSigma(k, i, &r, own)}
	if !geometry.Finite(v.Value, v.Sigma, v.Rate, v.RateSigma) || v.Sigma > limits[k] {
		return Value{}
	}
	v.Known = true
	v.Low95, v.High95 = v.Value-geometry.Z95*v.Sigma, v.Value+geometry.Z95*v.Sigma
	v.RateLow95, v.RateHigh95 = v.Rate-geometry.Z95*v.RateSigma, v.Rate+geometry.Z95*v.RateSigma
	return v
}

// rateSigma is the standard deviation of a rate with the derivatives r by an instant's values
// and speeds: that of the errors as they are (errordraws.go). All but the pelvis hang on how a
// golfer's joints give, shoulders under their shirt most, for which no error is drawn: a captured
// golfer's speeds lie outside the drawn intervals in 9 to 20 per cent, so that a part of what the
// weights say is added.
func (f *problem) rateSigma(k, i int, r *[blockSize]float64, own []float64) float64 {
	sigma := f.draws.rateSigma(i, r)
	if k == curvePelvis {
		return sigma
	}
	var variance float64
	for a := range blockSize {
		if r[a] == 0 {
			continue
		}
		for b := range blockSize {
			variance += r[a] * r[b] * own[a*blockSize+b]
		}
	}
	return math.Sqrt(sq(sigma) + sq(jointsGive)*math.Max(variance, 0))
}

// jointsGive is the part of the standard deviation by the weights that stands for joints that
// give (ours; from the captured golfer of curve_test.go).
const jointsGive = 0.25

// misplaced is the variance of a measure from landmarks that are taken to be a
// little off: the same on the body all the time, so that of a change since
// address only as much is left as the body has tipped over.
//
// A landmark that is taken to be off by δ, fixed in the segment's frame, turns a heading by
// h·δ, h the derivative in headingBy. Of a change since address (h_now − h_then)·δ is left;
// with δ ~ N(0, off) along each axis, and two ends of the line, the variance is
// 2·off·|h_now − h_then|². A turn about the vertical alone carries the axes along with the
// line, and nothing is left.
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
//
// Of a line d in the ground plane the heading ψ = atan2(d.z, d.x) moves by (d.x δ.z − d.z δ.x)/ρ²,
// ρ² = d.x² + d.z², if one end moves by δ.
func headingBy(x []float64, half float64) (out [3]float64) {
	p := poseOf(x)
	d := r3.Scale(2*half, p.axes[0])
	rho2 := math.Max(d.X*d.X+d.Z*d.Z, 1e-6)
	for i, axis := range p.axes {
		out[i] = (d.X*axis.Z - d.Z*axis.X) / rho2
	}
	return out
}
