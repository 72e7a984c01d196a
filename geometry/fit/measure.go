package fit

import (
	"math"

	"turngauge/geometry"
)

// Measures returns every measure the marks determine, with its standard
// deviation from the posterior covariance of the fit, and for the others why
// they are missing. The order is that of the positions, then of Definitions.
//
// Values and standard deviations are in the unit of the definition, degrees or centimetres
// mostly, in the world of the right-hander's mirror image where the golfer is left-handed: a turn
// away from the target is positive for both. The 95 % interval is Low95 to High95, which is not
// symmetric where mirror images join in. The cost is one solve a measure, 12 ms for a full swing.
func (s *Solution) Measures() ([]geometry.Measure, []geometry.Missing) {
	var out []geometry.Measure
	var missing []geometry.Missing
	for pos, name := range s.p.Names {
		for _, d := range geometry.DefinitionsAt(name) {
			if s.withheld(d, pos) {
				missing = append(missing, s.mistaken(d.Name, name))
				continue
			}
			m, miss := s.measure(d, pos)
			if miss.Why != geometry.Measurable {
				missing = append(missing, miss)
				continue
			}
			out = append(out, m)
		}
	}
	m, miss := geometry.TempoMeasures(s.sw.Positions, s.sw.Clips)
	if s.spoilt() {
		for i := range m {
			missing = append(missing, s.mistaken(m[i].Name, m[i].Position))
		}
		m = nil
	}
	return append(out, m...), append(missing, miss...)
}

// Measure returns one measure, or why it is missing. A name that Definitions
// does not list, or a position the swing does not have, is missing too.
func (s *Solution) Measure(name string, position geometry.PositionName) (geometry.Measure, *geometry.Missing) {
	say := func(why geometry.Why) (geometry.Measure, *geometry.Missing) {
		return geometry.Measure{}, &geometry.Missing{Name: name, Position: position, Why: why}
	}
	pos := s.position(position)
	if pos < 0 {
		return say(geometry.NoPosition)
	}
	tempo, missing := geometry.TempoMeasures(s.sw.Positions, s.sw.Clips)
	for i := range tempo {
		if tempo[i].Name == name {
			if s.spoilt() {
				miss := s.mistaken(name, position)
				return geometry.Measure{}, &miss
			}
			return tempo[i], nil
		}
	}
	for i := range missing {
		if missing[i].Name == name {
			return geometry.Measure{}, &missing[i]
		}
	}
	d := geometry.DefinitionOf(name)
	if d == nil || !d.AppliesTo(position) {
		return say(geometry.NoSuchMeasure)
	}
	if s.withheld(d, pos) {
		miss := s.mistaken(name, position)
		return geometry.Measure{}, &miss
	}
	m, missed := s.measure(d, pos)
	if missed.Why != geometry.Measurable {
		return geometry.Measure{}, &missed
	}
	return m, nil
}

func (s *Solution) mistaken(name string, position geometry.PositionName) geometry.Missing {
	return geometry.Missing{Name: name, Position: position, Why: geometry.Mistaken, Mistake: s.Mistake}
}

// spoilt reports whether a mistake of the whole swing makes every number wrong.
func (s *Solution) spoilt() bool { return s.Mistake.WithholdsAll() }

// withheld reports whether a mistake spoils a measure at a position: one of another
// instant those that read that position.
//
// A position of another instant (geometry.OtherInstant) spoils what is read there and leaves the
// rest, since each position's points are its own; all other mistakes are of cameras or of the
// body, which every position shares.
func (s *Solution) withheld(d *geometry.Definition, pos int) bool {
	if s.Mistake == nil || s.Mistake.What != geometry.OtherInstant {
		return s.spoilt()
	}
	slots := s.slotPositions(pos)
	for _, n := range d.Needs {
		for _, slot := range n.Slots {
			if slots[slot] == s.Mistake.Position {
				return true
			}
		}
	}
	return false
}

func (s *Solution) position(name geometry.PositionName) int {
	for i, n := range s.p.Names {
		if n == name {
			return i
		}
	}
	return -1
}

// slotPositions says which position each slot of a reader stands for; −1 where
// the swing has none.
//
// Definitions are written for slots and not for positions: the place itself, address, of what
// is counted since then, and the key position before, of what is a path.
func (s *Solution) slotPositions(pos int) [geometry.NumSlots]int {
	return [geometry.NumSlots]int{pos, s.p.Address, s.position(geometry.ClubLevelBack)}
}

// mostRepeated is which part of a measure's variance may repeat itself in other swings for
// it to be put together with theirs.
const mostRepeated = 0.1

