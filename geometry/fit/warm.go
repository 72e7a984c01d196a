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

// compatible reports whether a swing differs from the last one in marks only,
// so that its solution is a start.
func compatible(last *Solution, sw *geometry.Swing) bool {
	o := &last.sw
	if o.Golfer != sw.Golfer || o.ClubLengthM != sw.ClubLengthM || o.ClickSigmaPx != sw.ClickSigmaPx || !sameMarking(o.Marking, sw.Marking) ||
		hasSharedBias(o) != hasSharedBias(sw) ||
		len(o.Clips) != len(sw.Clips) || len(o.Positions) != len(sw.Positions) {
		return false
	}
	for i := range sw.Clips {
		a, b := &o.Clips[i], &sw.Clips[i]
		if a.View != b.View || a.Width != b.Width || a.Height != b.Height || a.FocalPx != b.FocalPx || a.OffLine != b.OffLine || a.Mirrored != b.Mirrored ||
			a.FocalRelSigma != b.FocalRelSigma || len(a.GroundLines) != len(b.GroundLines) {
			return false
		}
		for k := range b.GroundLines {
			if a.GroundLines[k] != b.GroundLines[k] {
				return false
			}
		}
	}
	for i := range sw.Positions {
		if o.Positions[i].Name != sw.Positions[i].Name {
			return false
		}
		for c := range sw.Clips {
			if o.Positions[i].InstantSigma(c) != sw.Positions[i].InstantSigma(c) {
				return false
			}
		}
	}
	return true
}

func sameMarking(a, b *geometry.MarkingPrior) bool { return a == b || a != nil && b != nil && *a == *b }
