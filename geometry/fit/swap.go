package fit

import (
	"context"
	"math"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
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

// maxSwapIterations bounds the fit of a position with two marks in each other's place.
const maxSwapIterations = 25

// pair is the marks, lead and trail, of one point in one clip at one position; pt is the
// lead one.
type pair struct {
	clip, pos int
	pt        geometry.Point
}

// swapAge is for how many warm solves a pair that is far from swapped is not tried again
// while no mark of its position changes: each try is a fit of that position, and the hand
// waits for all of them.
const swapAge = 8

// isUnswapped reports whether an earlier solution of the same swing, but for a few marks,
// found a pair far from swapped at a position whose marks are still the same.
func (s *Solution) isUnswapped(last *Solution, k pair) bool {
	if last == nil || marksChanged(last.p.Marks[k.pos], s.p.Marks[k.pos]) {
		return false
	}
	age, known := last.unswapped[k]
	if !known || age >= swapAge {
		return false
	}
	s.unswapped[k] = age + 1
	return true
}

// findSwaps returns the pairs of marks, lead and trail of one point in one clip
// and position, that fit better the other way round. It tries those of which
// one is in doubt, with everything shared held. last is the solution that this one was
// started from, or nil.
func (s *Solution) findSwaps(ctx context.Context, e *bundle.Minimiser, doubts []doubt, last *Solution) ([]geometry.Suspect, error) {
	var found []geometry.Suspect
	s.unswapped = map[pair]int{}
	tried := map[pair]bool{}
	for i := 0; i < len(doubts) && i < suspectLooks; i++ {
		m := doubts[i].m
		if m.Point.Side() == geometry.Middle {
			continue
		}
		lead, trail := s.pairOf(m)
		if trail == nil || lead == nil {
			continue
		}
		k := pair{m.Clip, m.Pos, lead.Point}
		if tried[k] || s.isUnswapped(last, k) {
			continue
		}
		tried[k] = true
		if doubts[i].px < swapLeast*math.Hypot(lead.X-trail.X, lead.Y-trail.Y) {
			continue
		}
		gain, err := s.swapped(ctx, e, lead, trail)
		if err != nil {
			return nil, err
		}
		if gain < 0 {
			s.unswapped[k] = 0
		}
		if gain < swapGain {
			continue
		}
		found = append(found, geometry.Suspect{Mark: lead.Index, Other: trail.Index, Swapped: true, ResidualPx: doubts[i].px})
	}
	return found, nil
}

// pairOf returns the marks of both sides of a point in a mark's clip and
// position, nil where one is missing.
func (s *Solution) pairOf(m *bundle.Mark) (lead, trail *bundle.Mark) {
	for k := range s.p.Marks[m.Pos] {
		o := &s.p.Marks[m.Pos][k]
		if o.Clip != m.Clip || o.Point != m.Point && o.Point != m.Point.Opposite() {
			continue
		}
		if o.Point.Side() == geometry.Lead {
			lead = o
		} else {
			trail = o
		}
	}
	return lead, trail
}

// swapped returns by how much the cost of a position falls when two marks
// change places.
//
// Both costs are of the one position with all that is shared held, so that their difference is a
// logarithm of odds, the prior of a swap left out: e⁸ is more than one to the two thousand pairs
// that nobody swaps for each that somebody does.
func (s *Solution) swapped(ctx context.Context, e *bundle.Minimiser, a, b *bundle.Mark) (float64, error) {
	here := s.p.PositionCost(s.st, a.Pos)
	var fig [geometry.NumBody]geometry.WorldPt
	for pt := range fig {
		fig[pt] = s.st.At(a.Pos, geometry.Point(pt))
	}
	a.X, a.Y, b.X, b.Y = b.X, b.Y, a.X, a.Y
	defer func() { a.X, a.Y, b.X, b.Y = b.X, b.Y, a.X, a.Y }()
	e.Loose = true // a gain of swapGain is not missed by a thousandth
	defer func() { e.Loose = false }()
	st := s.st.Clone()
	s.p.Seed(st, a.Pos, &fig)
	there, err := e.MinimisePosition(ctx, st, a.Pos, maxSwapIterations)
	return here - there.Cost, err
}
