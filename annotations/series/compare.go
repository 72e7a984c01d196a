package series

import (
	"turngauge/annotations"
	"turngauge/geometry"
)

// A Comparison holds swings against others of the same student: those of an earlier
// visit, or of the same visit without what was tried. Both have a swing at least.
type Comparison struct {
	Earlier, Later []*annotations.Result
	// Others are further visits, which tell how far his swings differ.
	Others [][]*annotations.Result
}

// A Change is what became of one measure.
type Change struct {
	Name       string
	Definition string
	Position   geometry.PositionName
	Group      geometry.Group
	Unit       geometry.Unit
	geometry.Change
	Target *annotations.Target // nil for none
}

// VisitOf returns a measure at a position in the swings that have it.
func VisitOf(results []*annotations.Result, name string, position geometry.PositionName) geometry.Visit {
	var v geometry.Visit
	for _, r := range results {
		if m := r.Find(name, position); m != nil {
			v = append(v, m.Occasion())
		}
	}
	return v
}

// Of compares one measure; ok is false where it was not measured on both sides.
func (c *Comparison) Of(name string, position geometry.PositionName, unit geometry.Unit) (change geometry.Change, ok bool) {
	earlier, later := VisitOf(c.Earlier, name, position), VisitOf(c.Later, name, position)
	if len(earlier) == 0 || len(later) == 0 {
		return geometry.Change{}, false
	}
	var others []geometry.Visit
	for _, o := range c.Others {
		if v := VisitOf(o, name, position); len(v) > 0 {
			others = append(others, v)
		}
	}
	return geometry.Compare(earlier, later, others, geometry.UsualSpread(name, unit)), true
}

// All compares all measures that both sides have, in the order of the later one.
func (c *Comparison) All() []Change {
	var out []Change
	seen := map[string]bool{}
	for _, r := range c.Later {
		for i := range r.Measures {
			m := &r.Measures[i]
			key := m.Name + "\x00" + string(m.Position)
			if seen[key] {
				continue
			}
			seen[key] = true
			if x, ok := c.Of(m.Name, m.Position, m.Unit); ok {
				out = append(out, Change{Name: m.Name, Definition: m.Definition, Position: m.Position, Group: m.Group, Unit: m.Unit, Change: x, Target: m.Target})
			}
		}
	}
	return out
}

// Tries compares the swings of a visit in which something was tried with the usual
// ones of it and the same group of clubs: one Comparison for each thing tried. Where a
// visit has no usual swings there are none.
func Tries(results []*annotations.Result) []Comparison {
	var out []Comparison
	var done []*annotations.Result
next:
	for _, r := range results {
		if r.Swing().Tried == "" || len(r.Measures) == 0 {
			continue
		}
		for _, d := range done {
			if alike(d, r) {
				continue next
			}
		}
		done = append(done, r)
		if usual := usualOf(r, results); len(usual) > 0 {
			c := Comparison{Earlier: usual, Later: Alike(r, results)}
			out = append(out, c)
		}
	}
	return out
}

func usualOf(r *annotations.Result, results []*annotations.Result) []*annotations.Result {
	var out []*annotations.Result
	for _, x := range results {
		if x.Swing().Tried == "" && x.Swing().Club.Group() == r.Swing().Club.Group() && len(x.Measures) > 0 {
			out = append(out, x)
		}
	}
	return out
}

// Between compares the swings of an earlier visit with those of a later one that were
// swung as a swing of it was: under the same label of what was tried, where the earlier
// visit has such, and else his usual ones; with the same group of clubs, where there are
// such. ok is false where one side has none.
func Between(r *annotations.Result, later, earlier []*annotations.Result, others ...[]*annotations.Result) (c Comparison, ok bool) {
	c.Later, c.Earlier = Alike(r, later), Alike(r, earlier)
	if len(c.Earlier) == 0 {
		c.Earlier = usualOf(r, earlier)
	}
	if len(c.Earlier) == 0 { // another club is better than nothing: the first swing and its like
		for _, x := range earlier {
			if len(x.Measures) > 0 {
				c.Earlier = Alike(x, earlier)
				break
			}
		}
	}
	for _, o := range others {
		if a := Alike(r, o); len(a) > 0 {
			c.Others = append(c.Others, a)
		}
	}
	return c, len(c.Later) > 0 && len(c.Earlier) > 0
}
