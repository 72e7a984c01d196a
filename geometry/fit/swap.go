package fit

import (
	"context"
	"math"

	"turngauge/geometry"
)

// A coach who clicks the lead hip where the trail hip is, and the other way
// round, makes two marks disagree at once. What to say then is one sentence.

// swapGain is by how much the cost must fall when two marks change places
// before they are said to be swapped: a factor of some thousand in their odds.
const swapGain = 8

// swapLeast is the share of the distance between two marks by which one must be
// off before their swap is tried: swapped, it would be off by all of it, less what
// it pulls the fit along.
const swapLeast = 0.25

// findSwaps returns the pairs of marks, lead and trail of one point in one clip
// and position, that fit better the other way round. It tries those of which
// one is in doubt, with everything shared held.
func (s *Solution) findSwaps(ctx context.Context, e *engine, doubts []doubt) ([]geometry.Suspect, error) {
	type key struct {
		clip, pos int
		pt        geometry.Point
	}
	var found []geometry.Suspect
	tried := map[key]bool{}
	for i := 0; i < len(doubts) && i < suspectLooks; i++ {
		m := doubts[i].m
		if m.pt.Side() == geometry.Middle {
			continue
		}
		lead, trail := s.pairOf(m)
		if trail == nil || lead == nil || tried[key{m.clip, m.pos, lead.pt}] {
			continue
		}
		tried[key{m.clip, m.pos, lead.pt}] = true
		if doubts[i].px < swapLeast*math.Hypot(lead.x-trail.x, lead.y-trail.y) {
			continue
		}
		gain, err := s.swapped(ctx, e, lead, trail)
		if err != nil {
			return nil, err
		}
		if gain < swapGain {
			continue
		}
		found = append(found, geometry.Suspect{Mark: lead.index, Other: trail.index, Swapped: true, ResidualPx: doubts[i].px})
	}
	return found, nil
}

// pairOf returns the marks of both sides of a point in a mark's clip and
// position, nil where one is missing.
func (s *Solution) pairOf(m *markTerm) (lead, trail *markTerm) {
	for k := range s.p.marks[m.pos] {
		o := &s.p.marks[m.pos][k]
		if o.clip != m.clip || o.pt != m.pt && o.pt != m.pt.Opposite() {
			continue
		}
		if o.pt.Side() == geometry.Lead {
			lead = o
		} else {
			trail = o
		}
	}
	return lead, trail
}

// swapped returns by how much the cost of a position falls when two marks
// change places.
func (s *Solution) swapped(ctx context.Context, e *engine, a, b *markTerm) (float64, error) {
	active := make([]bool, len(s.p.names))
	active[a.pos] = true
	here := s.p.total(s.st, active, false, nil)
	var fig [geometry.NumBody]geometry.WorldPt
	for pt := range fig {
		fig[pt] = s.st.at(a.pos, geometry.Point(pt))
	}
	a.x, a.y, b.x, b.y = b.x, b.y, a.x, a.y
	defer func() { a.x, a.y, b.x, b.y = b.x, b.y, a.x, a.y }()
	e.loose = true // a gain of swapGain is not missed by a thousandth
	defer func() { e.loose = false }()
	st := s.st.clone()
	s.p.seed(st, a.pos, &fig)
	there, err := e.minimise(ctx, st, active, true, maxBlockIterations)
	return here - there.Cost, err
}
