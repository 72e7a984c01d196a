package takehome

import (
	"math"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// lookedFor is what a student's sheet calls a target range.
const lookedFor = "what we look for"

// mostChanges is how many changes the sheet tells.
const mostChanges = 10

// changes compares what has a target range or a finding with the lesson before:
// those whose direction is told first.
func (b *builder) changes() {
	if b.before == nil {
		return
	}
	var told, open []Change
	for i := range b.now.numbers {
		m := &b.now.numbers[i]
		_, found := b.now.Swing().FindingOf(m.Name, m.Position)
		if m.Change == nil || m.Target == nil && !found {
			continue
		}
		c := b.change(m)
		if !c.Known {
			open = append(open, c)
			continue
		}
		told = append(told, c)
	}
	all := append(told, open...)
	b.sheet.Changes = all[:min(len(all), mostChanges)]
}

// change compares a measure with what it was.
func (b *builder) change(now *annotations.Measured) Change {
	old := now.Before
	told := words.Told(now.Unit, b.request.Imperial).Of(now.Name, now.Position)
	change := *now.Change
	c := Change{
		Name:   sentence(nameAt(now.Name, now.Position)),
		Before: told.Value(old.Value), Now: told.Value(now.Value), Change: told.Change(&change, old.Value, now.Value),
		Known: change.Told(b.request.Decided), Word: words.ChangeSure(&change, old.Value, now.Value, rangeOf(now), lookedFor, b.request.Decided),
		Brief: words.ChangeInBrief(&change, b.request.Decided),
	}
	return c
}

// outside is how far a value lies outside a range.
func outside(v float64, r *geometry.Range) float64 {
	return math.Max(math.Max(r.Low-v, v-r.High), 0)
}
