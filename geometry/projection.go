package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The unknowns of a camera, as offsets into a vector of CameraUnknowns of them:
// how a fit counts small changes of a camera, and the order of derivatives and
// covariances.
const (
	CameraPosition = 0 // 3: of the lens, metres in the world
	CameraRotation = 3 // 3: a small rotation in the camera's own frame, radians
	CameraLogFocal = 6
	CameraK1       = 7
	CameraUnknowns = 8
)

// NearestM is the shortest distance in front of a lens, metres, that Linearise
// considers.
const NearestM = 0.3

// Projection is the picture of a world point with its derivatives. Index 0 is of
// X, 1 of Y.
type Projection struct {
	X, Y       float64    // upright pixels
	ByPoint    [2]r3.Vec  // px/m; by the camera's position it is the negative
	ByRotation [2]r3.Vec  // px/rad
	ByLogFocal [2]float64 // px
	ByK1       [2]float64 // px
}

// ByCamera returns the derivatives of coordinate i by the unknowns of the camera.
func (p *Projection) ByCamera(i int) [CameraUnknowns]float64 {
	d, w := p.ByPoint[i], p.ByRotation[i]
	return [CameraUnknowns]float64{-d.X, -d.Y, -d.Z, w.X, w.Y, w.Z, p.ByLogFocal[i], p.ByK1[i]}
}

// Linearise returns the picture of a world point, with derivatives where wanted.
// ok is false for a point less than NearestM in front of the lens.
//
// With q the point in the camera's frame, (u, v) = (q.x, q.y)/q.z and r² = u² + v²,
//
//	X = w/2 + f (1 + k₁ r²) u,   Y = h/2 + f (1 + k₁ r²) v.
//
// By the chain rule ∂(X, Y)/∂(u, v) = f (1 + k₁ r²) I + 2 f k₁ (u, v)ᵀ(u, v), then
// ∂(u, v)/∂q = (1/q.z) [I | −(u, v)ᵀ], and ∂q/∂p is the rotation. A small rotation ω of
// the camera, from the left, moves q by ω×q, so that a derivative g by q is q×g by ω.
func (c *Camera) Linearise(p WorldPt, derivatives bool) (pr Projection, ok bool) {
	q := c.ToCamera(p)
	if !(q.Z > NearestM) {
		return pr, false
	}
	iz := 1 / q.Z
	u, v := q.X*iz, q.Y*iz
	r2 := u*u + v*v
	k := c.FocalPx * (1 + c.K1*r2)
	pr.X = float64(c.Width)/2 + k*u
	pr.Y = float64(c.Height)/2 + k*v
	if !derivatives {
		return pr, true
	}
	kk := 2 * c.FocalPx * c.K1
	uv := [2][2]float64{{k + kk*u*u, kk * u * v}, {kk * u * v, k + kk*v*v}}
	for i := 0; i < 2; i++ {
		a, b := uv[i][0], uv[i][1]
		dq := r3.Vec{X: a * iz, Y: b * iz, Z: -(a*u + b*v) * iz}
		m := &c.Rotation
		pr.ByPoint[i] = r3.Vec{
			X: dq.X*m[0][0] + dq.Y*m[1][0] + dq.Z*m[2][0],
			Y: dq.X*m[0][1] + dq.Y*m[1][1] + dq.Z*m[2][1],
			Z: dq.X*m[0][2] + dq.Y*m[1][2] + dq.Z*m[2][2],
		}
		pr.ByRotation[i] = r3.Cross(q, dq) // d(w×q)·dq = w·(q×dq)
	}
	pr.ByLogFocal = [2]float64{k * u, k * v}
	pr.ByK1 = [2]float64{c.FocalPx * r2 * u, c.FocalPx * r2 * v}
	return pr, true
}

