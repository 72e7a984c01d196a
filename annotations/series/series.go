package series

import (
	"turngauge/annotations"
	"turngauge/geometry"
)

// A Series is two swings of a lesson or more that were swung alike, with clubs of one
// group and with the same tried in them, and what they tell of the student: the mean of
// each measure and how far his swings spread about it.
type Series struct {
	Tried    string // "" for his usual swing
	Clubs    annotations.ClubGroup
	Swings   []*annotations.Result
	Measures []Mean
	// Typical is the swing nearest to the means, an index of Swings: the one with the
	// least Mahalanobis distance, of which the covariance is taken as diagonal, swings
	// being fewer than measures. −1 where there are fewer than three.
	Typical int
}

// A Mean is one measure over the swings of a series.
type Mean struct {
	Name       string
	Definition string
	Position   geometry.PositionName
	Group      geometry.Group
	Unit       geometry.Unit
	Values     []*annotations.Measured // of each swing of the series, nil where it has none
	geometry.Mean
	// Spread is the student's standard deviation from swing to swing. With two swings it
	// is geometry.UsualSpread, and not estimated.
	Spread geometry.Spread

	Target *annotations.Target // nil for none
	geometry.Judgement
}

// Of returns the series of a lesson's results, in the order of their first
// swings. Swings that nothing was measured of are in none.
func Of(results []*annotations.Result, o *annotations.Options) []Series {
	var out []Series
	for _, r := range results {
		if len(r.Measures) == 0 {
			continue
		}
		k := 0
		for k < len(out) && !alike(r, out[k].Swings[0]) {
			k++
		}
		if k == len(out) {
			out = append(out, Series{Tried: r.Swing().Tried, Clubs: r.Swing().Club.Group()})
		}
		out[k].Swings = append(out[k].Swings, r)
	}
	kept := out[:0]
	for _, s := range out {
		if len(s.Swings) > 1 {
			s.mean(o)
			kept = append(kept, s)
		}
	}
	return kept
}

// alike reports whether two swings were swung alike.
func alike(a, b *annotations.Result) bool {
	return a.Swing().Tried == b.Swing().Tried && a.Swing().Club.Group() == b.Swing().Club.Group()
}

// Alike returns those of the results that were swung as r was and of which something
// was measured.
func Alike(r *annotations.Result, results []*annotations.Result) []*annotations.Result {
	var out []*annotations.Result
	for _, x := range results {
		if len(x.Measures) > 0 && alike(r, x) {
			out = append(out, x)
		}
	}
	return out
}

func (s *Series) mean(o *annotations.Options) {
	type place struct {
		name     string
		position geometry.PositionName
	}
	at := map[place]int{}
	for i, r := range s.Swings {
		for k := range r.Measures {
			m := &r.Measures[k]
			p := place{m.Name, m.Position}
			if _, ok := at[p]; !ok {
				at[p] = len(s.Measures)
				s.Measures = append(s.Measures, Mean{Name: m.Name, Definition: m.Definition, Position: m.Position, Group: m.Group, Unit: m.Unit,
					Values: make([]*annotations.Measured, len(s.Swings))})
			}
			x := &s.Measures[at[p]]
			x.Values[i] = m
		}
	}
	student := s.Swings[0].Lesson.Student
	kept := s.Measures[:0]
	for _, m := range s.Measures {
		if !m.estimate() {
			continue
		}
		if t, ok := o.Targets.Find(m.Name, m.Position, s.Clubs, student.Sex); ok {
			m.Target, m.Judgement = &t, m.Mean.Judge(t.Range, o.Decided)
		}
		kept = append(kept, m)
	}
	s.Measures = kept
	s.Typical = s.typical()
}

// estimate takes mean and spread from the values. It reports false where they can't be
// used.
func (m *Mean) estimate() bool {
	var v geometry.Visit
	for _, x := range m.Values {
		if x != nil {
			v = append(v, x.Occasion())
		}
	}
	if len(v) < 2 {
		return false
	}
	m.Spread = geometry.SpreadOf([]geometry.Visit{v}, geometry.UsualSpread(m.Name, m.Unit))
	m.Mean = v.Mean(m.Spread)
	return m.Sigma > 0 && geometry.Finite(m.Value, m.Sigma)
}
