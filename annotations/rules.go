package annotations

import (
	"cmp"
	_ "embed" // the rules the program starts with
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Rule turns a verdict on a measure into a sentence that a student
// understands, with what usually helps. Texts may hold the places that
// words.Filled fills: {value}, {interval}, {target} and others.
type Rule struct {
	ID       string                `json:"id"`
	Measure  string                `json:"measure"`            // name as in geometry.Definitions
	Position geometry.PositionName `json:"position,omitempty"` // "" for every one
	Side     geometry.Verdict      `json:"side"`               // Below or Above
	Weight   float64               `json:"weight"`             // of the likely effect on the shot, 1 to 10; a coach's judgement
	Text     string                `json:"text"`
	SetUp    string                `json:"set_up,omitempty"`
	Feel     string                `json:"feel,omitempty"`
	Drill    string                `json:"drill,omitempty"`
	With     []Link                `json:"with,omitempty"`
	Source   string                `json:"source"` // or that there is none
}

// Link is another verdict that often goes together with a rule's, and why.
type Link struct {
	Measure  string                `json:"measure"`
	Position geometry.PositionName `json:"position,omitempty"`
	Side     geometry.Verdict      `json:"side"`
	Hint     string                `json:"hint"`
}

// Rules is a list of rules; of several for one verdict the last counts, so
// that a coach's own may be put after the defaults.
type Rules []Rule

//go:embed rules.json
var defaultRules []byte

// DefaultRules returns the rules the program starts with.
func DefaultRules() Rules {
	r, err := ParseRules(defaultRules)
	if err != nil {
		panic(err) // a test reads them
	}
	return r
}

// ParseRules reads a list of rules from JSON. The error is Faults with every
// fault and its JSON path, or says that it is no such list.
func ParseRules(data []byte) (Rules, error) {
	var rules Rules
	if err := json.Unmarshal(data, &rules); err != nil {
		return nil, fmt.Errorf("the rules can't be read: %w", err)
	}
	known := make(map[string]bool)
	for _, d := range geometry.Definitions() {
		known[d.Name] = true
	}
	var f Faults
	for i := range rules {
		rules[i].Measure = geometry.PresentName(rules[i].Measure)
		r, at := rules[i], index(i)
		if !known[r.Measure] {
			f.add(at+".measure", "%s is not a measure of this program", words.Quote(r.Measure))
		}
		if r.Side != geometry.Below && r.Side != geometry.Above {
			f.add(at+".side", "must be %q or %q", geometry.Below, geometry.Above)
		}
		if r.Text == "" {
			f.add(at+".text", "is missing")
		}
		if r.Source == "" {
			f.add(at+".source", "is missing; say where the rule comes from, or %q", "common practice, no source")
		}
		for k := range r.With {
			l := &r.With[k]
			l.Measure = geometry.PresentName(l.Measure)
			if !known[l.Measure] {
				f.add(fmt.Sprintf("%s.with[%d].measure", at, k), "%s is not a measure of this program", words.Quote(l.Measure))
			}
		}
	}
	if len(f) > 0 {
		return nil, f
	}
	return rules, nil
}

// find returns the rule for a verdict.
func (r Rules) find(m *Measured) (Rule, bool) {
	for i := len(r) - 1; i >= 0; i-- {
		if x := r[i]; x.Measure == m.Name && x.Side == m.Verdict && (x.Position == "" || x.Position == m.Position) {
			return x, true
		}
	}
	return Rule{}, false
}

// Proposal is a finding that the rules suggest, for the coach to take, edit or
// leave.
type Proposal struct {
	Finding // without an ID
	// Source is where its rule comes from.
	Source string
	// Hints are other verdicts of the swing that often go together with it,
	// never certainties.
	Hints []string
	// SetUp, Feel and Drill are what the rule would prescribe, or "".
	SetUp, Feel, Drill string

	weight float64
}

// defaultWeight is that of a verdict without a rule.
const defaultWeight = 1

// Propose returns findings for the measures of a swing that are surely outside
// their target range, the ones with the greatest likely effect first. What
// can't be told is no finding. imperial writes lengths in inches.
func (r Rules) Propose(measures []Measured, imperial bool) []Proposal {
	verdicts := make(map[Link]bool)
	for i := range measures {
		m := &measures[i]
		verdicts[Link{Measure: m.Name, Position: m.Position, Side: m.Verdict}] = true
		verdicts[Link{Measure: m.Name, Side: m.Verdict}] = true
	}
	var out []Proposal
	for i := range measures {
		m := measures[i].Rounded()
		if m.Target == nil || m.Verdict != geometry.Below && m.Verdict != geometry.Above {
			continue
		}
		rule, ok := r.find(&m)
		if !ok {
			rule = Rule{Weight: defaultWeight, Source: "the target range alone"}
		}
		p := Proposal{
			Finding: Finding{
				Rule: rule.ID, Text: textFor(rule.Text, &m, imperial), Measure: m.Name, Position: m.Position,
				Value: m.Value, Low95: m.Low95, High95: m.High95, Unit: m.Unit, Verdict: m.Verdict,
			},
			Source: rule.Source, SetUp: rule.SetUp, Feel: rule.Feel, Drill: rule.Drill,
			weight: rule.Weight * beyond(&m),
		}
		for _, l := range rule.With {
			if verdicts[Link{Measure: l.Measure, Position: l.Position, Side: l.Side}] {
				p.Hints = append(p.Hints, l.Hint)
			}
		}
		out = append(out, p)
	}
	slices.SortStableFunc(out, func(a, b Proposal) int { return cmp.Compare(b.weight, a.weight) })
	return out
}

// beyond is how far a measure lies outside its range, as a factor from 1 to 2:
// the likely effect grows with it, but a small fault of the turn stays before a
// large one of the trail foot.
func beyond(m *Measured) float64 {
	r := m.Target.Range
	edge := r.Low
	if m.Verdict == geometry.Above {
		edge = r.High
	}
	if math.IsInf(edge, 0) {
		return 1
	}
	width := r.High - r.Low
	if math.IsInf(width, 0) {
		width = math.Abs(edge)
	}
	if width <= 0 {
		return 1
	}
	return 1 + math.Min(math.Abs(m.Value-edge)/width, 1)
}

// textFor fills a rule's text; where there is none, or it is of a value that goes the other
// way, a sentence that is true of any measure stands in its place.
func textFor(text string, m *Measured, imperial bool) string {
	if said, ok := words.Filled(text, &m.Measure, m.Target.Range, imperial); ok {
		return said
	}
	name := m.Name
	if m.Position != "" {
		name += " at " + string(m.Position)
	}
	n := words.Told(m.Unit, imperial).Of(m.Name, m.Position)
	side, target := ", less than the ", n.Range(m.Target.Range)
	switch n.Side(m.Verdict, m.Target.Range) {
	case string(geometry.Below):
	case string(geometry.Above):
		side = ", more than the "
	default:
		return fmt.Sprintf("Your %s is %s (%s); we look for %s.", name, n.Value(m.Value), n.Bounds(m.Low95, m.High95), target)
	}
	return fmt.Sprintf("Your %s is %s (%s)%s%s we look for.", name, n.Value(m.Value), n.Bounds(m.Low95, m.High95), side, target)
}
