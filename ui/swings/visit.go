package swings

import (
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/table"
	"turngauge/geometry"
	"turngauge/ui/session"
)

// visit is what the card shows of the lesson's swings. It is made anew when they are.
type visit struct {
	results []*annotations.Result // in the order of the swings
	waiting int                   // swings with marks that are not measured yet
	kinds   []kind
	rows    []measure // in the order of the sheet
	tries   []series.Comparison
	shared  string // what their fits share, and what that gained; "" for nothing
}

// kind is swings that were swung alike: a series, or a single one.
type kind struct {
	tried  string
	series *series.Series // nil for a single swing
	swings []int          // indices of visit.results
	odd    []series.Odd
}

// measure is one measure over the swings.
type measure struct {
	name     string
	position geometry.PositionName
	unit     geometry.Unit
	group    geometry.Group
	target   *annotations.Target
	values   []*annotations.Measured // by swing; nil where it is not measured
	means    []*series.Mean          // by kind; nil where there is none
	low      float64                 // the stretch of values that is drawn
	high     float64
}

// refresh takes the newest results, and reports whether they have changed.
func (v *visit) refresh(s *session.Session, terms session.Terms) bool {
	all := s.Visit()
	marked := 0
	for i := range s.Bench.Lesson().Swings {
		if len(s.Bench.Lesson().Swings[i].Marks) > 0 {
			marked++
		}
	}
	v.waiting = max(marked-len(all), 0)
	if slices.Equal(all, v.results) && len(all) > 0 {
		return false
	}
	*v = visit{results: all, waiting: v.waiting, tries: series.Tries(all)}
	o := annotations.Options{Targets: terms.Targets, Decided: terms.Decided}
	list := series.Of(all, &o)
	if s := series.SharingOf(all); s != nil {
		v.shared = s.String()
	}
	for i, x := range all {
		k := slices.IndexFunc(v.kinds, func(k kind) bool { return slices.Contains(series.Alike(all[k.swings[0]], all), x) })
		if k < 0 {
			k = len(v.kinds)
			v.kinds = append(v.kinds, kind{tried: x.Swing().Tried})
			for j := range list {
				if slices.Contains(list[j].Swings, x) {
					v.kinds[k].series, v.kinds[k].odd = &list[j], list[j].Odd()
				}
			}
		}
		v.kinds[k].swings = append(v.kinds[k].swings, i)
	}
	v.measures()
	return true
}

// measures gathers the rows.
func (v *visit) measures() {
	for i, x := range v.results {
		for k := range x.Measures {
			m := &x.Measures[k]
			at := slices.IndexFunc(v.rows, func(r measure) bool { return r.name == m.Name && r.position == m.Position })
			if at < 0 {
				at = len(v.rows)
				v.rows = append(v.rows, measure{name: m.Name, position: m.Position, unit: m.Unit, group: m.Group, target: m.Target,
					values: make([]*annotations.Measured, len(v.results)), means: make([]*series.Mean, len(v.kinds))})
			}
			v.rows[at].values[i] = m
		}
	}
	v.rows = table.InOrder(v.rows, func(m *measure) geometry.Group { return m.group })
	for i := range v.rows {
		r := &v.rows[i]
		for k := range v.kinds {
			if s := v.kinds[k].series; s != nil {
				for j := range s.Measures {
					if m := &s.Measures[j]; m.Name == r.name && m.Position == r.position {
						r.means[k] = m
					}
				}
			}
		}
		r.span()
	}
}

// span finds the stretch that is drawn: all intervals, and the target range as far as
// it is near.
func (m *measure) span() {
	m.low, m.high = math.Inf(1), math.Inf(-1)
	for _, x := range m.values {
		if x != nil {
			m.low, m.high = min(m.low, x.Low95), max(m.high, x.High95)
		}
	}
	for _, x := range m.means {
		if x != nil {
			m.low, m.high = min(m.low, x.Low95), max(m.high, x.High95)
		}
	}
	wide := m.high - m.low
	if m.target != nil {
		for _, e := range []float64{m.target.Range.Low, m.target.Range.High} {
			if !math.IsInf(e, 0) && e > m.low-wide && e < m.high+wide {
				m.low, m.high = min(m.low, e), max(m.high, e)
			}
		}
	}
	margin := max(0.04*(m.high-m.low), 1e-6)
	m.low, m.high = m.low-margin, m.high+margin
}

// end returns the swing with the most of a measure, or with the least; -1 for none.
func (m *measure) end(most bool) int {
	best := -1
	for i, x := range m.values {
		if x != nil && (best < 0 || (x.Value > m.values[best].Value) == most && x.Value != m.values[best].Value) {
			best = i
		}
	}
	return best
}

func (v *visit) measure(row int) *measure {
	if row < 0 || row >= len(v.rows) {
		return nil
	}
	return &v.rows[row]
}

// rowsAt returns the measures at a key position, by their place in rows: those with a
// target range first.
func (v *visit) rowsAt(at geometry.PositionName) []int {
	var with, without []int
	for i := range v.rows {
		switch m := &v.rows[i]; {
		case m.position != at:
		case m.target != nil:
			with = append(with, i)
		default:
			without = append(without, i)
		}
	}
	return append(with, without...)
}

// index returns the place of a swing, or -1.
func (v *visit) index(id string) int {
	return slices.IndexFunc(v.results, func(r *annotations.Result) bool { return r.Swing().ID == id })
}

// kindOf returns the kind of a swing.
func (v *visit) kindOf(i int) int {
	return slices.IndexFunc(v.kinds, func(k kind) bool { return slices.Contains(k.swings, i) })
}

// oddity returns by what a swing is odd among those like it.
func (v *visit) oddity(i int) []series.Apart {
	if k := v.kindOf(i); k >= 0 {
		for _, o := range v.kinds[k].odd {
			if v.kinds[k].series.Swings[o.Swing] == v.results[i] {
				return o.By
			}
		}
	}
	return nil
}

// typical reports whether a swing is the most typical of those like it.
func (v *visit) typical(i int) bool {
	k := v.kindOf(i)
	if k < 0 || v.kinds[k].series == nil || v.kinds[k].series.Typical < 0 {
		return false
	}
	return v.kinds[k].series.Swings[v.kinds[k].series.Typical] == v.results[i]
}
