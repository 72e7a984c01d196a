package golfer

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is a right-handed orthonormal frame fixed to a body segment. At
// address, seen by a right-handed player, Lead points to the target, Up along
// the segment, Front to the ball side: Lead × Up = Front.
type Frame struct {
	O               r3.Vec // origin, metres in the world
	Lead, Up, Front r3.Vec // unit vectors
}

// At returns the world place of a point given in the frame, metres along
// lead, up and front.
func (f Frame) At(lead, up, front float64) r3.Vec {
	return r3.Add(f.O, f.Dir(lead, up, front))
}

// Dir returns the world direction of a vector given in the frame.
func (f Frame) Dir(lead, up, front float64) r3.Vec {
	return r3.Vec{
		X: lead*f.Lead.X + up*f.Up.X + front*f.Front.X,
		Y: lead*f.Lead.Y + up*f.Up.Y + front*f.Front.Y,
		Z: lead*f.Lead.Z + up*f.Up.Z + front*f.Front.Z,
	}
}

// In returns a world point in the frame's own coordinates.
func (f Frame) In(p r3.Vec) (lead, up, front float64) {
	d := r3.Sub(p, f.O)
	return r3.Dot(d, f.Lead), r3.Dot(d, f.Up), r3.Dot(d, f.Front)
}

const degree = math.Pi / 180

// lean returns the unit vector that leans from the vertical by forward
// degrees in the z-y plane (toward the ball) and by side degrees in the x-y
// plane (away from the target).
func lean(forward, side float64) r3.Vec {
	return r3.Unit(r3.Vec{X: -math.Tan(side * degree), Y: 1, Z: math.Tan(forward * degree)})
}

// turned returns the frame at o whose lead axis has exactly the heading turn
// in the ground plane (degrees, positive away from the target) and makes the
// angle 90° - tilt with the segment's long axis, so that tilt 0 is square to
// it and a positive tilt raises the lead side. Up is the long axis made square
// to Lead.
//
// With lead = h cos e + y sin e, h the horizontal heading, the condition
// lead·axis = sin(tilt) is A cos e + B sin e = sin(tilt), with A = h·axis and
// B = y·axis, solved for the elevation e.
func turned(o, axis r3.Vec, turn, tilt float64) Frame {
	s, c := math.Sincos(turn * degree)
	h := r3.Vec{X: c, Z: s}
	a, b := r3.Dot(h, axis), axis.Y
	e := math.Asin(math.Sin(tilt*degree)/math.Hypot(a, b)) - math.Atan2(a, b)
	lead := r3.Add(r3.Scale(math.Cos(e), h), r3.Vec{Y: math.Sin(e)})
	up := r3.Unit(r3.Sub(axis, r3.Scale(r3.Dot(axis, lead), lead)))
	return Frame{O: o, Lead: lead, Up: up, Front: r3.Cross(lead, up)}
}

// elbow returns the middle joint of a two-bone limb from root to end with
// bones a and b, bent toward pole. Where the end is out of reach the limb is
// straight and too long: reach then exceeds 1.
func elbow(root, end r3.Vec, a, b float64, pole r3.Vec) (joint r3.Vec, reach float64) {
	d := r3.Sub(end, root)
	l := r3.Norm(d)
	u := r3.Scale(1/l, d)
	reach = l / (a + b)
	along := (l*l + a*a - b*b) / (2 * l)
	h2 := a*a - along*along
	if h2 < 0 {
		h2 = 0
	}
	side := r3.Unit(r3.Sub(pole, r3.Scale(r3.Dot(pole, u), u)))
	return r3.Add(root, r3.Add(r3.Scale(along, u), r3.Scale(math.Sqrt(h2), side))), reach
}

// bend returns the flexion at joint b of a limb a-b-c: 0 when straight,
// degrees.
func bend(a, b, c r3.Vec) float64 {
	u, v := r3.Sub(b, a), r3.Sub(c, b)
	return math.Atan2(r3.Norm(r3.Cross(u, v)), r3.Dot(u, v)) / degree
}