// measure evaluates one definition at a position, or says why it can't.
func (s *Solution) measure(d *geometry.Definition, pos int) (geometry.Measure, geometry.Missing) {
	slots := s.slotPositions(pos)
	not := geometry.Missing{Name: d.Name, Position: s.p.Names[pos]}
	if not.Why, not.Wanted = s.unmet(d, slots); not.Why != geometry.Measurable {
		return geometry.Measure{}, not
	}
	// The variance of a measure f has, in this order,
	//
	//	gᵀ C g        g the gradient of f, C the posterior's covariance: clicks,
	//	              cloth, priors, cameras, frames with an unknown of their own
	//	left          offsets that move with the body, marks on the wrong thing
	//	curvature     second order, where a depth is open
	//	instant       rate of f times what the frame is off the instant
	//
	// and its root is widened for the variance components' own uncertainty.
	v, gr := s.p.Differentiate(s.st, d, slots)
	variance := s.post.SolveFor(gr, true)
	shared := s.post.SharedVariance()
	steady := s.post.CovarianceWithSteady()
	left, always, repeated, by := s.markingVariance()
	variance += left
	shared += always + repeated
	oneViewed := s.p.OneViewed(pos) || slots[geometry.AtAddress] >= 0 && s.p.OneViewed(slots[geometry.AtAddress])
	if oneViewed {
		variance += s.post.CurvedVariance(d, slots, gr)
	}
	variance += s.instantVariance(d, pos, v)
	wider := s.widening(&by, variance)
	sigma := math.Sqrt(variance) * wider
	if !geometry.Finite(v, sigma) {
		not.Why = geometry.NotDefined
		return geometry.Measure{}, not
	}
	if oneViewed {
		v += s.post.TowardMean(d.Chain, gr, sigma)
	}
	// What one picture can't tell from this solution joins last: as a mixture.
	mean, sd, lo, hi, bimodal := s.blend(d, pos, slots, v, sigma)
	// Two answers far apart, each likely: a mean between them is a value that nobody holds to be
	// true, so none is given.
	if bimodal {
		not.Why, not.Best = geometry.Ambiguous, s.settles(d, pos)
		return geometry.Measure{}, not
	}
	// OpenSigma is about what any golfer's own spread is: the number would say no more than that he
	// plays golf.
	if sd > d.OpenSigma {
		not.Why, not.HalfWidth, not.Unit, not.Best = geometry.LeftOpen, geometry.Z95*sd, d.Unit, s.settles(d, pos)
		return geometry.Measure{}, not
	}
	m := d.Measure(s.p.Names[pos], mean, sd, s.method(pos))
	m.Low95, m.High95 = lo, hi
	// See Shares. What repeats itself in every swing is no independent knowledge of what they
	// share.
	if !oneViewed && repeated < mostRepeated*variance {
		if s.hanging == nil {
			s.hanging = make(map[measureAt]hanging)
		}
		s.hanging[measureAt{m.Name, m.Position}] = hanging{steady, wider}
	}
	m.Shared, m.Lasting = min(math.Sqrt(shared)*wider, sd), min(math.Sqrt(always)*wider, sd)
	return m, geometry.Missing{}
}

// method names how a measure at a position came about.
func (s *Solution) method(pos int) string {
	var seen [2]int
	for _, m := range s.p.Marks[pos] {
		if s.p.Views[m.Clip] == geometry.FaceOn {
			seen[0]++
		} else {
			seen[1]++
		}
	}
	switch {
	case seen[0] > 0 && seen[1] > 0:
		return "joint fit, 2 views"
	case seen[0] > 0:
		return "joint fit, face-on alone"
	default:
		return "joint fit, down-the-line alone"
	}
}

// unmet returns what has to be marked before a measure can be given.
//
// First what is not marked anywhere, which no fit makes up for; then what a definition needs a
// certain view for (Definition.Views), since a depth from one picture alone has its prior's
// width. Measurable is the answer where nothing is wanting; it says nothing yet of how well.
func (s *Solution) unmet(d *geometry.Definition, slots [geometry.NumSlots]int) (geometry.Why, []geometry.Wanted) {
	var wanted []geometry.Wanted
	for _, n := range d.Needs {
		w := geometry.Wanted{Need: n}
		for _, slot := range n.Slots {
			pos := slots[slot]
			if pos < 0 {
				name := geometry.Address
				if slot == geometry.Before {
					name = geometry.ClubLevelBack
				}
				w.Positions = append(w.Positions, name)
				continue
			}
			have := 0
			for _, pt := range n.Points {
				if s.p.Marked[pos][pt] {
					have++
				}
			}
			if have < n.Least {
				w.Positions = append(w.Positions, s.p.Names[pos])
			}
		}
		if len(w.Positions) > 0 {
			wanted = append(wanted, w)
		}
	}
	if len(wanted) > 0 {
		return geometry.NotMarked, wanted
	}
	for _, v := range d.Views {
		for _, n := range d.Needs {
			for _, slot := range n.Slots {
				if pos := slots[slot]; !s.markedIn(v, pos, n.Points) {
					return geometry.OneViewOnly, []geometry.Wanted{{Need: n, Positions: []geometry.PositionName{s.p.Names[pos]}, View: v}}
				}
			}
		}
	}
	return geometry.Measurable, nil
}

// markedIn reports whether any of the points is marked in a view at a
// position.
func (s *Solution) markedIn(v geometry.View, pos int, points []geometry.Point) bool {
	for i := range s.p.Marks[pos] {
		m := &s.p.Marks[pos][i]
		if s.p.Views[m.Clip] != v {
			continue
		}
		for _, pt := range points {
			if m.Point == pt {
				return true
			}
		}
	}
	return false
}

// settles returns the mark that would sharpen a measure most, or nil.
//
// It is what Missing.Best tells the coach to mark next.
func (s *Solution) settles(d *geometry.Definition, pos int) *geometry.Suggestion {
	if n := s.Suggest(d.Name, s.p.Names[pos], 1); len(n) > 0 {
		return &n[0]
	}
	return nil
}
