package bundle

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// SegmentChange is how a segment changes with the unknowns, in units of its standard
// deviation.
//
// The residual of a segment is r = (|a − b| − L)/s with s what it gives, metres. With u the
// unit vector from b to a its derivatives are u/s by a, −u/s by b (along) and −∂L/∂g/s by the
// length's unknowns (partials, whose sign is the length's own).
type SegmentChange struct {
	pos      int
	a, b     geometry.Point
	along    r3.Vec
	partials [2]partial
}

// SegmentChange is that of segment k of BodySegments at a position.
func (p *Problem) SegmentChange(st *State, pos, k int) SegmentChange {
	l := &geometry.BodySegments[k]
	c := SegmentChange{pos: pos, a: l.A, b: l.B}
	w := 1 / p.giveSigmas[l.Segment]
	if d := r3.Sub(st.At(pos, l.A), st.At(pos, l.B)); r3.Norm(d) > 1e-6 {
		c.along = r3.Scale(w, r3.Unit(d))
	}
	_, c.partials = p.segmentLength(st, k)
	c.partials[0].by *= w
	c.partials[1].by *= w
	return c
}

// CovarianceWithSegment is the covariance of the scalar that SolveFor was asked last, everywhere,
// with a segment, in its unit times the segment's standard deviation.
func (q *Posterior) CovarianceWithSegment(s *SegmentChange) float64 {
	a, b := q.xP[s.pos][3*s.a:], q.xP[s.pos][3*s.b:]
	c := s.along.X*(a[0]-b[0]) + s.along.Y*(a[1]-b[1]) + s.along.Z*(a[2]-b[2])
	for _, g := range s.partials {
		c -= g.by * q.xG[g.at]
	}
	return c
}

// SegmentResidual is what the fit leaves of segment k of BodySegments at a position: how
// much of its degree of freedom, and its squared residual over its variance. ok is false
// where an end is not marked.
func (q *Posterior) SegmentResidual(pos, k int) (kept, squared float64, ok bool) {
	l := &geometry.BodySegments[k]
	d := r3.Sub(q.st.At(pos, l.A), q.st.At(pos, l.B))
	n := r3.Norm(d)
	if n < 1e-6 || !q.p.Marked[pos][l.A] || !q.p.Marked[pos][l.B] {
		return 0, 0, false
	}
	u := [3]float64{d.X / n, d.Y / n, d.Z / n}
	length, by := q.p.segmentLength(q.st, k)
	b := &q.block[pos]
	nG := q.nG
	var v float64
	// The variance that the fit leaves in n − L, by propagation: with d = a − b and
	// b the derivatives of L by the global unknowns,
	//
	//	uᵀ C_dd u − 2 uᵀ C_dg b + bᵀ C_gg b.
	for i := range u {
		for j := range u {
			v += u[i] * u[j] * (b.point[l.A][i][j] + b.point[l.B][i][j] - b.segment[k][i][j] - b.segment[k][j][i])
		}
		for _, g := range by {
			v -= 2 * u[i] * g.by * (b.global[(3*int(l.A)+i)*nG+g.at] - b.global[(3*int(l.B)+i)*nG+g.at])
		}
	}
	for _, g := range by {
		for _, h := range by {
			v += g.by * h.by * q.covG[g.at*nG+h.at]
		}
	}
	sigma := q.p.GiveSigma(l.Segment)
	kept = math.Min(math.Max(1-v/sq(sigma), 1e-3), 1)
	return kept, sq((n - length) / sigma), true
}
