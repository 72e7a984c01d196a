// Package series tells of the student what several of his swings tell: means, how far
// his swings spread about them, and which of them is typical.
package series

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/randomeffects"
)

// A Series is two swings of a lesson or more that were swung alike, with clubs of one
// group and under one label, and what they tell of the student: the mean of each
// measure and how far his swings spread about it.
type Series struct {
	Label    string
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
	N          int                     // swings that have it
	Value      float64
	Sigma      float64 // standard deviation of Value
	DF         float64 // degrees of freedom of Sigma; +Inf where it is assumed
	Low95      float64
	High95     float64
	// Spread is the student's standard deviation from swing to swing, with its 95 %
	// interval. With two swings it is geometry.UsualSpread and has none.
	Spread                float64
	SpreadLow, SpreadHigh float64
	Estimated             bool

	Target *annotations.Target // nil for none
	geometry.Judgement
}

// fewest is from how many swings on their spread is estimated: of two, the interval of
// the mean would be that of Student's t with one degree of freedom, 6.5 times the
// normal one, where a golfer's spread is known better than that.
const fewest = 3

// Of returns the series of a lesson's results, in the order of their first
// swings. Swings that nothing was measured of are in none.
func Of(results []*annotations.Result, o *annotations.Options) []Series {
	var out []Series
	for _, r := range results {
		if len(r.Measures) == 0 {
			continue
		}
		label, clubs := r.Swing().Label, r.Swing().Club.Group()
		k := 0
		for k < len(out) && (out[k].Label != label || out[k].Clubs != clubs) {
			k++
		}
		if k == len(out) {
			out = append(out, Series{Label: label, Clubs: clubs})
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
			x.N++
		}
	}
	student := s.Swings[0].Lesson.Student
	kept := s.Measures[:0]
	for _, m := range s.Measures {
		if m.N < 2 || !m.estimate() {
			continue
		}
		if t, ok := o.Targets.Find(m.Name, m.Position, s.Clubs, student.Sex); ok {
			m.Target, m.Judgement = &t, geometry.Judge(m.Value, m.Sigma, t.Range, o.Decided)
			if !math.IsInf(m.DF, 1) {
				m.Judgement = geometry.JudgeT(m.Value, m.Sigma, m.DF, t.Range, o.Decided)
			}
		}
		kept = append(kept, m)
	}
	s.Measures = kept
	s.Typical = s.typical()
}

// estimate takes mean and spread from the values. What the swings share of their
// errors (geometry.Measure.Shared) does not show in how they differ: it is taken out
// of each, and added to the mean once. The degrees of freedom of the sum are those of
// Welch 1947, Biometrika 34:28-35, and Satterthwaite 1946, Biometrics Bull 2:110-114,
// but three times those of the spread at most: where three swings happen to agree, theirs
// are too many.
// It reports false where the values can't be used.
func (m *Mean) estimate() bool {
	const leastOwn = 0.05 // of a standard deviation, which no error is wholly shared beyond
	var values, own []float64
	shared := 0.0
	for _, v := range m.Values {
		if v == nil {
			continue
		}
		values = append(values, v.Value)
		own = append(own, math.Sqrt(math.Max(v.Sigma*v.Sigma-v.Shared*v.Shared, leastOwn*v.Sigma*v.Sigma)))
		shared += v.Shared * v.Shared / float64(m.N)
	}
	var variance, df float64
	if m.N < fewest {
		m.Spread = geometry.UsualSpread(m.Name, m.Unit)
		var sum float64
		for i, s := range own {
			w := 1 / (s*s + m.Spread*m.Spread)
			m.Value += w * values[i]
			sum += w
		}
		m.Value /= sum
		variance, df = 1/sum, math.Inf(1)
	} else {
		e, err := randomeffects.Of(values, own)
		if err != nil {
			return false
		}
		m.Value, variance, df = e.Mean, e.Sigma*e.Sigma, e.DF
		m.Spread, m.SpreadLow, m.SpreadHigh, m.Estimated = e.Spread, e.SpreadLow, e.SpreadHigh, true
	}
	m.Sigma = math.Sqrt(variance + shared)
	if !(m.Sigma > 0) || math.IsInf(m.Sigma, 0) {
		return false
	}
	m.DF = math.Min(df*(variance+shared)*(variance+shared)/(variance*variance), 3*df)
	half := geometry.Z95 * m.Sigma
	if !math.IsInf(df, 1) {
		half = distuv.StudentsT{Sigma: 1, Nu: m.DF}.Quantile(0.975) * m.Sigma
	}
	m.Low95, m.High95 = m.Value-half, m.Value+half
	return true
}

func (s *Series) typical() int {
	if len(s.Swings) < fewest {
		return -1
	}
	best, least := -1, math.Inf(1)
	for i := range s.Swings {
		var sum, n float64
		for k := range s.Measures {
			m := &s.Measures[k]
			if v := m.Values[i]; v != nil && m.N == len(s.Swings) {
				d := v.Value - m.Value
				sum += d * d / (m.Spread*m.Spread + v.Sigma*v.Sigma)
				n++
			}
		}
		if n > 0 && sum/n < least {
			best, least = i, sum/n
		}
	}
	return best
}
