package fit

import (
	"context"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// warm solves from the last solution. It returns nil where that start is not
// to be trusted.
//
// Positions that one picture shows, and whose marks have moved, are started anew from every
// figure: a mirror image that was less likely a moment ago may now be the better one, and the
// minimiser does not cross over by itself.
func (s *Solver) warm(ctx context.Context, sw geometry.Swing, p *bundle.Problem) (*Solution, error) {
	st := s.last.st.Clone()
	copy(p.Poor, s.last.p.Poor)
	// The evidence for a scale is all marks of its class; that one of them moves by
	// a few pixels changes it by little, and estimating it takes several fits. What
	// is left between the two is in TestWarmEqualsCold.
	p.LogScales, p.WrongShare = s.last.p.LogScales, s.last.p.WrongShare // held while the hand moves
	p.SetSigmas(&sw, st)
	e := bundle.NewMinimiser(p, s.engine)
	s.engine = e
	e.Warm = true
	for i := range p.Names {
		if p.OneViewed(i) && i != p.Address && marksChanged(s.last.p.Marks[i], p.Marks[i]) {
			if _, err := e.StartPosition(ctx, st, i); err != nil {
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
//
// A mark that is dragged by three standard deviations costs 4.5 more where nothing gives way;
// the cost is of half squared standard deviations, capped by the loss. Twelve more is a jump
// that the last minimum may have nothing to do with.
const warmCostRise = 12

func marksChanged(a, b []bundle.Mark) bool {
	if len(a) != len(b) {
		return true
	}
	for i := range a {
		if a[i].Clip != b[i].Clip || a[i].Point != b[i].Point || a[i].X != b[i].X || a[i].Y != b[i].Y {
			return true
		}
	}
	return false
}
