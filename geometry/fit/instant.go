package fit

import (
	"math"

	"turngauge/geometry"
)

// A key position is an instant, and a frame lies some way from it. Where both clips'
// frames have unknown times (bundle/timeoffset.go) the fit knows of that; at impact, which
// is taken to be the same instant in both, and in a single clip it does not, and the
// measure may have changed by its rate times that time.

// Turning rates at impact, degrees a second, where no earlier position tells: the
// pelvis at 400 (../shared/design/facts.md C9, assumed), the chest half as fast again
// (common practice, no source).
const (
	pelvisRate = 400
	torsoRate  = 600
)

// How the rate at an instant is taken from the mean rate on the way to it: the chest
// is faster at the end of a downswing, the pelvis hardly, and a golfer at the top is
// as good as still (the golfer of geometry/golfer).
//
// The rate is the golfer's own where the fit has his turn at the position before. Its
// error counts in the second order: at 30 frames a second the frame's place, uniform
// over 1/30 s, is worth 400/30/√12 = 4 degrees of the pelvis's turn, one standard
// deviation, and a rate that is a fifth off changes that by less than one.
const (
	impactRate    = 1.25
	topRate       = 0.2
	rateLeastTime = 0.1 // seconds apart, that marking errors don't make a rate
)

// instantVariance is what not knowing when a position is adds to the variance of a
// measure whose value there is v.
//
// The frame lies τ off the instant, a measure that changes at the rate ṙ is off by ṙτ, and τ is
// uniform over a frame of length T, or wider where the position was proposed: variance
// ṙ²·T²/12 and more (geometry.Position.InstantSigma).
func (s *Solution) instantVariance(d *geometry.Definition, pos int, v float64) float64 {
	var sum, n float64
	for c := range s.p.Clips {
		if s.p.HasTime(pos, c) {
			return 0
		}
		if s.markedInClip(c, pos) {
			sum += sq(s.sw.Positions[pos].InstantSigma(c))
			n++
		}
	}
	if sum == 0 {
		return 0
	}
	// Of two clips each tells part of a measure: between the mean of their times
	// and the time of one.
	// The mean of n times with variance τ² each has τ²/n; the value below lies half way
	// between that and τ², as n = 2 has it: ¾ τ². A single clip has τ² itself.
	tau2 := sum / n * (n + 1) / (2 * n)
	return sq(s.rate(d, pos, v)) * tau2
}

func (s *Solution) markedInClip(clip, pos int) bool {
	for k := range s.p.Marks[pos] {
		if s.p.Marks[pos][k].Clip == clip {
			return true
		}
	}
	return false
}

// rate is about how fast a measure changes at a position, in its unit a second: from
// its values at the positions about it, or as usual.
func (s *Solution) rate(d *geometry.Definition, pos int, v float64) float64 {
	switch s.p.Names[pos] {
	case geometry.Address, geometry.Finish:
		return 0
	case geometry.Impact:
		if r, ok := s.meanRate(d, pos, v, -1); ok {
			return impactRate * r
		}
		switch d.Name {
		case "pelvis turn", "pelvis turn about its own axis":
			return pelvisRate
		case "torso turn", "torso turn about the spine":
			return torsoRate
		case "separation":
			return torsoRate - pelvisRate
		}
		return 0
	}
	before, okBefore := s.meanRate(d, pos, v, -1)
	after, okAfter := s.meanRate(d, pos, v, 1)
	switch {
	case s.p.Names[pos] == geometry.Top:
		return topRate * math.Max(math.Abs(before), math.Abs(after))
	case okBefore && okAfter:
		return (before + after) / 2
	default:
		return before + after // one of them is 0
	}
}

// meanRate is the mean rate of a measure between a position and the nearest one
// before (−1) or after (1) it that is rateLeastTime away and has it.
//
// The unit is the measure's own a second, and the sign that of time running on, whichever way was
// looked. An error δ of either value gives an error of the rate of δ/dt, which rateLeastTime
// bounds to ten times δ.
func (s *Solution) meanRate(d *geometry.Definition, pos int, v float64, way int) (float64, bool) {
	for to := pos + way; to >= 0 && to < len(s.p.Names); to += way {
		dt := s.secondsBetween(pos, to)
		if !(float64(way)*dt >= rateLeastTime) {
			continue
		}
		slots := s.slotPositions(to)
		if !d.AppliesTo(s.p.Names[to]) {
			if to == s.p.Address && readsAddress(d) {
				return -v / dt, true // a change since address is none there
			}
			continue
		}
		if !d.Covered(slots) || !s.metAt(d, slots) {
			continue
		}
		if other := s.p.Evaluate(s.st, d, slots); geometry.Finite(other) {
			return (other - v) / dt, true
		}
	}
	return 0, false
}

func (s *Solution) metAt(d *geometry.Definition, slots [geometry.NumSlots]int) bool {
	why, _ := s.unmet(d, slots)
	return why == geometry.Measurable
}

// readsAddress reports whether a measure is counted since address.
func readsAddress(d *geometry.Definition) bool {
	for _, n := range d.Needs {
		for _, slot := range n.Slots {
			if slot == geometry.AtAddress {
				return true
			}
		}
	}
	return false
}

// secondsBetween is the time from one position to another on a clip that has both,
// or NaN.
func (s *Solution) secondsBetween(from, to int) float64 {
	a, b := s.sw.Positions[from].Seconds, s.sw.Positions[to].Seconds
	for c := range s.p.Clips {
		if c < len(a) && c < len(b) && geometry.Finite(a[c], b[c]) {
			return b[c] - a[c]
		}
	}
	return math.NaN()
}
