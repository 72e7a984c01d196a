package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The shell is what the clothes about the pelvis lie on, in its own frame (to the lead
// side, up, to the front, origin mid-hip): rings about an axis through the middle between
// buckle and tailbone, from the hip line to the top of the belt. Ring by ring it is the
// superellipse
//
//	|x/a|^e + |(z − z₀)/b|^e = 1,
//
// with the depth b and the middle z₀ from the fitted buckle and tailbone and the width a
// from stature: a waist measures 0.092 of stature to either side and the hips 0.100 (breadths
// of about 0.32 and 0.345 m at 1.73 m; ANSUR II, Gordon et al. 2014, from memory). How far
// the clothes are off that, along the radius, is an unknown at each of shellNodes places:
// the rough shape has to serve only to begin with.
type shell struct {
	a0, a1, b, z0 float64 // half widths at hip line and belt, half depth, middle; metres
	belt          float64 // height of the belt's middle over the hip line
}

const (
	shellExponent = 2.2
	// waistHalf and hipHalf are half breadths as parts of stature.
	waistHalf, hipHalf = 0.092, 0.100
	// shellAround and shellUp are how many nodes there are around and in height.
	shellAround, shellUp = 10, 2
	shellNodes           = shellAround * shellUp
	// shellSigmaM is how far, along the radius, the clothes may be off the rough shell.
	shellSigmaM = 0.015
	// overBelt is by how much the top of what is looked at lies over the belt's middle,
	// and underHip its bottom over the hip line: thighs turn by themselves, and bias.
	overBelt, overHip = 0.018, 0.005
)

// newShell reads the shell from the pelvis' shape unknowns.
func newShell(shape []float64, stature float64) shell {
	front, rear := shape[shapeBuckle+2], shape[shapeTailbone+2]
	return shell{hipHalf * stature, waistHalf * stature, math.Max((front-rear)/2, 0.03*stature), (front + rear) / 2,
		math.Max((shape[shapeBuckle+1]+shape[shapeTailbone+1])/2, 0.02*stature)}
}

// width is half the width at a height.
func (s *shell) width(up float64) float64 {
	part := math.Min(math.Max(up/s.belt, 0), 1)
	return s.a0 + (s.a1-s.a0)*part
}

// radius is the distance of the rough shell from its axis in the direction theta, 0 to
// the lead side and π/2 to the front, at a height.
func (s *shell) radius(theta, up float64) float64 {
	sin, cos := math.Sincos(theta)
	return math.Pow(math.Pow(math.Abs(cos)/s.width(up), shellExponent)+math.Pow(math.Abs(sin)/s.b, shellExponent), -1/shellExponent)
}

// nodes returns the nodes about a place of the shell with their weights: bilinear over
// angle and height.
func (s *shell) nodes(theta, up float64) (at [4]int, weight [4]float64) {
	t := math.Mod(theta/(2*math.Pi)+2, 1) * shellAround
	i := int(t) % shellAround
	u := math.Min(math.Max(up/s.belt, 0), 1) * (shellUp - 1)
	j := min(int(u), shellUp-2)
	ft, fu := t-math.Floor(t), u-float64(j)
	for k := range at {
		ti, uj := (i+k%2)%shellAround, j+k/2
		at[k] = ti*shellUp + uj
		weight[k] = [2]float64{1 - ft, ft}[k%2] * [2]float64{1 - fu, fu}[k/2]
	}
	return at, weight
}

// facet is the plane that the shell is taken for about one place: normal·q = at + radial·ρ,
// ρ the nodes' mean by their weights.
type facet struct {
	normal r3.Vec // out of the body, in its frame; level
	at     float64
	radial float64 // the normal's part along the radius
	nodes  [4]int
	weight [4]float64
}

// meet returns the facet where a ray from outside, in the body's frame, first meets the
// shell with its nodes off by rho. ok is false where it passes by. Above and below what
// is looked at the shell goes on.
//
// The sign of |q − axis| − r(θ, up) is sought along the way of the ray through the space
// within reach of the axis, and its root halved down to a tenth of a millimetre.
func (s *shell) meet(o, d r3.Vec, rho []float64) (f facet, q r3.Vec, ok bool) {
	const reach = 0.45
	middle := r3.Dot(r3.Sub(r3.Vec{Z: s.z0}, o), d)
	outside := func(along float64) (float64, float64, r3.Vec) {
		q := r3.Add(o, r3.Scale(along, d))
		theta := math.Atan2(q.Z-s.z0, q.X)
		r := s.radius(theta, q.Y)
		at, w := s.nodes(theta, q.Y)
		for k, i := range at {
			r += w[k] * rho[i]
		}
		return math.Hypot(q.X, q.Z-s.z0) - r, theta, q
	}
	lo := middle - reach
	step := reach / 24
	hi := lo
	for {
		if hi += step; hi > middle+reach/4 {
			return f, q, false
		}
		if v, _, _ := outside(hi); v < 0 {
			break
		}
		lo = hi
	}
	for hi-lo > 1e-4 {
		mid := (lo + hi) / 2
		if v, _, _ := outside(mid); v < 0 {
			hi = mid
		} else {
			lo = mid
		}
	}
	_, theta, q := outside((lo + hi) / 2)
	// The normal of the superellipse, level.
	grow := func(x, a float64) float64 {
		return math.Copysign(math.Pow(math.Abs(x)/a, shellExponent-1)/a, x)
	}
	f.normal = r3.Unit(r3.Vec{X: grow(q.X, s.width(q.Y)), Z: grow(q.Z-s.z0, s.b)})
	sin, cos := math.Sincos(theta)
	f.radial = f.normal.X*cos + f.normal.Z*sin
	f.nodes, f.weight = s.nodes(theta, q.Y)
	f.at = r3.Dot(f.normal, q) - f.radial*f.offset(rho)
	return f, q, true
}

// offset is how far the nodes say that the clothes are off here.
func (f *facet) offset(rho []float64) float64 {
	var s float64
	for k, i := range f.nodes {
		s += f.weight[k] * rho[i]
	}
	return s
}
