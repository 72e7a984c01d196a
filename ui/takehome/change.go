package takehome

import (
	"math"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
)

// mostChanges is how many changes the sheet tells.
const mostChanges = 10

// z95 bounds the middle 95 % of a normal distribution.
const z95 = 1.959964

// changes compares what has a target range or a finding with the lesson before:
// the real changes first.
func (b *builder) changes() {
	if b.before == nil {
		return
	}
	var real, noise []Change
	for i := range b.now.report.Measures {
		m := &b.now.report.Measures[i]
		old := b.before.reported(m.Name, m.Position)
		_, found := b.now.swing().FindingOf(m.Name, m.Position)
		if old == nil || m.Target == nil && !found {
			continue
		}
		c := b.change(m, old)
		if !c.Real {
			noise = append(noise, c)
			continue
		}
		real = append(real, c)
	}
	all := append(real, noise...)
	b.sheet.Changes = all[:min(len(all), mostChanges)]
}

// change compares a measure with what it was.
func (b *builder) change(now, old *annotations.MeasureReport) Change {
	imperial := b.request.Imperial
	// The two lessons are marked independently, so their variances add.
	delta, half := now.Value-old.Value, z95*math.Hypot(now.SD, old.SD)
	c := Change{
		Name:   sentence(nameAt(now.Name, now.Position)),
		Before: annotations.Told(now.Unit, old.Value, imperial), Now: annotations.Told(now.Unit, now.Value, imperial),
		Change: annotations.Told(now.Unit, delta, imperial) + " ± " + annotations.Told(now.Unit, half, imperial),
		Real:   math.Abs(delta) > half, Word: "within the noise",
	}
	if nothing := annotations.Told(now.Unit, 0, imperial); delta > 0 && !strings.HasPrefix(c.Change, nothing+" ") {
		c.Change = "+" + c.Change
	}
	if !c.Real {
		return c
	}
	c.Word = "real"
	if r := rangeOf(now.Target); r != nil {
		switch a, z := outside(old.Value, r), outside(now.Value, r); {
		case z < a:
			c.Word = "real: closer to what we look for"
		case z > a:
			c.Word = "real: further from what we look for"
		}
	}
	return c
}

// outside is how far a value lies outside a range.
func outside(v float64, r *geometry.Range) float64 {
	return math.Max(math.Max(r.Low-v, v-r.High), 0)
}
