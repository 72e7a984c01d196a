package golfer

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// reconcile adjusts key poses so that they agree with what the golfer holds
// and hits: the club lies behind the ball at address and meets it at impact,
// and the trail arm, which follows the lead arm on the grip, is as nearly
// straight as a golfer's is.
//
// The curves are drawn freely, and a golfer with other lengths would miss the ball by centimetres.
// There are as many conditions as knots that may move: a trail arm's bend for one, and the three
// coordinates of the clubhead for three; where lengths leave no solution, New panics.
func (m *Model) reconcile() {
	c := &m.curves
	ball := m.Params.Ball
	around := []*Curve{&c.armAround}
	m.solve(takeawayTime, around, m.trailBend(takeawayTime, 14))
	m.solve(extensionTime, around, m.trailBend(extensionTime, 12))
	m.solve(releaseTime, around, m.trailBend(releaseTime, 12))

	head := func(at r3.Vec) func(*Pose) []float64 {
		return func(p *Pose) []float64 {
			d := r3.Sub(p.Points[geometry.Clubhead], r3.Add(ball, at))
			return []float64{d.X, d.Y, d.Z}
		}
	}
	address, straight := head(r3.Vec{X: -0.046, Y: 0.001, Z: -0.004}), m.trailBend(0, 13)
	m.solve(0, []*Curve{&c.armAround, &c.armUp, &c.plane, &c.shaft}, func(p *Pose) []float64 {
		return append(address(p), straight(p)...)
	})
	m.solve(ImpactTime, []*Curve{&c.armAround, &c.armUp, &c.plane},
		head(r3.Vec{X: -BallRadius - 0.011, Y: -0.001, Z: -0.002}))
}

// trailBend returns how far the span of the trail arm is from that of an
// elbow bent by degrees, metres.
func (m *Model) trailBend(t, degrees float64) func(*Pose) []float64 {
	l := &m.Lengths
	want := span(l.UpperArm, l.Forearm, degrees)
	return func(p *Pose) []float64 {
		d := r3.Sub(p.Points[geometry.TrailWrist], p.Points[geometry.TrailShoulder])
		return []float64{r3.Norm(d) - want}
	}
}

// span returns the distance between the ends of a limb with bones a and b
// whose joint is bent by flex degrees (law of cosines).
func span(a, b, flex float64) float64 {
	return math.Sqrt(a*a + b*b + 2*a*b*math.Cos(flex*degree))
}

// solve moves the knots of the curves at time t until residual is zero, by
// Newton's method with difference quotients. There must be as many curves as
// residuals. It panics when there is no solution, which only parameters far
// from a golfer's cause.
//
// A knot moves the pose at its own time by as much as it moves itself, and hardly elsewhere,
// so that times are solved one after the other. Steps are cut to longest degrees: far from
// the solution a limb may be out of reach, where the residual has no derivative.
func (m *Model) solve(t float64, curves []*Curve, residual func(*Pose) []float64) {
	const (
		step    = 1e-4 // degrees
		longest = 4.0  // degrees; a full step from afar overshoots
		small   = 1e-12
		enough  = 1e-9 // metres
	)
	eval := func() *mat.VecDense {
		p := m.At(t)
		r := residual(&p)
		return mat.NewVecDense(len(r), r)
	}
	for range 60 {
		r := eval()
		if mat.Norm(r, 2) < small {
			return
		}
		j := mat.NewDense(r.Len(), len(curves), nil)
		for i, c := range curves {
			c.shift(t, step)
			d := eval()
			c.shift(t, -step)
			d.SubVec(d, r)
			d.ScaleVec(1/step, d)
			j.SetCol(i, d.RawVector().Data)
		}
		var x mat.VecDense
		if err := x.SolveVec(j, r); err != nil {
			break
		}
		scale := math.Min(1, longest/mat.Norm(&x, math.Inf(1)))
		for i, c := range curves {
			c.shift(t, -scale*x.AtVec(i))
		}
	}
	if mat.Norm(eval(), 2) > enough {
		panic(fmt.Sprintf("golfer: no pose at %g s lets the limbs and the club reach", t))
	}
}
