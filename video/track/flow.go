package track

import "math"

// matcher finds a window of one picture in another by the Lucas-Kanade method: it
// solves (G + hold I) d = b for the shift d, with G = sum w grad grad', the structure
// tensor of the window in the first picture, and b = sum w grad (first - second), over
// and over until d is small. Places here count the centre of the first pixel as
// (0, 0), in pixels of the level. Not for concurrent use.
type matcher struct {
	n, half int // side of the window, and half of it rounded down

	weights []float32 // of the window's pixels, all 1 for the plain method
	patch   []float32 // pixels about the window
	fine    []float32 // the same between pixels, one more on each side than the window
	seen    []float32 // the window's pixels in the first picture
	gx, gy  []float32 // their weighted gradients
	other   []float32 // pixels of the second picture

	gxx, gxy, gyy float64    // G, squared grey levels a squared pixel
	ox, oy        float64    // sum w grad first
	hold          float64    // information of the prior of the place, in the units of G
	cx, cy        [4]float64 // sum w grad second, for the four whole shifts about the window
}

// gray turns a pixel into a number about 0, which keeps the sums small.
var gray = func() (t [256]float32) {
	for i := range t {
		t[i] = float32(i) - 128
	}
	return t
}()

// newMatcher returns a matcher with a window of n pixels a side, n odd. With
// bell, pixels count less toward the window's edge.
func newMatcher(n int, bell bool) *matcher {
	m := &matcher{n: n, half: n / 2}
	m.weights = make([]float32, n*n)
	for i := range m.weights {
		m.weights[i] = 1
		if bell {
			x, y := float64(i%n-n/2), float64(i/n-n/2)
			s := bellPart * float64(n)
			m.weights[i] = float32(math.Exp(-(x*x + y*y) / (2 * s * s)))
		}
	}
	m.patch = make([]float32, (n+3)*(n+3))
	m.fine = make([]float32, (n+2)*(n+2))
	m.seen, m.gx, m.gy = make([]float32, n*n), make([]float32, n*n), make([]float32, n*n)
	m.other = make([]float32, (n+1)*(n+1))
	return m
}

// bellPart is the bell's standard deviation as a part of the window's side.
const bellPart = 0.25

// fetch copies the n by n pixels from (x0, y0) on; outside the picture its
// mirror image is taken.
func fetch(dst []float32, p *plane, x0, y0, n int) {
	if x0 >= 0 && y0 >= 0 && x0+n <= p.w && y0+n <= p.h {
		for y := range n {
			row := p.pix[(y0+y)*p.w+x0:][:n]
			out := dst[y*n:][:n]
			for x, v := range row {
				out[x] = gray[v]
			}
		}
		return
	}
	for y := range n {
		row := p.pix[mirror(y0+y, p.h)*p.w:][:p.w]
		for x := range n {
			dst[y*n+x] = gray[row[mirror(x0+x, p.w)]]
		}
	}
}

// bilinear writes the n by n values that lie (fx, fy) of a pixel beyond each
// of the (n+1) by (n+1) values of src.
func bilinear(dst, src []float32, n int, fx, fy float32) {
	w00, w01, w10, w11 := (1-fx)*(1-fy), fx*(1-fy), (1-fx)*fy, fx*fy
	for y := range n {
		out := dst[y*n:][:n]
		a, b := src[y*(n+1):][:n+1], src[(y+1)*(n+1):][:n+1]
		a0, b0 := a[0], b[0]
		a, b = a[1:][:len(out)], b[1:][:len(out)]
		for x := range out {
			a1, b1 := a[x], b[x]
			out[x] = w00*a0 + w01*a1 + w10*b0 + w11*b1
			a0, b0 = a1, b1
		}
	}
}

// set takes the window about (x, y) of a picture as what is to be found.
func (m *matcher) set(p *plane, x, y float64) {
	n := m.n
	x0, y0, fx, fy := m.corner(x, y)
	fetch(m.patch, p, x0-1, y0-1, n+3)
	bilinear(m.fine, m.patch, n+2, fx, fy)
	var gxx, gxy, gyy, ox, oy float32
	for j := range n {
		a, b, c := m.fine[j*(n+2):][:n+2], m.fine[(j+1)*(n+2):][:n+2], m.fine[(j+2)*(n+2):][:n+2]
		k := j * n
		seen, gxr, gyr, weights := m.seen[k:][:n], m.gx[k:][:n], m.gy[k:][:n], m.weights[k:][:n]
		for i := range seen {
			// Scharr's gradient, grey levels a pixel.
			a0, a2, c0, c2 := a[i], a[i+2], c[i], c[i+2]
			gx := (3*(a2-a0+c2-c0) + 10*(b[i+2]-b[i])) * (1. / 32)
			gy := (3*(c0-a0+c2-a2) + 10*(c[i+1]-a[i+1])) * (1. / 32)
			v, w := b[i+1], weights[i]
			wx, wy := w*gx, w*gy
			seen[i], gxr[i], gyr[i] = v, wx, wy
			gxx += wx * gx
			gxy += wx * gy
			gyy += wy * gy
			ox += wx * v
			oy += wy * v
		}
	}
	m.gxx, m.gxy, m.gyy, m.ox, m.oy = float64(gxx), float64(gxy), float64(gyy), float64(ox), float64(oy)
}

