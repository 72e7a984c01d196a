package geometry

import (
	"fmt"
	"math"
	"strings"
)

func newMeasure(d *Definition, pos PositionName, v, sigma float64, method string) Measure {
	g := d.Group
	if g == "" {
		g = GroupOf(pos)
	}
	return Measure{Name: d.Name, Position: pos, Definition: d.Definition, Group: g, Unit: d.Unit,
		Value: v, Sigma: sigma, Low95: v - z95*sigma, High95: v + z95*sigma, Method: method}
}

// Measures returns every measure the marks determine, with its standard
// deviation from the posterior covariance of the fit, and for the others why
// they are missing. The order is that of the positions, then of Definitions.
func (s *Solution) Measures() ([]Measure, []Missing) {
	var out []Measure
	var missing []Missing
	for pos, name := range s.p.names {
		for i := range definitions {
			d := &definitions[i]
			if !d.appliesTo(name) {
				continue
			}
			m, reason := s.measure(d, pos)
			if reason != "" {
				missing = append(missing, Missing{Name: d.Name, Position: name, Reason: reason})
				continue
			}
			out = append(out, m)
		}
	}
	m, miss := tempoMeasures(s.sw.Positions, len(s.sw.Clips))
	return append(out, m...), append(missing, miss...)
}

// Measure returns one measure, or why it is missing. A name that Definitions
// does not list, or a position the swing does not have, is missing too.
func (s *Solution) Measure(name string, position PositionName) (Measure, *Missing) {
	say := func(reason string) (Measure, *Missing) {
		return Measure{}, &Missing{Name: name, Position: position, Reason: reason}
	}
	pos := s.position(position)
	if pos < 0 {
		return say("set the position " + string(position))
	}
	for i := range tempoDefinitions {
		if tempoDefinitions[i].Name == name {
			all, miss := tempoMeasures(s.sw.Positions, len(s.sw.Clips))
			if len(miss) > 0 {
				return say(miss[i].Reason)
			}
			return all[i], nil
		}
	}
	d := definitionOf(name)
	if d == nil || !d.appliesTo(position) {
		return say("there is no such measure at this position")
	}
	m, reason := s.measure(d, pos)
	if reason != "" {
		return say(reason)
	}
	return m, nil
}

func (s *Solution) position(name PositionName) int {
	for i, n := range s.p.names {
		if n == name {
			return i
		}
	}
	return -1
}

// slotPositions says which position each slot of a reader stands for; −1 where
// the swing has none.
func (s *Solution) slotPositions(pos int) [numSlots]int {
	return [numSlots]int{pos, s.p.address, s.position(ClubLevelBack)}
}

// measure evaluates one definition at a position, or says why it can't.
func (s *Solution) measure(d *Definition, pos int) (Measure, string) {
	slots := s.slotPositions(pos)
	if r := s.unmet(d, slots); r != "" {
		return Measure{}, r
	}
	v, gr := s.p.differentiate(s.st, d, slots)
	variance := s.post.solveFor(gr, true) + s.markingVariance()
	oneViewed := s.p.oneViewed(pos) || slots[atAddress] >= 0 && s.p.oneViewed(slots[atAddress])
	if oneViewed {
		variance += s.curvedVariance(d, slots, gr)
	}
	sigma := math.Sqrt(variance)
	if !finite(v, sigma) {
		return Measure{}, "the marked points lie so that it is not defined: check them"
	}
	if oneViewed {
		v += s.towardMean(d, gr, sigma)
	}
	mean, sd, lo, hi, twofold := s.blend(d, pos, slots, v, sigma)
	if twofold {
		return Measure{}, s.twofoldReason(d, pos)
	}
	if sd > d.open {
		return Measure{}, s.openReason(d, pos, sd)
	}
	m := newMeasure(d, s.p.names[pos], mean, sd, s.method(pos))
	m.Low95, m.High95 = lo, hi
	return m, ""
}

