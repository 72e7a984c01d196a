package patch

import (
	"image"
	"math"
)

// Size is the side of a patch, pixels, at a clip 1080 pixels high: a belt is about ten
// high there, a patch of the study it comes from fifteen.
const Size = 15

// Template is a patch as it was seen in the frame it was taken from, ready to be aligned
// with others. It is constant after New: several goroutines may align with one.
//
// In the inverse compositional method the roles of picture and template are exchanged, so
// that gradient and normal matrix are those of the template and are worked out once. The
// model of what is seen in the other picture I under the warp W, with weights w, is
//
//	I(W(x + d)) ≈ g·T(x) + g·∇T(x)·d + a + b·u + c·v,
//
// d the displacement wanted, g the gain, a, b and c the ramp. Let P project, in the inner
// product of the weights, off the ramp and T: with the rows J = P ∇T
//
//	d = (Σ w J Jᵀ)⁻¹ Σ w J I / g,
//
// the ramp and T having no part in J, so that an iteration is three inner products with I.
type Template struct {
	n, half int
	// X, Y is the middle, the centre of a pixel.
	X, Y float64

	weights []float32
	seen    []float32  // P T but for T itself: the template without its ramp, grey levels
	jx, jy  []float32  // the weighted rows J
	ramp    [3]float64 // Σ w of 1, u² and v²
	square  float64    // Σ w seen²
	// xx, xy, yy is the normal matrix Σ w J Jᵀ, the structure tensor of what is left of
	// the patch without ramp and gain.
	xx, xy, yy float64
}

// New takes the patch of n by n pixels, n odd, about the pixel that (x, y) lies in. ok is
// false where it leaves the picture or there is too little texture in it to be aligned with
// anything (leastSpread, leastTexture).
func New(from *image.Gray, x, y float64, n int) (t *Template, ok bool) {
	ix, iy := int(math.Floor(x)), int(math.Floor(y))
	half := n / 2
	if !image.Rect(ix-half-1, iy-half-1, ix+half+2, iy+half+2).In(from.Rect) {
		return nil, false
	}
	t = &Template{n: n, half: half, X: float64(ix) + 0.5, Y: float64(iy) + 0.5, weights: bell(n)}
	t.seen, t.jx, t.jy = make([]float32, n*n), make([]float32, n*n), make([]float32, n*n)
	at := func(i, j int) float32 { return float32(from.Pix[from.PixOffset(ix-half+i, iy-half+j)]) }
	for j := range n {
		for i := range n {
			k := j*n + i
			t.seen[k] = at(i, j)
			// Scharr's gradient, grey levels a pixel.
			t.jx[k] = (3*(at(i+1, j-1)-at(i-1, j-1)+at(i+1, j+1)-at(i-1, j+1)) + 10*(at(i+1, j)-at(i-1, j))) / 32
			t.jy[k] = (3*(at(i-1, j+1)-at(i-1, j-1)+at(i+1, j+1)-at(i+1, j-1)) + 10*(at(i, j+1)-at(i, j-1))) / 32
			u, v, w := float64(i-half), float64(j-half), float64(t.weights[k])
			t.ramp[0] += w
			t.ramp[1] += w * u * u
			t.ramp[2] += w * v * v
		}
	}
	t.flatten(t.seen)
	t.square = t.inner(t.seen, t.seen)
	if t.square < leastSpread*leastSpread*t.ramp[0] {
		return nil, false
	}
	for _, g := range [2][]float32{t.jx, t.jy} {
		t.flatten(g)
		part := float32(t.inner(g, t.seen) / t.square)
		for k := range g {
			g[k] -= part * t.seen[k]
		}
	}
	t.xx, t.xy, t.yy = t.inner(t.jx, t.jx), t.inner(t.jx, t.jy), t.inner(t.jy, t.jy)
	if d := math.Hypot(t.xx-t.yy, 2*t.xy); (t.xx+t.yy-d)/2 < leastTexture*t.ramp[0] {
		return nil, false
	}
	for k, w := range t.weights {
		t.jx[k] *= w
		t.jy[k] *= w
	}
	return t, true
}

const (
	// leastSpread is the least standard deviation of a patch without its ramp, grey
	// levels: a camera's noise is about two.
	leastSpread = 1.5
	// leastTexture is the least smaller eigenvalue of the tensor for one pixel, squared grey
	// levels a squared pixel (Shi & Tomasi 1994). A belt's edge says where it is across, and along
	// it what little there is to see is shading, which stands still while the belt turns: of a rendered
	// swing in plain clothes edges alone turned the pelvis 10 degrees too little by impact, and
	// of one with weave and stitches 3; with this bound 4 and 1 are left.
	leastTexture = 6
)

// bell is a Gaussian window about the middle of n by n pixels.
func bell(n int) []float32 {
	w := make([]float32, n*n)
	s := bellPart * float64(n)
	for k := range w {
		x, y := float64(k%n-n/2), float64(k/n-n/2)
		w[k] = float32(math.Exp(-(x*x + y*y) / (2 * s * s)))
	}
	return w
}

// bellPart is the bell's standard deviation as a part of the patch's side.
const bellPart = 0.3

// inner is the inner product in which all is projected.
func (t *Template) inner(a, b []float32) float64 {
	var s float64
	for k, w := range t.weights {
		s += float64(w) * float64(a[k]) * float64(b[k])
	}
	return s
}

// flatten takes its ramp off a patch. On a window with its middle in the middle 1, u and v
// are orthogonal, so that each coefficient is an inner product by itself.
func (t *Template) flatten(a []float32) {
	var c [3]float64
	for j := range t.n {
		for i := range t.n {
			k := j*t.n + i
			x := float64(t.weights[k]) * float64(a[k])
			c[0] += x
			c[1] += x * float64(i-t.half)
			c[2] += x * float64(j-t.half)
		}
	}
	for i := range c {
		c[i] /= t.ramp[i]
	}
	for j := range t.n {
		for i := range t.n {
			a[j*t.n+i] -= float32(c[0] + c[1]*float64(i-t.half) + c[2]*float64(j-t.half))
		}
	}
}
