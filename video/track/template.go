package track

import "math"

// template is what a point looked like where it was marked, or where the template
// was last taken anew: a window of n x n grey levels. It is aligned with another
// picture by the inverse compositional method (Baker and Matthews 2004, "Lucas-Kanade
// 20 years on", IJCV 56), with an affine warp and a linear change of light:
//
//	minimize over warp W, gain g, offset o:  sum w (I(W(x)) - (1+g) T(x) - o)^2
//
// The roles of picture and template are exchanged, so that the Jacobian J, a row of
// eight for each pixel, and the Hessian H = sum w J'J are those of the template and
// are worked out once. Each iteration solves H d = sum w J' (I(W(x)) - T(x)) and
// composes W with the inverse of the step.
//
// Weak normal priors are added to H (see stay, stiff, gainSigma): a window with
// texture in one direction only (the aperture problem) stays where it began in the
// other instead of sliding along the edge.
type template struct {
	n, half int                     // side of the window, pixels, odd, and half of it rounded down
	weights []float32               // n x n, a Gaussian about the middle
	seen    []float32               // n x n grey levels about 0
	rows    []float32               // n x n x params: J
	inverse [params][params]float64 // of H with the priors
	usable  bool
	loose   float64 // share of the prior in the least certain direction: 0 where the window alone says where it is, 1 where it says nothing
	spread  float64 // weighted standard deviation of the pixels, grey levels
}

const params = 8 // affine xx, xy, yx, yy; place x, y; gain, offset

// affine is the linear part of a warp: what lies (u, v) pixels from the point in
// the template lies (xx u + xy v, yx u + yy v) from it now.
type affine struct{ xx, xy, yx, yy float64 }

var identity = affine{1, 0, 0, 1}

// strain is the largest entry of s less the identity.
func (s affine) strain() float64 {
	return math.Max(math.Max(math.Abs(s.xx-1), math.Abs(s.yy-1)), math.Max(math.Abs(s.xy), math.Abs(s.yx)))
}

func (s affine) det() float64 { return s.xx*s.yy - s.xy*s.yx }

// inverse returns the map that undoes s.
func (s affine) inverse() affine {
	d := s.det()
	return affine{s.yy / d, -s.xy / d, -s.yx / d, s.xx / d}
}

// times returns t followed by s.
func (s affine) times(t affine) affine {
	return affine{
		s.xx*t.xx + s.xy*t.yx, s.xx*t.xy + s.xy*t.yy,
		s.yx*t.xx + s.yy*t.yx, s.yx*t.xy + s.yy*t.yy,
	}
}

func newTemplate(n int) *template {
	a := &template{n: n, half: n / 2}
	a.weights, a.seen = make([]float32, n*n), make([]float32, n*n)
	a.rows = make([]float32, n*n*params)
	for i := range a.weights {
		x, y := float64(i%n-n/2), float64(i/n-n/2)
		s := bellPart * float64(n)
		a.weights[i] = float32(math.Exp(-(x*x + y*y) / (2 * s * s)))
	}
	return a
}

const (
	// fitNoise is the standard deviation of a pixel's residual, grey levels: the
	// camera's noise and what an affine warp can't describe.
	fitNoise = 5
	// Standard deviations of the priors. From one frame to the next an entry of
	// the affine map changes by bendSigma; the template is found staySigma pixels
	// from where the optical flow led; the gain of the light changes by gainSigma.
	bendSigma, staySigma, gainSigma = 0.03, 0.3, 0.1

	// Information of the priors in units of a residual's: what they add to the
	// diagonal of H.
	stay  = fitNoise * fitNoise / (staySigma * staySigma)
	stiff = fitNoise * fitNoise / (bendSigma * bendSigma)
)

// set takes the window about (x, y), pixels of the level p with the centre of the
// first at (0, 0), as the template. m lends its buffers.
func (a *template) set(m *matcher, p *plane, x, y float64) {
	n := a.n
	x0, y0, fx, fy := m.corner(x, y)
	fetch(m.patch, p, x0-1, y0-1, n+3)
	bilinear(m.fine, m.patch, n+2, fx, fy)
	var h [params][params]float64
	var total, mean, square float64
	for j := range n {
		for i := range n {
			f := m.fine[j*(n+2)+i:]
			below, under := f[n+2:], f[2*(n+2):]
			gx := (3*(f[2]-f[0]+under[2]-under[0]) + 10*(below[2]-below[0])) / 32
			gy := (3*(under[0]-f[0]+under[2]-f[2]) + 10*(under[1]-f[1])) / 32
			v := below[1]
			k := j*n + i
			a.seen[k] = v
			u, w := float32(i-a.half), float32(j-a.half)
			row := a.rows[k*params:][:params]
			row[0], row[1], row[2], row[3], row[4], row[5], row[6], row[7] = gx*u, gx*w, gy*u, gy*w, gx, gy, v, 1
			weight := float64(a.weights[k])
			for r := range params {
				for c := range r + 1 {
					h[r][c] += weight * float64(row[r]) * float64(row[c])
				}
			}
			total += weight
			mean += weight * float64(v)
			square += weight * float64(v) * float64(v)
		}
	}
	for r := range 4 {
		h[r][r] += stiff
	}
	h[4][4] += stay
	h[5][5] += stay
	h[6][6] += fitNoise * fitNoise / (gainSigma * gainSigma)
	mean /= total
	a.spread = math.Sqrt(math.Max(square/total-mean*mean, 0))
	a.inverse, a.usable = invert(h)
	a.usable = a.usable && a.spread > 1
	xx, xy, yy := a.inverse[4][4], a.inverse[4][5], a.inverse[5][5]
	a.loose = stay * ((xx+yy)/2 + math.Sqrt((xx-yy)*(xx-yy)/4+xy*xy))
}

