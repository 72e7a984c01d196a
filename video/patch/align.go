package patch

import (
	"image"
	"math"
)

// Warp says where the model puts a patch in another frame: its middle at (X, Y), and what
// lies (u, v) pixels from the middle in the template at
//
//	(XX u + XY v, YX u + YY v) + Bend[0] u² + Bend[1] uv + Bend[2] v²
//
// from there. The bend is what a body's roundness does: cloth about a hip that turns away
// shrinks toward the outline, and taken for flat it is found up to a tenth of the way too near to
// where it was, the more the larger the patch.
type Warp struct {
	X, Y           float64
	XX, XY, YX, YY float64
	Bend           [3][2]float64 // pixels per squared pixel
}

// Match is a patch found in another frame.
type Match struct {
	// DX, DY is by how much it is seen beside where the warp puts it, pixels.
	DX, DY float64
	// XX, XY, YY is the information of (DX, DY), the inverse of its covariance, in 1/px²:
	// the structure tensor over the variance of the residuals.
	XX, XY, YY float64
	// Correlation of the two patches without their ramps, at most 1.
	Correlation float64
}

const (
	mostSteps = 20
	// smallStep ends the search, pixels of the template.
	smallStep = 0.01
	// mostWay from where the warp puts the patch is what is looked for, pixels: beyond
	// it another thread is found sooner than the same.
	mostWay = 12
	// pixelNoise is the least standard deviation of a residual, grey levels; neighbouring
	// residuals go together (compression, interpolation), so that of their number
	// independent is one in together.
	pixelNoise = 2
	together   = 4
)

// Align finds the template in a picture from where the warp puts it. The picture may be
// a part of a frame: its Rect says which. ok is false where the patch leaves the picture, the
// light changed sign or the search does not end within mostWay.
func (t *Template) Align(in *image.Gray, w Warp) (m Match, ok bool) {
	det := w.XX*w.YY - w.XY*w.YX
	if !(det > leastArea) || t == nil {
		return m, false
	}
	h := t.xx*t.yy - t.xy*t.xy
	x, y := w.X, w.Y
	for range mostSteps {
		s, inside := t.sample(in, x, y, &w)
		if !inside {
			return m, false
		}
		gain := s.seen / t.square
		if !(gain > leastGain) {
			return m, false
		}
		// The picture shows the template further on by d: the middle moves with it.
		dx, dy := (t.yy*s.jx-t.xy*s.jy)/(h*gain), (t.xx*s.jy-t.xy*s.jx)/(h*gain)
		if way := math.Hypot(dx, dy); way > longStep {
			dx, dy = dx*longStep/way, dy*longStep/way
		}
		x, y = x-(w.XX*dx+w.XY*dy), y-(w.YX*dx+w.YY*dy)
		if math.Hypot(x-w.X, y-w.Y) > mostWay {
			return m, false
		}
		if dx*dx+dy*dy < smallStep*smallStep {
			return t.match(x-w.X, y-w.Y, &w, &s, gain), true
		}
	}
	return m, false
}

const (
	leastArea = 0.15 // of a patch after the warp, as a part of what it was
	leastGain = 0.2
	longStep  = 2 // pixels: of a linearisation over a patch of fine cloth more is not to be believed
)

// match states what the last sample found: residual variance, correlation, information.
//
// A step d of the template is the step W d of the picture, W the linear part of the warp,
// so that the tensor H of the template becomes W⁻ᵀ H W⁻¹.
func (t *Template) match(dx, dy float64, w *Warp, s *sums, gain float64) Match {
	flat := math.Max(s.square-s.ramp[0]*s.ramp[0]/t.ramp[0]-s.ramp[1]*s.ramp[1]/t.ramp[1]-s.ramp[2]*s.ramp[2]/t.ramp[2], 1e-9)
	m := Match{DX: dx, DY: dy, Correlation: s.seen / math.Sqrt(t.square*flat)}
	left := math.Max(flat-gain*gain*t.square, 0) / t.ramp[0]
	k := gain * gain / (together * math.Max(left, pixelNoise*pixelNoise))
	det := w.XX*w.YY - w.XY*w.YX
	a, b, c, d := w.YY/det, -w.XY/det, -w.YX/det, w.XX/det
	m.XX = k * (a*a*t.xx + 2*a*c*t.xy + c*c*t.yy)
	m.XY = k * (a*b*t.xx + (a*d+b*c)*t.xy + c*d*t.yy)
	m.YY = k * (b*b*t.xx + 2*b*d*t.xy + d*d*t.yy)
	return m
}

