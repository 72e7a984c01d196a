package geometry

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// WorldPt is a place in the world frame, in metres: x along the target line
// toward the target, y up, z from the golfer toward the ball. The origin is on
// the ground midway between the ankles at address.
type WorldPt = r3.Vec

// ImagePt is a place in the upright picture, in pixels from its top-left
// corner; the centre of the first pixel is (0.5, 0.5).
type ImagePt struct{ X, Y float64 }

// ErrBehindCamera says that a world point lies behind the camera, or in its
// lens plane, and so has no picture.
var ErrBehindCamera = errors.New("geometry: the point is behind the camera")

// Camera is a pinhole camera whose principal point is the centre of the
// picture, with one optional term of radial distortion.
type Camera struct {
	// Position is the centre of the lens in the world, metres.
	Position WorldPt
	// Rotation turns world directions into camera directions. Its rows are
	// the camera's right, down and forward directions in the world.
	Rotation [3][3]float64
	// FocalPx is the focal length in pixels of the upright picture.
	FocalPx float64
	// K1 is the first radial distortion coefficient (Brown 1966): a point at
	// normalised radius r is moved to r(1 + K1 r²).
	K1 float64
	// Width and Height are the size of the upright picture in pixels.
	Width, Height int
}

// LookAt returns the rotation of a camera at position whose optical axis
// passes through target, rolled clockwise (as seen from behind the camera) by
// roll radians. It panics if the axis is vertical.
//
// The rows are right = f × up, down = f × right and f itself, the first two turned about f by
// roll: a right-handed frame, as x right, y down, z forward is.
func LookAt(position, target WorldPt, roll float64) [3][3]float64 {
	f := r3.Unit(r3.Sub(target, position))
	r := r3.Cross(f, r3.Vec{Y: 1})
	if r3.Norm(r) < 1e-9 {
		panic("geometry: LookAt along the vertical")
	}
	r = r3.Unit(r)
	d := r3.Cross(f, r)
	s, c := math.Sincos(roll)
	right := r3.Add(r3.Scale(c, r), r3.Scale(s, d))
	down := r3.Add(r3.Scale(-s, r), r3.Scale(c, d))
	return [3][3]float64{
		{right.X, right.Y, right.Z},
		{down.X, down.Y, down.Z},
		{f.X, f.Y, f.Z},
	}
}

// ToCamera returns a world point in the camera's own frame (right, down,
// forward), metres.
func (c *Camera) ToCamera(p WorldPt) r3.Vec {
	d := r3.Sub(p, c.Position)
	m := &c.Rotation
	return r3.Vec{
		X: m[0][0]*d.X + m[0][1]*d.Y + m[0][2]*d.Z,
		Y: m[1][0]*d.X + m[1][1]*d.Y + m[1][2]*d.Z,
		Z: m[2][0]*d.X + m[2][1]*d.Y + m[2][2]*d.Z,
	}
}

// Project returns the picture of a world point in upright pixels, or
// ErrBehindCamera.
func (c *Camera) Project(p WorldPt) (ImagePt, error) {
	q := c.ToCamera(p)
	if q.Z <= 1e-9 {
		return ImagePt{}, ErrBehindCamera
	}
	u, v := q.X/q.Z, q.Y/q.Z
	k := c.FocalPx * (1 + c.K1*(u*u+v*v))
	return ImagePt{
		X: float64(c.Width)/2 + k*u,
		Y: float64(c.Height)/2 + k*v,
	}, nil
}
