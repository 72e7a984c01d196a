package series

import (
	"cmp"
	"math"
	"slices"

	"turngauge/geometry"
)

// fewest is from how many swings on one of them is the most typical, or an odd one: of
// two, both are equally far from their mean.
const fewest = 3

// distances returns how far each swing lies from the means: the Mahalanobis distance
// over the square root of the number of measures, about 1 for a swing like the others.
// The covariance is taken as diagonal, swings being fewer than measures. NaN for a swing
// that has nothing in common with the others.
func (s *Series) distances() []float64 {
	out := make([]float64, len(s.Swings))
	for i := range s.Swings {
		var sum, n float64
		for k := range s.Measures {
			if d, ok := s.Measures[k].off(i); ok && s.Measures[k].N == len(s.Swings) {
				sum += d * d
				n++
			}
		}
		out[i] = math.Sqrt(sum / n)
	}
	return out
}

// off is how far a swing lies from the mean, in standard deviations of what a swing
// differs by.
func (m *Mean) off(swing int) (float64, bool) {
	v := m.Values[swing]
	if v == nil {
		return 0, false
	}
	return (v.Value - m.Value) / math.Hypot(m.Spread.SD, v.Sigma), true
}

func (s *Series) typical() int {
	if len(s.Swings) < fewest {
		return -1
	}
	best, least := -1, math.Inf(1)
	for i, d := range s.distances() {
		if d < least {
			best, least = i, d
		}
	}
	return best
}

// An Odd is a swing that is not like the others of its series, and the measures by
// which it shows, those that lie farthest off first.
type Odd struct {
	Swing int // index of Series.Swings
	By    []Apart
}

// Apart is a measure of a swing that lies apart from the other swings'.
type Apart struct {
	Measure       *Mean
	Value, Others float64 // the swing's, and the mean of the others
	Times         float64 // how many standard deviations lie between
}

// oddShare is the probability with which a series of swings that are alike has one that
// is called odd by chance, over all its swings and measures (Bonferroni's bound).
const oddShare = 0.05

// Odd returns the swings of which a measure lies apart from the other swings', farther
// than chance would have it in one of twenty series. How far swings differ is then the
// usual spread, or that of the others if it is larger: few swings that happen to agree
// make none odd. There are none in a series of fewer than three.
func (s *Series) Odd() []Odd {
	if len(s.Swings) < fewest {
		return nil
	}
	var out []Odd
	tests := float64(len(s.Swings) * len(s.Measures))
	for i := range s.Swings {
		odd := Odd{Swing: i}
		for k := range s.Measures {
			a, ok := s.Measures[k].apart(i)
			if ok && 2*(1-geometry.NormalCDF(math.Abs(a.Times)))*tests < oddShare {
				odd.By = append(odd.By, a)
			}
		}
		if len(odd.By) > 0 {
			slices.SortStableFunc(odd.By, func(a, b Apart) int { return cmp.Compare(math.Abs(b.Times), math.Abs(a.Times)) })
			out = append(out, odd)
		}
	}
	return out
}

// apart holds a swing against the others. What all of them share cancels.
func (m *Mean) apart(swing int) (Apart, bool) {
	if m.Values[swing] == nil || m.N < fewest {
		return Apart{}, false
	}
	var others geometry.Visit
	for j, v := range m.Values {
		if v != nil && j != swing {
			others = append(others, v.Occasion().Own())
		}
	}
	usual := geometry.UsualSpread(m.Name, m.Unit)
	spread := geometry.Assumed(max(usual, geometry.SpreadOf([]geometry.Visit{others}, usual).SD))
	one := geometry.Visit{m.Values[swing].Occasion().Own()}
	c := geometry.CompareWith(others, one, spread)
	return Apart{m, c.Later.Value, c.Earlier.Value, c.Value / c.Sigma}, c.Sigma > 0
}
