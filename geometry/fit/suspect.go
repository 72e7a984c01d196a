package fit

import (
	"context"
	"math"
	"sort"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// Which marks are named as suspects.
const (
	// suspectLook is the squared distance, linearised, from which on a mark is
	// looked at more closely: the fit is repeated without it.
	suspectLook = 4
	// suspectLooks is how many marks are looked at, worst first.
	suspectLooks = 8
	// suspectChi2 is the squared distance between a mark and where the others
	// put it, in units of the variance of that difference, from which on it is
	// named: a chi-squared variable with two degrees of freedom exceeds it
	// once in 3000 marks.
	suspectChi2 = 16
	// suspectScale is the least of the usual standard deviation of a mark that
	// it is judged by: a coach who marks to half a pixel has no use for being
	// told of two.
	suspectScale = 0.5
	// suspectIterations bounds the repeated fits.
	suspectIterations = 15
)

// doubt is a mark that may be a suspect.
//
// The covariance is that of a difference of independent things: the mark, and the place that all
// other marks give its point. Its weight in the fit is therefore taken out of that place first.
type doubt struct {
	m    *bundle.Mark
	px   float64 // from the mark to where the others put its point
	chi2 float64
	cov  [2][2]float64 // of that difference
	// least is the least variance of the mark in it, px²; see suspectScale.
	least float64
}

// findSuspects names the marks that disagree with where the other marks put
// their point: deleted residuals (Cook & Weisberg 1982, Residuals and Influence
// in Regression, ch. 2), first linearised, then, for the worst, by fitting
// their position again without them. last is the solution that this one was started from,
// or nil.
func (s *Solution) findSuspects(ctx context.Context, e *bundle.Minimiser, last *Solution) error {
	if !s.post.Determined() {
		return nil
	}
	var doubts []doubt
	for i := range s.p.Marks {
		for k := range s.p.Marks[i] {
			doubts = s.appendDoubt(doubts, &s.p.Marks[i][k])
		}
	}
	for k := range s.p.BallMarks {
		doubts = s.appendDoubt(doubts, &s.p.BallMarks[k])
	}
	sort.SliceStable(doubts, func(a, b int) bool { return doubts[a].chi2 > doubts[b].chi2 })
	swaps, err := s.findSwaps(ctx, e, doubts, last)
	if err != nil {
		return err
	}
	s.Suspects = swaps
	for i := range doubts {
		d := &doubts[i]
		if inSwap(swaps, d.m.Index) {
			continue
		}
		if i < suspectLooks && d.m.Point != geometry.Ball {
			if err := s.withoutMark(ctx, e, d); err != nil {
				return err
			}
		}
		if d.chi2 < suspectChi2 {
			continue
		}
		s.Suspects = append(s.Suspects, geometry.Suspect{Mark: d.m.Index, Other: -1, ResidualPx: d.px})
	}
	sort.SliceStable(s.Suspects, func(a, b int) bool { return s.Suspects[a].ResidualPx > s.Suspects[b].ResidualPx })
	return nil
}

func inSwap(swaps []geometry.Suspect, mark int) bool {
	for i := range swaps {
		if swaps[i].Mark == mark || swaps[i].Other == mark {
			return true
		}
	}
	return false
}

// appendDoubt appends a mark whose linearised deleted residual is large.
func (s *Solution) appendDoubt(to []doubt, m *bundle.Mark) []doubt {
	r, ok := s.residual(m)
	if !ok {
		return to
	}
	d := doubt{m: m}
	if s.sw.Marks[m.Index].SigmaPx == 0 {
		d.least = sq(suspectScale * geometry.SigmaPxAt(m.Point, s.sw.Marks[m.Index].State, s.p.Views[m.Clip], m.PxPerM, geometry.ClickSigmaPx))
	}
	if !d.deleted([2]float64{m.X - r.picture.X, m.Y - r.picture.Y}, r.covariance, r.variance, r.weight) || d.chi2 < suspectLook {
		return to
	}
	return append(to, d)
}

// deleted fills in how far a mark with residual r lies from where the
// linearised fit would put its point without it. c is the covariance of the
// fitted picture with the mark, v the mark's variance and w its robust weight.
// It reports false where nothing but the mark itself places the point.
//
// Derivation. The fitted picture is π = C(w m/v + b), b what all else says and C⁻¹ = w/v + A with
// A = C₋⁻¹ the information of the others. So C₋ = (C⁻¹ − w/v)⁻¹ = (I − (w/v)C)⁻¹C, and the others'
// place π₋ has m − π₋ = (I − (w/v)C)⁻¹(m − π), by inserting π = C(w/v m + A π₋). It is exact for a
// linear problem. Where (w/v)C reaches 1 nothing but the mark, or not even that, holds the point,
// and nothing can be said of it.
func (d *doubt) deleted(r [2]float64, c [2][2]float64, v, w float64) bool {
	// Without the mark: r₋ = (I − (w/v)c)⁻¹ r and c₋ = (I − (w/v)c)⁻¹ c.
	k := w / v
	inv, ok := inverse2([2][2]float64{{1 - k*c[0][0], -k * c[0][1]}, {-k * c[1][0], 1 - k*c[1][1]}})
	if !ok {
		return false
	}
	for i := range d.cov {
		for j := range d.cov {
			d.cov[i][j] = inv[i][0]*c[0][j] + inv[i][1]*c[1][j]
		}
		d.cov[i][i] += math.Max(v, d.least)
	}
	return d.distance([2]float64{inv[0][0]*r[0] + inv[0][1]*r[1], inv[1][0]*r[0] + inv[1][1]*r[1]})
}

func (d *doubt) distance(r [2]float64) bool {
	inv, ok := inverse2(d.cov)
	if !ok {
		return false
	}
	d.px = math.Hypot(r[0], r[1])
	d.chi2 = r[0]*(inv[0][0]*r[0]+inv[0][1]*r[1]) + r[1]*(inv[1][0]*r[0]+inv[1][1]*r[1])
	return true
}

// withoutMark fits the position of a mark again without it, everything shared
// held, and measures the distance from there.
//
// The linear deletion is wrong where the mark is: the fit was linearised at a place drawn aside
// by it. Fitted again without, its distance is from where the others put the point; the
// covariance is kept, which changes little.
func (s *Solution) withoutMark(ctx context.Context, e *bundle.Minimiser, d *doubt) error {
	st := s.st.Clone()
	sigma := d.m.Sigma
	d.m.Sigma = 1e9 // as good as not there
	_, err := e.MinimisePosition(ctx, st, d.m.Pos, suspectIterations)
	d.m.Sigma = sigma
	if err != nil {
		return err
	}
	if pr, ok := s.p.Seen(st, d.m); ok {
		d.distance([2]float64{d.m.X - pr.X, d.m.Y - pr.Y})
	}
	return nil
}

// inverse2 inverts a 2×2 matrix whose determinant is well above zero.
func inverse2(a [2][2]float64) (out [2][2]float64, ok bool) {
	det := a[0][0]*a[1][1] - a[0][1]*a[1][0]
	if !(det > 1e-9) {
		return out, false
	}
	return [2][2]float64{{a[1][1] / det, -a[0][1] / det}, {-a[1][0] / det, a[0][0] / det}}, true
}
