package ranges

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// rangeRow is a measure at a position for a group of clubs.
type rangeRow struct {
	measure   string
	position  geometry.PositionName
	clubs     annotations.ClubGroup
	unit      geometry.Unit
	low, high draw.Field
	back      draw.Button
	base      annotations.Target // what counts without the range that is edited here
	hasBase   bool
	wrong     bool
}

// sign says which way the numbers that are typed count, where both signs have a meaning.
func (r *rangeRow) sign() string {
	d := geometry.DefinitionOf(r.measure)
	switch {
	case d == nil || d.Positive == "" || !r.hasBase || r.base.Range.Low >= 0:
		return ""
	case d.Positive == geometry.AwayFromTarget:
		return "open is typed with a minus"
	}
	if side := words.PlusSide(r.measure); side != "" {
		return "plus is " + side
	}
	return "plus is " + d.Positive
}

func (r *rangeRow) label() string {
	return kit.Joined(words.Sentence(r.measure), string(r.position), string(r.clubs))
}

// fill makes the rows of the set that is edited: what has a range first,
// then every other measure.
func (room *Room) fill() {
	c := &room.cardState
	base := room.base()
	if c.of == 1 {
		base = library.Override(base, c.own[0])
	}
	units := make(map[string]geometry.Unit)
	for _, d := range geometry.Definitions() {
		units[d.Name] = d.Unit
	}
	c.rows = nil
	have := make(map[string]bool)
	add := func(t annotations.Target) *rangeRow {
		k := t.Measure + "\x00" + string(t.Position) + "\x00" + string(t.Clubs)
		if have[k] {
			return nil
		}
		have[k] = true
		c.rows = append(c.rows, rangeRow{measure: t.Measure, position: t.Position, clubs: t.Clubs, unit: units[t.Measure]})
		return &c.rows[len(c.rows)-1]
	}
	for _, t := range slices.Concat(c.own[c.of], base) {
		add(t)
	}
	ranged := make(map[string]bool)
	for i := range c.rows {
		ranged[c.rows[i].measure+"\x00"+string(c.rows[i].position)] = true
	}
	for _, d := range geometry.Definitions() {
		positions := d.Positions
		if positions == nil {
			positions = geometry.KeyPositions
		}
		for _, p := range positions {
			if !(d.SinceAddress && p == geometry.Address) && !ranged[d.Name+"\x00"+string(p)] && !ranged[d.Name+"\x00"] {
				add(annotations.Target{Measure: d.Name, Position: p})
			}
		}
	}
	for i := range c.rows {
		r := &c.rows[i]
		r.base, r.hasBase = base.Find(r.measure, r.position, r.clubs, geometry.SexUnset)
		if t, ok := ownRange(c.own[c.of], r); ok {
			r.low.SetText(endText(t.Range.Low))
			r.high.SetText(endText(t.Range.High))
		}
	}
	c.filter()
}

// ownRange is the range of a set that a row edits.
func ownRange(set annotations.Targets, r *rangeRow) (annotations.Target, bool) {
	for _, t := range set {
		if t.Measure == r.measure && t.Position == r.position && t.Clubs == r.clubs && t.Sex == geometry.SexUnset {
			return t, true
		}
	}
	return annotations.Target{}, false
}

func endText(v float64) string {
	if math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// filter picks the rows that match the search.
func (c *cardState) filter() {
	c.shown = c.shown[:0]
	words := strings.Fields(strings.ToLower(c.search.Text()))
	for i := range c.rows {
		label := strings.ToLower(c.rows[i].label())
		if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(label, w) }) {
			c.shown = append(c.shown, i)
		}
	}
}

// read takes the ranges from the fields. ok is false where one makes no sense.
func (c *cardState) read() (out annotations.Targets, ok bool) {
	ok = true
	c.problem = ""
	// What the rows can't show, such as a range for one sex, stays.
	for _, t := range c.own[c.of] {
		if t.Sex != geometry.SexUnset {
			out = append(out, t)
		}
	}
	for i := range c.rows {
		r := &c.rows[i]
		low, wrongLow := endOf(r.low.Text(), math.Inf(-1))
		high, wrongHigh := endOf(r.high.Text(), math.Inf(1))
		r.wrong = wrongLow || wrongHigh || low > high
		if r.wrong {
			ok = false
			if c.problem == "" {
				c.problem = r.label() + ": a range is two numbers, the lower first; one may be empty for an open end."
			}
			continue
		}
		if math.IsInf(low, 0) && math.IsInf(high, 0) {
			continue
		}
		t := annotations.Target{Measure: r.measure, Position: r.position, Clubs: r.clubs, Range: geometry.Range{Low: low, High: high}}
		old, had := ownRange(c.own[c.of], r)
		switch {
		case had && old.Range == t.Range:
			t.Source = old.Source
		case c.of == 1:
			t.Source = "the coach's own range for " + c.name
		default:
			t.Source = "the coach's own range"
		}
		out = append(out, t)
	}
	return out, ok
}

// endOf reads an end of a range; "" is an open one.
func endOf(text string, open float64) (v float64, wrong bool) {
	text = strings.TrimSpace(strings.ReplaceAll(strings.ReplaceAll(text, ",", "."), "−", "-"))
	if text == "" {
		return open, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err != nil || math.IsNaN(v) || math.IsInf(v, 0)
}
