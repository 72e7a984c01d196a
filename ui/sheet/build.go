package sheet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"turngauge/geometry"
	"turngauge/ui/draw"
)

// Target is a target range and where it comes from, in the measure's unit.
type Target struct {
	Range  geometry.Range
	Source string
}

// Input is what a sheet is built from.
type Input struct {
	Measures []geometry.Measure
	Missing  []geometry.Missing
	// Previous holds the measures of the lesson to compare with, if any.
	Previous []geometry.Measure
	// Target returns the target range of a measure, if there is one; nil
	// means that there are none.
	Target func(name string, pos geometry.PositionName) (Target, bool)
	// Advice returns what would sharpen a measure, or "". It may be nil.
	Advice func(name string, pos geometry.PositionName) string
	// Positive returns what a positive value means. It may be nil.
	Positive func(name string) string
	// Imperial shows centimetres as inches.
	Imperial bool
	// Empty is the text of a sheet without rows.
	Empty string
}

const z95 = 1.959963984540054 // standard normal quantile of 97.5 %

// Build makes the sheet's model. Rows stand in a fixed order, whether measured
// or missing, so that none jumps while a swing is being marked.
func Build(in Input) *Model {
	m := &Model{Empty: in.Empty, Asked: len(in.Measures) + len(in.Missing), Measured: len(in.Measures)}
	if m.Empty == "" {
		m.Empty = "Nothing is measured yet. Set the address position and mark the hips, shoulders and feet; the numbers appear here as you go."
	}
	previous := make(map[string]*geometry.Measure, len(in.Previous))
	for i := range in.Previous {
		p := &in.Previous[i]
		previous[Key(p.Name, p.Position)] = p
	}
	rows := make(map[geometry.Group][]Row)
	seen := make(map[string]bool)
	for i := range in.Measures {
		x := &in.Measures[i]
		g := x.Group
		if g == "" {
			g = groupOf(x.Position)
		}
		r := in.measured(x, previous[Key(x.Name, x.Position)])
		seen[r.Key] = true
		rows[g] = append(rows[g], r)
	}
	for _, x := range in.Missing {
		key := Key(x.Name, x.Position)
		if seen[key] {
			m.Asked--
			continue
		}
		g := groupOf(x.Position)
		rows[g] = append(rows[g], Row{Key: key, Name: sentence(x.Name), Position: x.Position, Missing: x.Reason})
	}
	m.counted = strconv.Itoa(m.Measured) + " of " + strconv.Itoa(m.Asked) + " measured"
	for _, g := range []geometry.Group{geometry.SetUp, geometry.Backswing, geometry.Downswing, geometry.Strike} {
		if rs := rows[g]; len(rs) > 0 {
			m.Groups = append(m.Groups, group(g, rs))
		}
	}
	return m
}

func group(g geometry.Group, rows []Row) Group {
	slices.SortStableFunc(rows, func(a, b Row) int {
		if d := positionOrder(a.Position) - positionOrder(b.Position); d != 0 {
			return d
		}
		return order(strings.ToLower(a.Name)) - order(strings.ToLower(b.Name))
	})
	out := Group{Title: sentence(string(g)), Rows: rows}
	for i := range rows {
		r := &rows[i]
		if r.Missing == "" {
			out.Measured++
		}
		if g != geometry.SetUp || r.Position != geometry.Address {
			r.At = string(r.Position)
		}
		r.finish()
	}
	return out
}

func positionOrder(p geometry.PositionName) int {
	if i := slices.Index(geometry.KeyPositions, p); i >= 0 {
		return i
	}
	return len(geometry.KeyPositions)
}

// groupOf returns the group of a measure that does not say.
func groupOf(p geometry.PositionName) geometry.Group {
	switch p {
	case geometry.Address:
		return geometry.SetUp
	case geometry.Delivery:
		return geometry.Downswing
	case geometry.Impact, geometry.Finish:
		return geometry.Strike
	default:
		return geometry.Backswing
	}
}

func (in *Input) measured(x, previous *geometry.Measure) Row {
	u := notationOf(x.Unit, in.Imperial)
	r := Row{
		Key: Key(x.Name, x.Position), Name: sentence(x.Name), Position: x.Position,
		Value: x.Value * u.factor, Low: x.Low95 * u.factor, High: x.High95 * u.factor,
		Definition: x.Definition, Method: x.Method,
	}
	r.Number = u.number(r.Value)
	r.PlusMinus = u.plusMinus((r.High - r.Low) / 2)
	r.Interval = u.between(r.Low, r.High)
	s := defaultSpan(x.Name, x.Position, x.Unit)
	if in.Advice != nil {
		r.Advice = in.Advice(x.Name, x.Position)
	}
	if in.Positive != nil {
		r.Positive = in.Positive(x.Name)
	}
	if in.Target != nil {
		if t, ok := in.Target(x.Name, x.Position); ok {
			r.HasTarget, r.Source = true, t.Source
			r.TargetLow, r.TargetHigh = t.Range.Low*u.factor, t.Range.High*u.factor
			r.Target = u.target(r.TargetLow, r.TargetHigh)
			v, below, within, above := geometry.Judge(x.Value, x.Sigma, t.Range)
			r.Verdict = draw.ParseVerdict(string(v))
			r.Chances = chances(below, within, above)
			s = s.include(t.Range.Low).include(t.Range.High)
		}
	}
	if p := previous; p != nil {
		r.HasPrevious = true
		r.Previous, r.PreviousLow, r.PreviousHigh = p.Value*u.factor, p.Low95*u.factor, p.High95*u.factor
		r.PreviousNumber = u.number(r.Previous) + " " + u.plusMinus((r.PreviousHigh-r.PreviousLow)/2)
		// The two lessons are marked independently, so their variances add.
		half := z95 * math.Hypot(x.Sigma, p.Sigma) * u.factor
		d := r.Value - r.Previous
		r.Change = u.signed(d) + " " + u.plusMinus(half)
		r.ChangeReal = math.Abs(d) > half
		s = s.include(p.Value)
	}
	s = s.include(x.Value)
	r.scale = span{s.low * u.factor, s.high * u.factor}
	return r
}

// finish makes the texts that are drawn from the others.
func (r *Row) finish() {
	r.label = r.Title()
	r.described = strings.ReplaceAll(r.Text(), "\t", ", ")
	r.defined = sentence(r.Definition)
	if r.Positive != "" {
		r.defined = strings.TrimSuffix(r.defined, ".") + ". Positive: " + strings.TrimSuffix(r.Positive, ".") + "."
	}
	add := func(name, text string, accent bool) {
		if text != "" {
			r.facts = append(r.facts, fact{name, text, accent})
		}
	}
	add("Sharper", sentence(r.Advice), true)
	if r.Missing != "" {
		return
	}
	add("Interval", "95 %: "+r.Interval, false)
	if r.HasTarget {
		target := r.Target
		if r.Chances != "" {
			target += ": " + r.Chances
		}
		add("Target", target, false)
		add("Source", r.Source, false)
	}
	if r.HasPrevious {
		add("Before", r.PreviousNumber, false)
		add("Change", r.Change+", "+r.ChangeWord(), false)
	}
	add("Method", r.Method, false)
}

func chances(below, within, above float64) string {
	var parts []string
	for _, c := range []struct {
		p    float64
		word string
	}{{below, "below"}, {within, "within"}, {above, "above"}} {
		if c.p >= 0.005 {
			parts = append(parts, percent(c.p)+" "+c.word)
		}
	}
	return strings.Join(parts, ", ")
}

// sentence returns s with its first letter in upper case.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
