package fit

import (
	"fmt"
	"math"
	"strings"

	"turngauge/geometry"
)

// Measures returns every measure the marks determine, with its standard
// deviation from the posterior covariance of the fit, and for the others why
// they are missing. The order is that of the positions, then of Definitions.
func (s *Solution) Measures() ([]geometry.Measure, []geometry.Missing) {
	var out []geometry.Measure
	var missing []geometry.Missing
	for pos, name := range s.p.names {
		for _, d := range geometry.DefinitionsAt(name) {
			m, reason := s.measure(d, pos)
			if reason != "" {
				missing = append(missing, geometry.Missing{Name: d.Name, Position: name, Reason: reason})
				continue
			}
			out = append(out, m)
		}
	}
	m, miss := geometry.TempoMeasures(s.sw.Positions, len(s.sw.Clips))
	return append(out, m...), append(missing, miss...)
}

// Measure returns one measure, or why it is missing. A name that Definitions
// does not list, or a position the swing does not have, is missing too.
func (s *Solution) Measure(name string, position geometry.PositionName) (geometry.Measure, *geometry.Missing) {
	say := func(reason string) (geometry.Measure, *geometry.Missing) {
		return geometry.Measure{}, &geometry.Missing{Name: name, Position: position, Reason: reason}
	}
	pos := s.position(position)
	if pos < 0 {
		return say("set the position " + string(position))
	}
	tempo, missing := geometry.TempoMeasures(s.sw.Positions, len(s.sw.Clips))
	for i := range tempo {
		if tempo[i].Name == name {
			return tempo[i], nil
		}
	}
	for i := range missing {
		if missing[i].Name == name {
			return say(missing[i].Reason)
		}
	}
	d := geometry.DefinitionOf(name)
	if d == nil || !d.AppliesTo(position) {
		return say("there is no such measure at this position")
	}
	m, reason := s.measure(d, pos)
	if reason != "" {
		return say(reason)
	}
	return m, nil
}

func (s *Solution) position(name geometry.PositionName) int {
	for i, n := range s.p.names {
		if n == name {
			return i
		}
	}
	return -1
}

// slotPositions says which position each slot of a reader stands for; −1 where
// the swing has none.
func (s *Solution) slotPositions(pos int) [geometry.NumSlots]int {
	return [geometry.NumSlots]int{pos, s.p.address, s.position(geometry.ClubLevelBack)}
}

// measure evaluates one definition at a position, or says why it can't.
func (s *Solution) measure(d *geometry.Definition, pos int) (geometry.Measure, string) {
	slots := s.slotPositions(pos)
	if r := s.unmet(d, slots); r != "" {
		return geometry.Measure{}, r
	}
	v, gr := s.p.differentiate(s.st, d, slots)
	variance := s.post.solveFor(gr, true) + s.markingVariance()
	oneViewed := s.p.oneViewed(pos) || slots[geometry.AtAddress] >= 0 && s.p.oneViewed(slots[geometry.AtAddress])
	if oneViewed {
		variance += s.curvedVariance(d, slots, gr)
	}
	sigma := math.Sqrt(variance)
	if !geometry.Finite(v, sigma) {
		return geometry.Measure{}, "the marked points lie so that it is not defined: check them"
	}
	if oneViewed {
		v += s.towardMean(d, gr, sigma)
	}
	mean, sd, lo, hi, bimodal := s.blend(d, pos, slots, v, sigma)
	if bimodal {
		return geometry.Measure{}, s.bimodalReason(d, pos)
	}
	if sd > d.OpenSigma {
		return geometry.Measure{}, s.openReason(d, pos, sd)
	}
	m := d.Measure(s.p.names[pos], mean, sd, s.method(pos))
	m.Low95, m.High95 = lo, hi
	return m, ""
}

