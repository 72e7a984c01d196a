package geometry

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// The closed forms below give single numbers from few marks. The joint fit
// uses more of what is known; they start it, check it, and show what the
// usual shortcuts are worth.

// ErrDegenerate says that a closed form has no answer for its input: points
// in a line, rays that are parallel, vanishing points on one side.
var ErrDegenerate = errors.New("geometry: the points do not determine it")

// WidthRatioTurn is the turn, radians in [0, π/2], whose cosine is the width
// of a line now over its width unturned, with its standard deviation for a
// ratio known to sigma: u = sigma/√(1−ratio²), capped at a quarter turn. Its
// sign is not known, and near zero turn it is blind. Ratios above one give
// zero.
func WidthRatioTurn(ratio, sigma float64) (turn, u float64) {
	c := clampUnit(math.Abs(ratio))
	turn = math.Acos(c)
	if s := math.Sqrt(1 - c*c); s > 0 {
		u = sigma / s
	}
	if u == 0 || u > math.Pi/2 {
		u = math.Pi / 2
	}
	return turn, u
}

// TwoViewTurn is the turn, radians in (−π, π], of a level line of which the
// face-on view shows the width faceOn and the down-the-line view the width
// downTheLine, both in the same unit and signed as lead minus trail (toward the
// target; toward the ball), each with standard deviation sigma:
// atan2(downTheLine, faceOn) ± sigma/√(a²+b²). ErrDegenerate where both are
// zero.
func TwoViewTurn(faceOn, downTheLine, sigma float64) (turn, u float64, err error) {
	n := math.Hypot(faceOn, downTheLine)
	if n == 0 {
		return 0, 0, ErrDegenerate
	}
	return math.Atan2(downTheLine, faceOn), sigma / n, nil
}

// Foreshortening is the depth between the ends of a segment of known length
// whose picture is image long at a scale of scale pixels per unit of length,
// without its sign, and the segment's angle out of the picture's plane,
// radians (C. J. Taylor 2000, Comput Vis Image Underst 80:349; for depths much
// smaller than the camera's distance). ErrDegenerate where the picture is
// longer than the segment.
func Foreshortening(length, image, scale float64) (depth, angle float64, err error) {
	flat := image / scale
	if !(flat <= length) || !(length > 0) {
		return 0, 0, ErrDegenerate
	}
	depth = math.Sqrt(length*length - flat*flat)
	return depth, math.Atan2(depth, flat), nil
}

// Homography is the projective map of a plane to another: (x, y, 1) goes to
// H(x, y, 1) up to scale. H[2][2] is 1.
type Homography [3][3]float64

// HomographyFrom computes the map that takes each of at least four points from
// to the point to of the same index, by the normalised direct linear transform
// (Hartley & Zisserman, Multiple View Geometry, alg. 4.2): exact for four,
// algebraic least squares for more. ErrDegenerate where three of four lie in
// one line or a point is not finite.
func HomographyFrom(from, to []ImagePt) (Homography, error) {
	if len(from) != len(to) || len(from) < 4 {
		return Homography{}, ErrDegenerate
	}
	tf, nf, ok1 := normalise(from)
	tt, nt, ok2 := normalise(to)
	if !ok1 || !ok2 {
		return Homography{}, ErrDegenerate
	}
	rows := max(2*len(from), 9)
	a := mat.NewDense(rows, 9, nil)
	for i := range nf {
		x, y, u, v := nf[i].X, nf[i].Y, nt[i].X, nt[i].Y
		a.SetRow(2*i, []float64{-x, -y, -1, 0, 0, 0, u * x, u * y, u})
		a.SetRow(2*i+1, []float64{0, 0, 0, -x, -y, -1, v * x, v * y, v})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return Homography{}, ErrDegenerate
	}
	s := svd.Values(nil)
	if s[7] < 1e-9*s[0] {
		return Homography{}, ErrDegenerate
	}
	var v mat.Dense
	svd.VTo(&v)
	var h [3][3]float64
	for i := 0; i < 9; i++ {
		h[i/3][i%3] = v.At(i, 8)
	}
	// Undo the normalisation: H = Tt⁻¹ h Tf.
	inv := [3][3]float64{{1 / tt[0][0], 0, -tt[0][2] / tt[0][0]}, {0, 1 / tt[1][1], -tt[1][2] / tt[1][1]}, {0, 0, 1}}
	h = mul3(mul3(inv, h), tf)
	if math.Abs(h[2][2]) < 1e-12 || !Finite(h[2][2]) {
		return Homography{}, ErrDegenerate
	}
	out := Homography{}
	for i := range h {
		for j := range h {
			out[i][j] = h[i][j] / h[2][2]
		}
	}
	return out, nil
}

