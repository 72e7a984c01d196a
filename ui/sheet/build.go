package sheet

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
)

// Input is what a sheet is built from.
type Input struct {
	Measures []annotations.Measured
	Missing  []geometry.Missing
	// Best says what would sharpen each of Measures, best first; nil where that is
	// not known.
	Best [][]annotations.Remedy
	// Positive returns what a positive value means; nil takes it from
	// geometry.Definitions.
	Positive func(name string) string
	// Imperial shows centimetres as inches.
	Imperial bool
	// Proposed is how many of the marks the coach has not taken yet.
	Proposed int
	// Decided is the probability from which on a change is told; 0 takes
	// geometry.Decided.
	Decided float64
	// Why says why nothing is measured, where the marks tell no more.
	Why string
	// Swing is what was solved; Marking says how well it is marked, and Mistake is
	// one of the whole swing. Both may be nil.
	Swing   *geometry.Swing
	Marking *geometry.Marking
	Mistake *geometry.Mistake
	// Alike is how many swings of the visit are like this one, it included, and Alone
	// says that the numbers are of it all the same.
	Alike int
	Alone bool
}

// Build makes the sheet's model. Rows stand in a fixed order, whether measured
// or missing, so that none jumps while a swing is being marked.
func Build(in Input) *Model {
	m := &Model{Asked: len(in.Measures) + len(in.Missing), Measured: len(in.Measures)}
	m.Empty = "Nothing is measured yet. Set the address position and mark the hips, shoulders and feet; the numbers appear here as you go."
	if in.Why != "" {
		m.Empty = "Nothing is measured yet: " + in.Why + ". The numbers appear here as you go."
	}
	if m.Notice = noticeOf(in.Swing, in.Mistake); m.Notice != nil && m.Notice.Withheld {
		m.Asked, m.Measured = 0, 0
		m.Empty = ""
		return m
	}
	m.marked = markedOf(in.Swing, in.Marking)
	rows := make(map[part][]Row)
	seen := make(map[string]bool)
	for i := range in.Measures {
		x := &in.Measures[i]
		r := in.measured(i)
		seen[r.Key] = true
		m.Compared = m.Compared || r.HasPrevious
		p := partOf(x.Name, x.Position, x.Group)
		rows[p] = append(rows[p], r)
	}
	for _, x := range in.Missing {
		r := in.missing(x)
		if seen[r.Key] {
			m.Asked--
			continue
		}
		p := partOf(x.Name, x.Position, "")
		rows[p] = append(rows[p], r)
	}
	m.counted = strconv.Itoa(m.Measured) + " of " + strconv.Itoa(m.Asked) + " measured"
	if m.alike, m.alone = in.Alike, in.Alone; in.Alike > 1 && !in.Alone {
		m.counted += ", means of " + strconv.Itoa(in.Alike)
	}
	if in.Proposed > 0 {
		m.counted += ", " + strconv.Itoa(in.Proposed) + " marks only proposed"
	}
	parts := slices.Collect(maps.Keys(rows))
	slices.SortFunc(parts, part.compare)
	for _, p := range parts {
		m.Groups = append(m.Groups, group(p, rows[p]))
	}
	m.findKnown()
	return m
}

// part says under which header a row stands.
type part struct {
	group    geometry.Group
	position geometry.PositionName
}

var groups = []geometry.Group{geometry.SetUp, geometry.Backswing, geometry.Downswing, geometry.Strike}

func (p part) compare(q part) int {
	return cmp.Or(
		cmp.Compare(slices.Index(groups, p.group), slices.Index(groups, q.group)),
		cmp.Compare(positionOrder(p.position), positionOrder(q.position)),
		cmp.Compare(p.position, q.position),
	)
}

func partOf(name string, pos geometry.PositionName, g geometry.Group) part {
	if g == "" {
		g = definitions[name].Group
	}
	if g == "" {
		g = geometry.GroupOf(pos)
	}
	return part{g, pos}
}

// definition is a measure's definition and its place among the others.
type definition struct {
	geometry.Definition
	index int
}

var definitions = func() map[string]definition {
	m := make(map[string]definition)
	for i, d := range geometry.Definitions() {
		m[d.Name] = definition{d, i}
	}
	return m
}()

func group(p part, rows []Row) Group {
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(a.order, b.order) })
	g := Group{Title: words.Sentence(string(p.group)), At: string(p.position), Rows: rows}
	for i := range rows {
		if rows[i].Missing == "" {
			g.Measured++
		}
		rows[i].finish()
	}
	return g
}

func positionOrder(p geometry.PositionName) int {
	if i := slices.Index(geometry.KeyPositions, p); i >= 0 {
		return i
	}
	return len(geometry.KeyPositions)
}

// orderOf returns where a measure stands; unknown ones come last.
func orderOf(name string) int {
	if d, ok := definitions[name]; ok {
		return d.index
	}
	return len(definitions)
}