// method names how a measure at a position came about.
func (s *Solution) method(pos int) string {
	var seen [2]int
	for _, m := range s.p.marks[pos] {
		if s.p.views[m.clip] == geometry.FaceOn {
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

// unmet returns what has to be marked before a measure can be given, or "".
func (s *Solution) unmet(d *geometry.Definition, slots [geometry.NumSlots]int) string {
	var parts []string
	for _, n := range d.Needs {
		var where []string
		for _, slot := range n.Slots {
			pos := slots[slot]
			if pos < 0 {
				name := geometry.Address
				if slot == geometry.Before {
					name = geometry.ClubLevelBack
				}
				where = append(where, name.At())
				continue
			}
			have := 0
			for _, pt := range n.Points {
				if s.p.marked[pos][pt] {
					have++
				}
			}
			if have < n.Least {
				where = append(where, s.p.names[pos].At())
			}
		}
		if len(where) > 0 {
			parts = append(parts, n.Text+" "+strings.Join(where, " and "))
		}
	}
	if len(parts) > 0 {
		return "mark " + strings.Join(parts, "; ")
	}
	for _, v := range d.Views {
		for _, n := range d.Needs {
			for _, slot := range n.Slots {
				if !s.p.markedIn(v, slots[slot], n.Points) {
					return fmt.Sprintf("one view alone does not give it: mark %s %s %s", n.Text, s.p.names[slots[slot]].At(), v)
				}
			}
		}
	}
	return ""
}

// markedIn reports whether any of the points is marked in a view at a
// position.
func (p *problem) markedIn(v geometry.View, pos int, points []geometry.Point) bool {
	for i := range p.marks[pos] {
		m := &p.marks[pos][i]
		if p.views[m.clip] != v {
			continue
		}
		for _, pt := range points {
			if m.pt == pt {
				return true
			}
		}
	}
	return false
}

// openReason says that the marks leave a measure open, and which mark would
// settle it.
func (s *Solution) openReason(d *geometry.Definition, pos int, sigma float64) string {
	text := fmt.Sprintf("the marks leave it open (±%s)", amount(geometry.Z95*sigma, d.Unit))
	if n := s.Suggest(d.Name, s.p.names[pos], 1); len(n) > 0 {
		return text + ": " + n[0].Advice
	}
	return text
}

// bimodalReason says that a mirror image can't be ruled out.
func (s *Solution) bimodalReason(d *geometry.Definition, pos int) string {
	text := "from one view it could also be turned the other way"
	if n := s.Suggest(d.Name, s.p.names[pos], 1); len(n) > 0 {
		return fmt.Sprintf("%s: mark the %s %s %s", text, n[0].Point, s.p.names[n[0].Position].At(), s.p.views[n[0].Clip])
	}
	return text + ": add the other view"
}

// amount writes a half interval with its unit.
func amount(v float64, u geometry.Unit) string {
	switch u {
	case geometry.Ratio:
		return fmt.Sprintf("%.2f", v)
	case geometry.Percent:
		return fmt.Sprintf("%.0f %%", v)
	default:
		return fmt.Sprintf("%.1f %s", v, u)
	}
}

// pose returns a state's points as a measure reads them.
func (p *problem) pose(st *state, slots [geometry.NumSlots]int) *geometry.Pose {
	return &geometry.Pose{Sex: p.golfer.Sex, StatureM: p.statureM, Finish: p.names[slots[geometry.Here]] == geometry.Finish,
		At: func(slot geometry.Slot, pt geometry.Point) geometry.WorldPt { return st.at(slots[slot], pt) }}
}

// evaluate evaluates a definition at a state.
func (p *problem) evaluate(st *state, d *geometry.Definition, slots [geometry.NumSlots]int) float64 {
	return d.Value(p.pose(st, slots))
}

// differentiate evaluates a definition at a state with its gradient.
func (p *problem) differentiate(st *state, d *geometry.Definition, slots [geometry.NumSlots]int) (float64, *gradient) {
	v, by := d.Gradient(p.pose(st, slots))
	gr := &gradient{p: by}
	for slot := range by {
		gr.pos[slot] = -1
		if by[slot] != nil {
			gr.pos[slot] = slots[slot]
		}
	}
	return v, gr
}