// method names how a measure at a position came about.
func (s *Solution) method(pos int) string {
	var seen [2]int
	for _, m := range s.p.marks[pos] {
		if s.p.views[m.clip] == FaceOn {
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
func (s *Solution) unmet(d *Definition, slots [numSlots]int) string {
	var parts []string
	for _, n := range d.needs {
		var where []string
		for _, slot := range n.slots {
			pos := slots[slot]
			if pos < 0 {
				name := Address
				if slot == before {
					name = ClubLevelBack
				}
				where = append(where, atPosition(name))
				continue
			}
			have := 0
			for _, pt := range n.points {
				if s.p.marked[pos][pt] {
					have++
				}
			}
			if have < n.least {
				where = append(where, atPosition(s.p.names[pos]))
			}
		}
		if len(where) > 0 {
			parts = append(parts, n.text+" "+strings.Join(where, " and "))
		}
	}
	if len(parts) > 0 {
		return "mark " + strings.Join(parts, "; ")
	}
	for _, v := range d.views {
		for _, n := range d.needs {
			for _, slot := range n.slots {
				if !s.p.markedIn(v, slots[slot], n.points) {
					return fmt.Sprintf("one view alone does not give it: mark %s %s %s", n.text, atPosition(s.p.names[slots[slot]]), v)
				}
			}
		}
	}
	return ""
}

// markedIn reports whether any of the points is marked in a view at a
// position.
func (p *problem) markedIn(v View, pos int, points []Point) bool {
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

// atPosition puts a position's name into a sentence.
func atPosition(p PositionName) string {
	switch p {
	case Top, Finish:
		return "at the " + string(p)
	default:
		return "at " + string(p)
	}
}

// openReason says that the marks leave a measure open, and which mark would
// settle it.
func (s *Solution) openReason(d *Definition, pos int, sigma float64) string {
	text := fmt.Sprintf("the marks leave it open (±%s)", amount(z95*sigma, d.Unit))
	if n := s.Suggest(d.Name, s.p.names[pos], 1); len(n) > 0 {
		return text + ": " + n[0].Advice
	}
	return text
}

// twofoldReason says that a mirror image can't be ruled out.
func (s *Solution) twofoldReason(d *Definition, pos int) string {
	text := "from one view it could also be turned the other way"
	if n := s.Suggest(d.Name, s.p.names[pos], 1); len(n) > 0 {
		return fmt.Sprintf("%s: mark the %s %s %s", text, n[0].Point, atPosition(s.p.names[n[0].Position]), s.p.views[n[0].Clip])
	}
	return text + ": add the other view"
}

// amount writes a half interval with its unit.
func amount(v float64, u Unit) string {
	switch u {
	case Ratio:
		return fmt.Sprintf("%.2f", v)
	case Percent:
		return fmt.Sprintf("%.0f %%", v)
	default:
		return fmt.Sprintf("%.1f %s", v, u)
	}
}

// reader returns a reader of a state's points.
func (p *problem) reader(st *state, slots [numSlots]int) *reader {
	r := &reader{sex: p.golfer.Sex, statureM: p.statureM, finish: p.names[slots[here]] == Finish, seedSlot: -1}
	r.at = func(slot int, pt Point) [3]float64 {
		x := st.p[slots[slot]][3*pt:]
		return [3]float64{x[0], x[1], x[2]}
	}
	return r
}

// evaluate evaluates a definition at a state.
func (p *problem) evaluate(st *state, d *Definition, slots [numSlots]int) float64 {
	return d.value(p.reader(st, slots)).v
}

// differentiate evaluates a definition at a state with its gradient.
func (p *problem) differentiate(st *state, d *Definition, slots [numSlots]int) (float64, *gradient) {
	var used [numSlots][numBody]bool
	r := p.reader(st, slots)
	r.used = &used
	v := d.value(r)
	r.used = nil
	gr := &gradient{}
	for slot := range used {
		gr.pos[slot] = -1
		for pt := range used[slot] {
			if !used[slot][pt] {
				continue
			}
			if gr.pos[slot] < 0 {
				gr.pos[slot] = slots[slot]
				gr.p[slot] = make([]float64, blockSize)
			}
			for i := 0; i < 3; i++ {
				r.seedSlot, r.seedIndex = slot, 3*pt+i
				gr.p[slot][3*pt+i] = d.value(r).d
			}
		}
	}
	return v.v, gr
}

// MeasuresOf evaluates every measure on known 3-D points: points holds, for
// each position, the place of every point in the world frame, metres. It
// serves to state the truth of a made-up or captured golfer under the very
// definitions the fit uses; sigmas are zero. The golfer's StatureM and Sex are
// used where a definition asks for them.
func MeasuresOf(g Golfer, positions []Position, points [][NumPoints]WorldPt) []Measure {
	sw := Swing{Golfer: g, Positions: positions}
	p := newProblem(&sw)
	st := &state{}
	for i := range positions {
		st.p = append(st.p, make([]float64, blockSize))
		for pt := Point(0); pt < Point(numBody); pt++ {
			st.set(i, pt, points[i][pt])
		}
	}
	s := Solution{p: p, st: st, sw: sw}
	var out []Measure
	for pos, name := range p.names {
		slots := s.slotPositions(pos)
		for i := range definitions {
			d := &definitions[i]
			if !d.appliesTo(name) || !s.covered(d, pos) {
				continue
			}
			if v, _ := p.differentiate(st, d, slots); finite(v) {
				out = append(out, newMeasure(d, name, v, 0, "known points"))
			}
		}
	}
	return out
}
