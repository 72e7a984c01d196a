package motion

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// At returns a curve's value at a time on the common clock; it is not known
// outside the instants, nor next to one where there is none.
//
// The value between is that of the cubic through values and rates, the conditional mean
// under the motion prior. Its standard deviation is interpolated evenly: the exact one is a
// little larger half way, by q dt³/192 in variance: of a turn in the downswing the square
// of 0.03 degrees.
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
//
// Their intervals are of the tracks and marks that the fit through time has used; which number
// counts, of these and of the marks' alone, is for the caller to say.
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
//
// In the order of Points. Between two instants the degrees of freedom are interpolated and not
// the points, so that segments stay rigid on the way.
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