func (in *Input) missing(x geometry.Missing) Row {
	return Row{
		Key: Key(x.Name, x.Position), Name: words.Sentence(x.Name), Position: x.Position, Missing: words.Missing(&x, in.Imperial),
		Definition: definitions[x.Name].Definition.Definition, Positive: in.positive(x.Name), order: orderOf(x.Name),
	}
}

func (in *Input) positive(name string) string {
	if in.Positive != nil {
		return in.Positive(name)
	}
	return definitions[name].Positive
}

func (in *Input) measured(i int) Row {
	x := &in.Measures[i]
	n := words.Exact(x.Unit, in.Imperial).Of(x.Name, x.Position)
	half := func(m *geometry.Measure) string { return n.PlusMinus((m.High95 - m.Low95) / 2) }
	r := Row{
		Key: Key(x.Name, x.Position), Name: words.Sentence(x.Name), Position: x.Position,
		Value: n.Shown(x.Value), Low: n.Shown(x.Low95), High: n.Shown(x.High95),
		Number: n.Number(x.Value), PlusMinus: half(&x.Measure), Interval: n.Interval(x.Low95, x.High95),
		Definition: x.Definition, Positive: in.positive(x.Name), Method: x.Method, order: orderOf(x.Name),
	}
	if x.Alone != nil {
		r.Basis = "followed through the clips; the marks alone say " + n.Number(x.Alone.Value) + " " + half(x.Alone)
	}
	if seen := words.Seen(x.Cloth); seen != "" {
		if r.Basis != "" {
			r.Basis += ". "
		}
		r.Basis += strings.TrimSuffix(seen, ".")
	}
	if x.One != nil {
		r.Basis = "the mean over the visit; this swing alone: " + n.Number(x.One.Value) + " " + half(x.One)
	}
	s := defaultSpan(x.Name, x.Position, x.Unit)
	if i < len(in.Best) {
		for k := range in.Best[i] {
			r.Advice = append(r.Advice, in.Best[i][k].Words(in.Imperial))
			r.open = r.open || in.Best[i][k].Open
		}
	}
	if t := x.Target; t != nil {
		r.HasTarget, r.Source = true, t.Source
		r.TargetLow, r.TargetHigh = n.Shown(t.Range.Low), n.Shown(t.Range.High)
		r.Target = n.Range(t.Range)
		r.Verdict = draw.ParseVerdict(string(x.Verdict))
		r.Probability, r.Says, r.Chances = x.Probability, n.Verdict(&x.Judgement, t.Range), n.Chances(&x.Judgement, t.Range)
		r.word = n.Side(x.Verdict, t.Range)
		s = s.include(t.Range.Low).include(t.Range.High)
	}
	if p := x.Before; p != nil {
		r.HasPrevious = true
		r.Previous, r.PreviousLow, r.PreviousHigh = n.Shown(p.Value), n.Shown(p.Low95), n.Shown(p.High95)
		r.PreviousNumber = n.Number(p.Value) + " " + half(p)
		r.Change, r.ChangeTold = n.Change(x.Change, p.Value, x.Value), x.Change.Told(in.Decided)
		r.Delta, r.deltaWord = n.Grown(x.Change.Value, p.Value, x.Value)
		var target *geometry.Range
		if x.Target != nil {
			target = &x.Target.Range
		}
		r.delta, r.deltaUnit = strings.TrimSpace(r.Delta+" "+r.deltaWord), strings.TrimSpace(n.Apart()+" "+r.deltaWord)
		r.ChangeSays = words.ChangeSure(x.Change, p.Value, x.Value, target, "the target range", in.Decided)
		r.ChangeProbability, r.ChangeBrief = x.Change.Probability, words.ChangeInBrief(x.Change, in.Decided)
		r.spread = words.Spread(x.Change, x.Unit, in.Imperial)
		s = s.include(p.Value)
	}
	s = s.include(x.Value)
	r.scale = span{n.Shown(s.low), n.Shown(s.high)}
	return r
}

// finish makes the texts that are drawn from the others.
func (r *Row) finish() {
	r.label = r.Title()
	r.described = strings.ReplaceAll(r.Text(), "\t", ", ")
	r.defined = words.Sentence(r.Definition)
	measure, _, _ := strings.Cut(r.Key, " @ ")
	if means := words.Meaning(measure, strings.TrimSuffix(r.Positive, ".")); means != "" {
		r.defined = strings.TrimSuffix(r.defined, ".") + ". " + means
	}
	add := func(name, text string, accent bool) {
		if text != "" {
			r.facts = append(r.facts, fact{name, text, accent})
		}
	}
	name := "Sharper"
	if r.open {
		name = "To decide"
	}
	for _, text := range r.Advice {
		add(name, words.Sentence(text), true)
		name = "or"
	}
	if r.Missing != "" {
		return
	}
	add("Basis", r.Basis, false)
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
		add("Change", r.Change+", "+r.ChangeSays, false)
		add("Swings", r.spread, false)
	}
	add("Method", r.Method, false)
}
