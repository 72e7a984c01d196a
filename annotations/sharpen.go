package annotations

import (
	"math"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// Suggest returns the mark that would sharpen a measure of the result most. ok is
// false where no mark would help noticeably.
func (r *Result) Suggest(m *Measured) (s geometry.Suggestion, ok bool) {
	if list := r.suggest(m, 1); len(list) > 0 {
		return list[0], true
	}
	return s, false
}

// suggest says of a followed number that it narrows as that of the marks does.
func (r *Result) suggest(m *Measured, n int) []geometry.Suggestion {
	if r.Solution == nil {
		return nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	list := r.Solution.Suggest(m.Name, m.Position, n)
	if m.Alone != nil {
		for i := range list {
			list[i].HalfWidthNow *= m.Sigma / m.Alone.Sigma
			list[i].HalfWidthThen *= m.Sigma / m.Alone.Sigma
		}
	}
	return list
}

// NextMarks returns up to n marks that would sharpen the swing most, best first.
func (r *Result) NextMarks(n int) []geometry.Suggestion {
	if r.Solution == nil {
		return nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.Solution.NextMarks(n)
}

// Leverage returns how much each mark moves a measure; see
// geometry.Solution.Leverage.
func (r *Result) Leverage(m *Measured) []fit.Leverage {
	if r.Solution == nil {
		return nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.Solution.Leverage(m.Name, m.Position)
}

// Sharpening is what would sharpen the measures of a result.
type Sharpening struct {
	// Best holds, for each of Result.Measures, what would sharpen it, best first.
	Best [][]Remedy
	// Gains holds what each mark that is not made yet is good for.
	Gains map[MarkKey]Gain
}

// MarkKey names a mark of a swing.
type MarkKey struct {
	Clip     string
	Position geometry.PositionName
	Point    geometry.Point
}

// Gain is the measure that a mark would sharpen most.
type Gain struct {
	geometry.Suggestion
	score float64
}

// targetWeight is how much more it counts to sharpen a number that is judged.
// Ours.
const targetWeight = 2

// everyMark is more suggestions than a swing has marks.
const everyMark = 1 << 20

// Sharpen asks, for each measure, what every mark not made yet would do for it,
// which takes longer than Evaluate. It gives up, and ok is false, once stop
// returns true.
func (r *Result) Sharpen(stop func() bool) (out Sharpening, ok bool) {
	out = Sharpening{Best: make([][]Remedy, len(r.Measures)), Gains: make(map[MarkKey]Gain)}
	more := len(r.NextMarks(1)) > 0
	for i := range r.Measures {
		if stop() {
			return Sharpening{}, false
		}
		m := &r.Measures[i]
		var list []geometry.Suggestion
		if more {
			list = r.suggest(m, everyMark)
		}
		out.Best[i] = r.remedies(m, list)
		weight := 1.0
		if m.Target != nil {
			weight = targetWeight
		}
		for _, s := range list {
			k := r.Key(&s)
			if score := weight * math.Log(s.HalfWidthNow/s.HalfWidthThen); score > out.Gains[k].score {
				out.Gains[k] = Gain{s, score}
			}
		}
	}
	return out, true
}

// Key names the mark of a suggestion.
func (r *Result) Key(s *geometry.Suggestion) MarkKey {
	sw := r.Swing()
	return MarkKey{sw.Clips[s.Clip].ID, sw.Positions[s.Position].Name, s.Point}
}
