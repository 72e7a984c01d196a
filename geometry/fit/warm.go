package fit

import (
	"context"

	"turngauge/geometry"
)

// warm solves from the last solution. It returns nil where that start is not
// to be trusted.
func (s *Solver) warm(ctx context.Context, sw geometry.Swing, p *problem) (*Solution, error) {
	st := s.last.st.clone()
	copy(p.poor, s.last.p.poor)
	// The evidence for a scale is all marks of its class; that one of them moves by
	// a few pixels changes it by little, and estimating it takes several fits. What
	// is left between the two is in TestWarmEqualsCold.
	p.scale, p.wrong = s.last.p.scale, s.last.p.wrong // held while the hand moves
	p.setSigmas(&sw, st)
	e := s.engineFor(p, st)
	e.warm = true
	for i := range p.names {
		if p.oneViewed(i) && i != p.address && marksChanged(s.last.p.marks[i], p.marks[i]) {
			if _, err := e.startPosition(ctx, st, i); err != nil {
				return nil, err
			}
		}
	}
	sol, err := s.joint(ctx, sw, e, st, s.last)
	if err != nil {
		return nil, err
	}
	if sol.Summary.Status != geometry.Converged || sol.Summary.Cost > s.last.Summary.Cost+warmCostRise {
		return nil, nil
	}
	sol.Summary.Warm = true
	return sol, nil
}

// warmCostRise is how much costlier than the last a warm solution may be before
// a cold solve is tried instead.
const warmCostRise = 12

func marksChanged(a, b []markTerm) bool {
	if len(a) != len(b) {
		return true
	}
	for i := range a {
		if a[i].clip != b[i].clip || a[i].pt != b[i].pt || a[i].x != b[i].x || a[i].y != b[i].y {
			return true
		}
	}
	return false
}
