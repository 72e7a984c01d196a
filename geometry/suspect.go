package geometry

import (
	"fmt"
	"math"
	"sort"
)

// Which marks are named as suspects.
const (
	// suspectLook is the squared whitened distance, before anything is known
	// of how the others predict a mark, from which on it is looked at.
	suspectLook = 4
	// suspectChi2 is the squared distance between a mark and where the others
	// put it, in units of the variance of that difference, from which on it is
	// named: a chi-squared variable with two degrees of freedom exceeds it
	// once in 8000 marks.
	suspectChi2 = 18
)

// findSuspects names the marks that disagree with where the other marks put
// their point (deleted residuals: Cook & Weisberg 1982, Residuals and
// Influence in Regression, ch. 2).
func (s *Solution) findSuspects() {
	if s.post.m == nil {
		return
	}
	look := func(m *markTerm) {
		pos, o := m.pos, 0
		if m.pt == Ball {
			pos, o = -1, s.p.oBall
		}
		pr, ok := s.projection(m.clip, m.pos, m.pt)
		if !ok {
			return
		}
		rx, ry := m.x-pr.x, m.y-pr.y
		v := m.sigma * m.sigma
		d2 := (rx*rx + ry*ry) / v
		if d2 < suspectLook {
			return
		}
		_, w := robust(d2)
		w = math.Min(w, 1)
		c := s.post.pixelCovariance(&pr, m.clip, pos, m.pt, o)
		dist, chi2 := deleted([2]float64{rx, ry}, c, v, w)
		if chi2 < suspectChi2 {
			return
		}
		s.Suspects = append(s.Suspects, Suspect{Mark: m.index, ResidualPx: dist, Reason: fmt.Sprintf(
			"the %s %s in the %s clip is %.0f px from where the other marks put it",
			m.pt, atPosition(s.p.names[m.pos]), s.p.views[m.clip], dist)})
	}
	for i := range s.p.marks {
		for k := range s.p.marks[i] {
			look(&s.p.marks[i][k])
		}
	}
	for k := range s.p.ballMarks {
		look(&s.p.ballMarks[k])
	}
	sort.SliceStable(s.Suspects, func(a, b int) bool { return s.Suspects[a].ResidualPx > s.Suspects[b].ResidualPx })
}

// deleted returns how far a mark with residual r lies from where the fit
// would put its point without it, in pixels and as a squared distance in units
// of the variance of that difference. c is the covariance of the fitted
// picture with the mark, v the mark's variance and w its robust weight.
func deleted(r [2]float64, c [2][2]float64, v, w float64) (px, chi2 float64) {
	// Without the mark: r₋ = (I − (w/v)c)⁻¹ r and c₋ = (I − (w/v)c)⁻¹ c.
	k := w / v
	a := [2][2]float64{{1 - k*c[0][0], -k * c[0][1]}, {-k * c[1][0], 1 - k*c[1][1]}}
	inv, ok := inverse2(a)
	if !ok {
		return math.Hypot(r[0], r[1]), 0 // nothing but the mark itself places the point
	}
	rd := [2]float64{inv[0][0]*r[0] + inv[0][1]*r[1], inv[1][0]*r[0] + inv[1][1]*r[1]}
	var s [2][2]float64
	for i := range s {
		for j := range s {
			s[i][j] = inv[i][0]*c[0][j] + inv[i][1]*c[1][j]
		}
		s[i][i] += v
	}
	si, ok := inverse2(s)
	if !ok {
		return math.Hypot(rd[0], rd[1]), 0
	}
	chi2 = rd[0]*(si[0][0]*rd[0]+si[0][1]*rd[1]) + rd[1]*(si[1][0]*rd[0]+si[1][1]*rd[1])
	return math.Hypot(rd[0], rd[1]), chi2
}

// inverse2 inverts a 2×2 matrix whose determinant is well above zero.
func inverse2(a [2][2]float64) (out [2][2]float64, ok bool) {
	det := a[0][0]*a[1][1] - a[0][1]*a[1][0]
	if !(det > 1e-9) {
		return out, false
	}
	return [2][2]float64{{a[1][1] / det, -a[0][1] / det}, {-a[1][0] / det, a[0][0] / det}}, true
}