// Move changes a camera by a step d of its CameraUnknowns: position and K1 by
// addition, the focal length by the exponential of its step, the rotation by
// exp([w]×) from the left.
func (c *Camera) Move(d []float64) {
	c.Position = r3.Add(c.Position, r3.Vec{X: d[0], Y: d[1], Z: d[2]})
	c.Rotation = Rotate(c.Rotation, r3.Vec{X: d[3], Y: d[4], Z: d[5]})
	c.FocalPx *= math.Exp(d[CameraLogFocal])
	c.K1 += d[CameraK1]
}

// Rotate applies a rotation vector w, given in the camera's frame, after the
// rotation m: exp([w]×) m.
func Rotate(m [3][3]float64, w r3.Vec) [3][3]float64 {
	angle := r3.Norm(w)
	if angle == 0 {
		return m
	}
	rot := r3.NewRotation(angle, w)
	var out [3][3]float64
	for j := 0; j < 3; j++ {
		v := rot.Rotate(r3.Vec{X: m[0][j], Y: m[1][j], Z: m[2][j]})
		out[0][j], out[1][j], out[2][j] = v.X, v.Y, v.Z
	}
	return out
}

// Ray returns a camera's centre and the unit direction, in the world, of what it
// pictures at upright pixels x, y. Distortion is ignored.
func (c *Camera) Ray(x, y float64) (origin, direction r3.Vec) {
	u := (x - float64(c.Width)/2) / c.FocalPx
	v := (y - float64(c.Height)/2) / c.FocalPx
	m := &c.Rotation
	return c.Position, r3.Unit(r3.Vec{
		X: u*m[0][0] + v*m[1][0] + m[2][0],
		Y: u*m[0][1] + v*m[1][1] + m[2][1],
		Z: u*m[0][2] + v*m[1][2] + m[2][2],
	})
}

// MeetRays returns the point nearest to two or more rays, each a place and a unit
// direction in the world, by least squares of the distances. ok is false where they
// are nearly parallel or meet less than half a metre in front of one of them.
//
// The squared distance of x from a ray (o, d) is (x−o)ᵀ(I − ddᵀ)(x−o); the sum's minimum
// solves Σ(I − ddᵀ) x = Σ(I − ddᵀ) o. For two rays at an angle φ the determinant of that
// matrix is 2 sin²φ: below 0.02 they are within 6 degrees of parallel.
func MeetRays(rays [][2]r3.Vec) (at WorldPt, ok bool) {
	if len(rays) < 2 {
		return r3.Vec{}, false
	}
	var m [3][3]float64
	var b [3]float64
	for _, ray := range rays {
		d := [3]float64{ray[1].X, ray[1].Y, ray[1].Z}
		o := [3]float64{ray[0].X, ray[0].Y, ray[0].Z}
		for i := 0; i < 3; i++ {
			for j := 0; j < 3; j++ {
				v := -d[i] * d[j]
				if i == j {
					v++
				}
				m[i][j] += v
				b[i] += v * o[j]
			}
		}
	}
	x, det := solve3(m, b)
	if math.Abs(det) < 0.02 {
		return r3.Vec{}, false
	}
	for _, ray := range rays {
		if r3.Dot(r3.Sub(x, ray[0]), ray[1]) < 0.5 {
			return r3.Vec{}, false
		}
	}
	return x, true
}

// solve3 solves a 3×3 system by Cramer's rule and returns the determinant.
func solve3(m [3][3]float64, b [3]float64) (r3.Vec, float64) {
	c0 := r3.Vec{X: m[0][0], Y: m[1][0], Z: m[2][0]}
	c1 := r3.Vec{X: m[0][1], Y: m[1][1], Z: m[2][1]}
	c2 := r3.Vec{X: m[0][2], Y: m[1][2], Z: m[2][2]}
	v := r3.Vec{X: b[0], Y: b[1], Z: b[2]}
	det := r3.Dot(c0, r3.Cross(c1, c2))
	if det == 0 {
		return r3.Vec{}, 0
	}
	return r3.Vec{
		X: r3.Dot(v, r3.Cross(c1, c2)) / det,
		Y: r3.Dot(c0, r3.Cross(v, c2)) / det,
		Z: r3.Dot(c0, r3.Cross(c1, v)) / det,
	}, det
}
