package bundle

import (
	"gonum.org/v1/gonum/mat"
)

// SharedVariance is the part of the variance of the scalar that SolveFor was asked
// last which it has by the global unknowns of the cameras and of the
// body, which other swings of one golfer before the same phones share. With c the
// covariances of the scalar with them and C their covariance it is cᵀC⁻¹c, what
// knowing them exactly would take from the variance (Bishop 2006, Pattern Recognition
// and Machine Learning, 2.3.1). 0 where the matrix could not be factorised.
//
// What two swings share does not average out over them, and cancels in the difference of one
// measure between them; geometry.Measure.Shared hands it to those who count with several
// swings. In the order of the global block the shared ones come first, up to the feet's places.
func (q *Posterior) SharedVariance() float64 {
	n := q.p.oPlanted
	if q.m == nil {
		return 0
	}
	q.Covariances()
	if q.shared == nil {
		c := mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				c.SetSym(i, j, q.covG[i*q.nG+j])
			}
		}
		q.shared = new(mat.Cholesky)
		if !q.shared.Factorize(c) {
			return 0
		}
	}
	if q.shared.IsEmpty() {
		return 0
	}
	c, x := mat.NewVecDense(n, q.xG[:n]), new(mat.VecDense)
	if err := q.shared.SolveVecTo(x, c); err != nil {
		if _, bad := err.(mat.Condition); !bad {
			return 0
		}
	}
	return mat.Dot(c, x)
}