// corner returns the first pixel of the window about (x, y) and how far
// beyond it the window begins.
func (m *matcher) corner(x, y float64) (x0, y0 int, fx, fy float32) {
	px, py := math.Floor(x), math.Floor(y)
	return int(px) - m.half, int(py) - m.half, float32(x - px), float32(y - py)
}

// texture is the smaller eigenvalue of G for one pixel, squared grey levels a
// squared pixel (Shi and Tomasi 1994): the information in the worst direction.
func (m *matcher) texture() float64 {
	d := math.Sqrt((m.gxx-m.gyy)*(m.gxx-m.gyy) + 4*m.gxy*m.gxy)
	return (m.gxx + m.gyy - d) / 2 / float64(m.n*m.n)
}

// sigma is the standard deviation of the place, pixels, in the direction in which
// the window says least: the Cramér-Rao bound of the linearized problem with the
// prior.
func (m *matcher) sigma() float64 {
	return fitNoise / math.Sqrt(m.texture()*float64(m.n*m.n)+m.hold)
}

const (
	mostSteps = 30
	smallStep = 0.01 // pixels; shorter steps end the search
	// leastTexture is the least texture with which a step can be made.
	leastTexture = 0.1
)

// find moves (x, y), the mean of the prior, to where the window lies in picture p.
// It fails where the window leaves the picture or has no texture.
func (m *matcher) find(p *plane, x, y float64) (fx, fy float64, ok bool) {
	gxx, gyy := m.gxx+m.hold, m.gyy+m.hold
	det := gxx*gyy - m.gxy*m.gxy
	startX, startY := x, y
	if m.texture() < leastTexture || det < 1e-9 {
		return x, y, false
	}
	cellX, cellY := math.MinInt, math.MinInt
	var lastX, lastY float64
	for step := range mostSteps {
		if !(x > -float64(m.half) && y > -float64(m.half) && x < float64(p.w+m.half) && y < float64(p.h+m.half)) {
			return x, y, false
		}
		x0, y0, fx, fy := m.corner(x, y)
		if x0 != cellX || y0 != cellY {
			// What the window's shift does to the sums is bilinear in it, so
			// they serve for every step within the pixel.
			cellX, cellY = x0, y0
			m.correlate(p, x0, y0)
		}
		u, v := float64(fx), float64(fy)
		w00, w01, w10, w11 := (1-u)*(1-v), u*(1-v), (1-u)*v, u*v
		bx := m.ox - (w00*m.cx[0] + w01*m.cx[1] + w10*m.cx[2] + w11*m.cx[3]) - m.hold*(x-startX)
		by := m.oy - (w00*m.cy[0] + w01*m.cy[1] + w10*m.cy[2] + w11*m.cy[3]) - m.hold*(y-startY)
		dx, dy := (gyy*bx-m.gxy*by)/det, (gxx*by-m.gxy*bx)/det
		x, y = x+dx, y+dy
		if dx*dx+dy*dy <= smallStep*smallStep {
			break
		}
		if step > 0 && math.Abs(dx+lastX) < smallStep && math.Abs(dy+lastY) < smallStep {
			x, y = x-dx/2, y-dy/2 // to and fro
			break
		}
		lastX, lastY = dx, dy
	}
	return x, y, true
}

// correlate sums gradient times pixel for the window at (x0, y0) of p and
// those one pixel to the right, below and both.
func (m *matcher) correlate(p *plane, x0, y0 int) {
	n := m.n
	fetch(m.other, p, x0, y0, n+1)
	var x00, x01, x10, x11, y00, y01, y10, y11 float32
	for j := range n {
		gx, gy := m.gx[j*n:][:n], m.gy[j*n:][:n]
		a, b := m.other[j*(n+1):][:n+1], m.other[(j+1)*(n+1):][:n+1]
		a0, b0 := a[0], b[0]
		a, b, gy = a[1:][:len(gx)], b[1:][:len(gx)], gy[:len(gx)]
		for i, g := range gx {
			h, a1, b1 := gy[i], a[i], b[i]
			x00 += g * a0
			y00 += h * a0
			x01 += g * a1
			y01 += h * a1
			x10 += g * b0
			y10 += h * b0
			x11 += g * b1
			y11 += h * b1
			a0, b0 = a1, b1
		}
	}
	m.cx = [4]float64{float64(x00), float64(x01), float64(x10), float64(x11)}
	m.cy = [4]float64{float64(y00), float64(y01), float64(y10), float64(y11)}
}

// follow finds the point (x, y) of the picture from in the picture to, where
// it is looked for about (gx, gy), from level top of the pyramids down to level
// base.
//
// (gx, gy) is the mean of a normal prior with the standard deviation hold, pixels,
// which counts where the window says little; 0 means no prior. All places are in
// pixels of the full picture, the centre of the first at (0, 0).
func (m *matcher) follow(from, to *pyramid, x, y, gx, gy, hold float64, top, base int) (fx, fy float64, ok bool) {
	top = min(top, len(from.levels)-1)
	dx, dy := gx-x, gy-y
	for l := top; l >= base; l-- {
		s := 1 / float64(int(1)<<l)
		m.set(&from.levels[l], x*s, y*s)
		m.hold = 0
		if hold > 0 {
			m.hold = fitNoise * fitNoise / (hold * hold * s * s)
		}
		fx, fy, ok = m.find(&to.levels[l], (x+dx)*s, (y+dy)*s)
		if ok {
			dx, dy = fx/s-x, fy/s-y
		} else if l == base {
			return x, y, false
		}
	}
	return x + dx, y + dy, true
}