// invert returns the inverse of a symmetric positive matrix of which the lower
// half is given, by its Cholesky factor.
func invert(h [params][params]float64) (inv [params][params]float64, ok bool) {
	for i := range params {
		for j := range i + 1 {
			s := h[i][j]
			for k := range j {
				s -= h[i][k] * h[j][k]
			}
			if i == j {
				if s <= 1e-9 {
					return inv, false
				}
				h[i][i] = math.Sqrt(s)
			} else {
				h[i][j] = s / h[j][j]
			}
		}
	}
	for c := range params {
		var y [params]float64
		for i := range params {
			s := 0.0
			if i == c {
				s = 1
			}
			for k := range i {
				s -= h[i][k] * y[k]
			}
			y[i] = s / h[i][i]
		}
		for i := params - 1; i >= 0; i-- {
			s := y[i]
			for k := i + 1; k < params; k++ {
				s -= h[k][i] * inv[k][c]
			}
			inv[i][c] = s / h[i][i]
		}
	}
	return inv, true
}

const (
	mostFits = 12
	// smallFit ends the fit, pixels.
	smallFit = 0.01
	// nearlyFit is what the last step may be, pixels.
	nearlyFit = 0.1
	// strained is the strain from which a fit is not believed.
	strained = 0.8
)

// fit moves (x, y) and s to where the template is seen in picture p, pixels of that
// level with the centre of the first at (0, 0). correlation is the weighted
// normalized cross-correlation of its pixels with those there, 1 when they differ by
// the light only. ok is false where the fit does not converge or leaves the picture.
func (a *template) fit(p *plane, x, y float64, s affine) (fx, fy float64, fs affine, correlation float64, ok bool) {
	if !a.usable {
		return x, y, s, 0, false
	}
	startX, startY, was := x, y, s.inverse()
	n, half := a.n, float32(a.half)
	for fits := range mostFits {
		if !a.inside(p, x, y, s) {
			return x, y, s, 0, false
		}
		var b [params]float32
		var so, ss, soo, sso, sw float32 // sums for the correlation
		for j := range n {
			v := float32(j) - half
			px := float32(x) - half*float32(s.xx) + v*float32(s.xy)
			py := float32(y) - half*float32(s.yx) + v*float32(s.yy)
			stepX, stepY := float32(s.xx), float32(s.yx)
			seen, weights := a.seen[j*n:][:n], a.weights[j*n:][:n]
			rows := a.rows[j*n*params:][:n*params]
			for i := range seen {
				ix, iy := int(px), int(py)
				fx, fy := px-float32(ix), py-float32(iy)
				q := p.pix[iy*p.w+ix:]
				below := q[p.w:]
				top := gray[q[0]] + fx*(gray[q[1]]-gray[q[0]])
				low := gray[below[0]] + fx*(gray[below[1]]-gray[below[0]])
				o := top + fy*(low-top)
				t, w := seen[i], weights[i]
				wo := w * o
				sw += w
				so += wo
				soo += wo * o
				sso += wo * t
				ss += w * t
				e := w * (o - t)
				row := rows[i*params:][:params]
				b[0] += e * row[0]
				b[1] += e * row[1]
				b[2] += e * row[2]
				b[3] += e * row[3]
				b[4] += e * row[4]
				b[5] += e * row[5]
				b[6] += e * row[6]
				b[7] += e
				px += stepX
				py += stepY
			}
		}
		variance := float64(soo/sw) - float64(so/sw)*float64(so/sw)
		correlation = (float64(sso/sw) - float64(so/sw)*float64(ss/sw)) / (a.spread*math.Sqrt(math.Max(variance, 0)) + 1e-6)
		// The gradient of the priors, in the template's coordinates like the step.
		inv := s.inverse()
		bent := was.times(s)
		held := [6]float64{
			stiff * (bent.xx - 1), stiff * bent.xy, stiff * bent.yx, stiff * (bent.yy - 1),
			stay * (inv.xx*(x-startX) + inv.xy*(y-startY)), stay * (inv.yx*(x-startX) + inv.yy*(y-startY)),
		}
		var d [params]float64
		for r := range params {
			for c := range params {
				v := float64(b[c])
				if c < len(held) {
					v += held[c]
				}
				d[r] += a.inverse[r][c] * v
			}
		}
		gain := 1 + d[6]
		if gain < 0.25 {
			return x, y, s, correlation, false
		}
		for r := range 6 {
			d[r] /= gain
		}
		// The step warps the template; its inverse is composed with the warp.
		step := affine{1 + d[0], d[1], d[2], 1 + d[3]}
		if step.det() < 0.2 {
			return x, y, s, correlation, false
		}
		s = s.times(step.inverse())
		mx, my := s.xx*d[4]+s.xy*d[5], s.yx*d[4]+s.yy*d[5]
		x, y = x-mx, y-my
		if s.strain() > strained {
			return x, y, s, correlation, false
		}
		if move := mx*mx + my*my; move < smallFit*smallFit || fits == mostFits-1 && move < nearlyFit*nearlyFit {
			return x, y, s, correlation, true
		}
	}
	return x, y, s, correlation, false
}

// inside reports whether the window lies in the picture.
func (a *template) inside(p *plane, x, y float64, s affine) bool {
	reachX := float64(a.half) * (math.Abs(s.xx) + math.Abs(s.xy))
	reachY := float64(a.half) * (math.Abs(s.yx) + math.Abs(s.yy))
	return x-reachX >= 1 && y-reachY >= 1 && x+reachX < float64(p.w-2) && y+reachY < float64(p.h-2)
}