// normalise moves points to a centre of zero and a mean distance of √2.
func normalise(p []ImagePt) (t [3][3]float64, out []ImagePt, ok bool) {
	n := float64(len(p))
	var cx, cy, d float64
	for _, q := range p {
		cx, cy = cx+q.X/n, cy+q.Y/n
	}
	for _, q := range p {
		d += math.Hypot(q.X-cx, q.Y-cy) / n
	}
	if !Finite(d) || d == 0 {
		return t, nil, false
	}
	s := math.Sqrt2 / d
	for _, q := range p {
		out = append(out, ImagePt{s * (q.X - cx), s * (q.Y - cy)})
	}
	return [3][3]float64{{s, 0, -s * cx}, {0, s, -s * cy}, {0, 0, 1}}, out, true
}

// Map takes a point through the homography; ErrDegenerate on its horizon.
func (h *Homography) Map(p ImagePt) (ImagePt, error) {
	w := h[2][0]*p.X + h[2][1]*p.Y + h[2][2]
	if math.Abs(w) < 1e-12 {
		return ImagePt{}, ErrDegenerate
	}
	return ImagePt{(h[0][0]*p.X + h[0][1]*p.Y + h[0][2]) / w, (h[1][0]*p.X + h[1][1]*p.Y + h[1][2]) / w}, nil
}

// FocalFromVanishing is the focal length in pixels of a camera with square
// pixels and principal point c that sees the vanishing points a and b of two
// directions square to each other: f² = −(a−c)·(b−c) (Hartley & Zisserman,
// example 8.27). ErrDegenerate where that is not positive.
func FocalFromVanishing(c, a, b ImagePt) (float64, error) {
	f2 := -((a.X-c.X)*(b.X-c.X) + (a.Y-c.Y)*(b.Y-c.Y))
	if !(f2 > 0) {
		return 0, ErrDegenerate
	}
	return math.Sqrt(f2), nil
}

// Triangulate is the linear least-squares place of a point seen at each
// picture point by the camera of the same index (Hartley & Zisserman, section
// 12.2: the smallest singular vector of the rows x·p₃ᵀ−p₁ᵀ, y·p₃ᵀ−p₂ᵀ).
// Distortion is ignored. ErrDegenerate for fewer than two views, parallel rays
// or a point at infinity.
func Triangulate(cams []Camera, at []ImagePt) (WorldPt, error) {
	if len(cams) != len(at) || len(cams) < 2 {
		return WorldPt{}, ErrDegenerate
	}
	a := mat.NewDense(2*len(cams), 4, nil)
	for i := range cams {
		p := cams[i].Matrix()
		for j := 0; j < 4; j++ {
			a.Set(2*i, j, at[i].X*p[2][j]-p[0][j])
			a.Set(2*i+1, j, at[i].Y*p[2][j]-p[1][j])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return WorldPt{}, ErrDegenerate
	}
	s := svd.Values(nil)
	if s[2] < 1e-12*s[0] {
		return WorldPt{}, ErrDegenerate
	}
	var v mat.Dense
	svd.VTo(&v)
	w := v.At(3, 3)
	if math.Abs(w) < 1e-12 {
		return WorldPt{}, ErrDegenerate
	}
	return r3.Vec{X: v.At(0, 3) / w, Y: v.At(1, 3) / w, Z: v.At(2, 3) / w}, nil
}

// Matrix is the camera's 3×4 projection matrix K [R | −R·position], without
// distortion: a world point in metres, with a 1 appended, goes to upright
// pixels times its depth.
func (c *Camera) Matrix() (p [3][4]float64) {
	k := [3][3]float64{{c.FocalPx, 0, float64(c.Width) / 2}, {0, c.FocalPx, float64(c.Height) / 2}, {0, 0, 1}}
	m := mul3(k, c.Rotation)
	for i := range p {
		copy(p[i][:], m[i][:])
		p[i][3] = -(m[i][0]*c.Position.X + m[i][1]*c.Position.Y + m[i][2]*c.Position.Z)
	}
	return p
}
