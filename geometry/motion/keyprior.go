package motion

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// keyPrior is a normal prior: what the fit at key positions says of the golfer at one of them: his
// degrees of freedom, and the rows that make what they are off by independent with
// a variance of 1.
type keyPrior struct {
	position int
	at       int // index into times
	x        [numDofs]float64
	rows     [numDofs][numDofs]float64 // lower triangle
}

// Where the two models of a golfer differ: the fit at key positions lets every point be and ties
// them by lengths; here pelvis and chest are rigid. A posture that both describe is read off the
// one as the other a little differently, and a prior surer than that would bend the motion.
// The least standard deviations of a keyPrior: the two models of the golfer differ by
// about that.
const (
	leastAngleSigma = 0.3 / toDegrees
	leastPlaceSigma = 0.002 // metres
)

// takeKeyPriors takes the poses at the key positions, with their covariance, from the fit at
// key positions.
//
// With cov = L Lᵀ the rows of L⁻¹ whiten: L⁻¹ (x − x̂) has independent components of
// variance 1, so that the full matrix enters as numDofs plain residuals. Of the speeds at a
// key position its marks say nothing.
func (f *problem) takeKeyPriors() {
	s := f.key
	for pos := range f.keyNames {
		at := -1
		for i, t := range f.times {
			if math.Abs(t-f.keyTimes[pos]) < sameInstant {
				at = i
			}
		}
		if at < 0 {
			continue
		}
		p := keyPrior{position: pos, at: at}
		var points [len(Points)]r3.Vec
		for i, pt := range Points {
			points[i] = s.Points[pos][pt].At
		}
		p.x = dofsOfPoints(&points)
		// Angles of a golfer's finish pass half a turn, where atan2 jumps.
		for d := range p.x { // the same turn of the circle as the start's
			if isAngle(d) {
				p.x[d] += 2 * math.Pi * math.Round((f.st.x[at][d]-p.x[d])/(2*math.Pi))
			}
		}
		cov := dofCovariance(s, pos, &points)
		for d := range numDofs {
			least := sq(leastPlaceSigma)
			if isAngle(d) {
				least = sq(leastAngleSigma)
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
		for r := range numDofs {
			for c := range r + 1 {
				p.rows[r][c] = inv.At(r, c)
			}
		}
		f.keyPriors = append(f.keyPriors, p)
	}
}

// dofsOfPoints reads all degrees of freedom from where the Points are.
//
// points are in the order of Points: pelvis (hips, buckle, tailbone), chest (shoulders,
// breastbone, upper back), knees, ankles. Angles are radians, places metres in the world.
func dofsOfPoints(p *[len(Points)]r3.Vec) (x [numDofs]float64) {
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
//
// J C Jᵀ with J by central differences, h metres to either side: the truncation is of the
// order h² over the square of the shortest length between points, 10⁻⁸, and rounding ε/h,
// 10⁻¹¹.
func dofCovariance(s *fit.Solution, pos int, points *[len(Points)]r3.Vec) *mat.SymDense {
	const h = 1e-5
	var by [numDofs][]float64
	for d := range by {
		by[d] = make([]float64, 3*geometry.NumBody)
	}
	for i, pt := range Points {
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
	return s.LinearCovariance(pos, by[:])
}

// keyPriorTerms adds what the fit at key positions says.
//
// The cost ½ (x − x̂)ᵀ C⁻¹ (x − x̂) is ½ Σ (L⁻¹(x − x̂))ᵣ², row by row of the lower triangle.
func (e *evaluator) keyPriorTerms() {
	for i := range e.keyPriors {
		p := &e.keyPriors[i]
		x := e.st.x[p.at]
		for r := range p.rows {
			e.r.Reset()
			var res float64
			for c := range r + 1 {
				res += p.rows[r][c] * (x[c] - p.x[c])
				e.r.Local(c, p.rows[r][c])
			}
			e.emit(p.at, res, 1)
		}
	}
}
