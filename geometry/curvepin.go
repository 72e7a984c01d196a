package geometry

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// pin is what the fit at key positions says of the golfer at one of them: his
// degrees of freedom, and the rows that make what they are off by independent with
// a variance of 1.
type pin struct {
	position int
	at       int // index into times
	x        [curveDofs]float64
	rows     [curveDofs][curveDofs]float64 // lower triangle
}

// The least standard deviations of a pin: the two models of the golfer differ by
// about that.
const (
	pinAngle = 0.3 / toDegrees
	pinPlace = 0.002 // metres
)

// pin takes the poses at the key positions, with their covariance, from the fit at
// key positions.
func (f *curveFit) pin() {
	s := f.key
	for pos := range s.p.names {
		at := -1
		for i, t := range f.times {
			if math.Abs(t-f.keyTimes[pos]) < sameInstant {
				at = i
			}
		}
		if at < 0 {
			continue
		}
		p := pin{position: pos, at: at}
		var points [len(CurvePoints)]r3.Vec
		for i, pt := range CurvePoints {
			points[i] = s.st.at(pos, pt)
		}
		p.x = dofsOfPoints(&points)
		for d := range p.x { // the same turn of the circle as the start's
			if isAngle(d) {
				p.x[d] += 2 * math.Pi * math.Round((f.st.x[at][d]-p.x[d])/(2*math.Pi))
			}
		}
		cov := s.dofCovariance(pos, &points)
		for d := range curveDofs {
			least := sq(pinPlace)
			if isAngle(d) {
				least = sq(pinAngle)
			}
			cov.SetSym(d, d, cov.At(d, d)+least)
		}
		var chol mat.Cholesky
		if !chol.Factorize(cov) {
			continue
		}
		var l, inv mat.TriDense
		chol.LTo(&l)
		if err := inv.InverseTri(&l); err != nil {
			continue
		}
		for r := range curveDofs {
			for c := range r + 1 {
				p.rows[r][c] = inv.At(r, c)
			}
		}
		f.pins = append(f.pins, p)
	}
}

// dofsOfPoints reads all degrees of freedom from where the CurvePoints are.
func dofsOfPoints(p *[len(CurvePoints)]r3.Vec) (x [curveDofs]float64) {
	pelvis := dofsOf(p[0], p[1], r3.Sub(p[2], p[3]))
	chest := dofsOf(p[4], p[5], r3.Sub(p[6], p[7]))
	copy(x[:], pelvis[:])
	copy(x[segmentDofs:], chest[:])
	for i, v := range p[8:] {
		copy(x[dofLeadKnee+3*i:], []float64{v.X, v.Y, v.Z})
	}
	return x
}

// dofCovariance is the covariance of the degrees of freedom at a position.
func (s *Solution) dofCovariance(pos int, points *[len(CurvePoints)]r3.Vec) *mat.SymDense {
	const h = 1e-5
	var by [curveDofs][]float64
	for d := range by {
		by[d] = make([]float64, blockSize)
	}
	for i, pt := range CurvePoints {
		for k, axis := range [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			up, down := *points, *points
			up[i] = r3.Add(up[i], r3.Scale(h, axis))
			down[i] = r3.Sub(down[i], r3.Scale(h, axis))
			a, b := dofsOfPoints(&up), dofsOfPoints(&down)
			for d := range by {
				by[d][3*int(pt)+k] = (a[d] - b[d]) / (2 * h)
			}
		}
	}
	out := mat.NewSymDense(curveDofs, nil)
	for d := range by {
		g := gradient{pos: [numSlots]int{pos, -1, -1}}
		g.p[0] = by[d]
		s.post.solveFor(&g, false)
		for c := range d + 1 {
			var v float64
			for j, w := range by[c] {
				if w != 0 {
					v += w * s.post.xP[pos][j]
				}
			}
			out.SetSym(c, d, v)
		}
	}
	return out
}

// pinned adds what the fit at key positions says.
func (e *curveSum) pinned() {
	for i := range e.pins {
		p := &e.pins[i]
		x := e.st.x[p.at]
		for r := range p.rows {
			e.r.reset()
			var res float64
			for c := range r + 1 {
				res += p.rows[r][c] * (x[c] - p.x[c])
				e.r.local(c, p.rows[r][c])
			}
			e.emit(p.at, res, 1)
		}
	}
}