// sums are the weighted inner products of what is seen in the picture with the rows J,
// the template, itself and the ramp.
type sums struct {
	jx, jy, seen, square float64
	ramp                 [3]float64
}

// sample looks at the picture on the warped grid, bilinearly. Single precision serves:
// of 225 pixels of 8 bits a sum has an error of 10⁻⁵ of itself.
func (t *Template) sample(in *image.Gray, x, y float64, w *Warp) (s sums, inside bool) {
	half := float64(t.half)
	reachX, reachY := half*(math.Abs(w.XX)+math.Abs(w.XY)), half*(math.Abs(w.YX)+math.Abs(w.YY))
	for _, b := range w.Bend {
		reachX, reachY = reachX+half*half*math.Abs(b[0]), reachY+half*half*math.Abs(b[1])
	}
	r := in.Rect
	left, top := x-0.5-float64(r.Min.X), y-0.5-float64(r.Min.Y)
	if !(left-reachX >= rounding && top-reachY >= rounding && left+reachX < float64(r.Dx()-1)-rounding && top+reachY < float64(r.Dy()-1)-rounding) {
		return s, false
	}
	n := t.n
	for j := range n {
		v := float64(j) - half
		// Along a row the place is a polynomial in u, stepped by its differences.
		var at, step, bend [2]float64
		for k, from := range [2][3]float64{{left, w.XX, w.XY}, {top, w.YX, w.YY}} {
			at[k] = from[0] - half*from[1] + v*from[2] + half*half*w.Bend[0][k] - half*v*w.Bend[1][k] + v*v*w.Bend[2][k]
			step[k] = from[1] + v*w.Bend[1][k] + (1-2*half)*w.Bend[0][k]
			bend[k] = 2 * w.Bend[0][k]
		}
		px, py, xx, yx := float32(at[0]), float32(at[1]), float32(step[0]), float32(step[1])
		bx, by := float32(bend[0]), float32(bend[1])
		weights, seen := t.weights[j*n:][:n], t.seen[j*n:][:n]
		jx, jy := t.jx[j*n:][:n], t.jy[j*n:][:n]
		var row, rowU, rowS, rowX, rowY, rowT float32
		for i := range weights {
			ix, iy := int(px), int(py)
			fx, fy := px-float32(ix), py-float32(iy)
			q := in.Pix[iy*in.Stride+ix:]
			below := q[in.Stride:]
			p0, p1, p2, p3 := float32(q[0]), float32(q[1]), float32(below[0]), float32(below[1])
			over := p0 + fx*(p1-p0)
			o := over + fy*(p2+fx*(p3-p2)-over) - middle
			wo := weights[i] * o
			row += wo
			rowU += wo * float32(i)
			rowS += wo * o
			rowT += wo * seen[i]
			rowX += o * jx[i]
			rowY += o * jy[i]
			px += xx
			py += yx
			xx += bx
			yx += by
		}
		s.ramp[0] += float64(row)
		s.ramp[1] += float64(rowU) - half*float64(row)
		s.ramp[2] += v * float64(row)
		s.square += float64(rowS)
		s.seen += float64(rowT)
		s.jx += float64(rowX)
		s.jy += float64(rowY)
	}
	return s, true
}

// rounding of the steps in single precision stays below it, pixels.
const rounding = 0.01

// middle grey is taken off, which keeps the sums small.
const middle = 128
