package golfer

import "gonum.org/v1/gonum/interp"

// Knot is a value that a curve passes through at a time in seconds.
type Knot struct{ T, V float64 }

// Curve is a value over time: a cubic spline with continuous acceleration
// through its knots, at rest at both ends and constant beyond them.
type Curve struct {
	knots []Knot
	s     interp.ClampedCubic
}

// NewCurve returns the curve through knots, whose times must increase. It
// panics otherwise, or with fewer than two knots.
//
// Clamped: both ends have the rate 0, so that At continues smoothly into the constants
// beyond. A spline of knots a tenth of a second apart has the smooth accelerations that the
// motion prior of package motion expects, and none of its numbers.
func NewCurve(knots ...Knot) Curve {
	x, y := make([]float64, len(knots)), make([]float64, len(knots))
	for i, k := range knots {
		x[i], y[i] = k.T, k.V
	}
	c := Curve{knots: knots}
	if err := c.s.Fit(x, y); err != nil {
		panic("golfer: " + err.Error())
	}
	return c
}

// shift moves the knot at time t by v.
func (c *Curve) shift(t, v float64) {
	knots := append([]Knot(nil), c.knots...)
	for i := range knots {
		if knots[i].T == t {
			knots[i].V += v
		}
	}
	*c = NewCurve(knots...)
}

// At returns the value at time t.
func (c *Curve) At(t float64) float64 {
	if first := c.knots[0]; t <= first.T {
		return first.V
	}
	if last := c.knots[len(c.knots)-1]; t >= last.T {
		return last.V
	}
	return c.s.Predict(t)
}

// Rate returns the change per second at time t.
func (c *Curve) Rate(t float64) float64 {
	if t <= c.knots[0].T || t >= c.knots[len(c.knots)-1].T {
		return 0
	}
	return c.s.PredictDerivative(t)
}
