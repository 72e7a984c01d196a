package annotations

import (
	"math"

	"turngauge/annotations/words"
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

func (r *Result) suggest(m *Measured, n int) []geometry.Suggestion {
	if r.Solution == nil {
		return nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.Solution.Suggest(m.Name, m.Position, n)
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
	// Best holds, for each of Result.Measures, the mark that would sharpen it most.
	Best []Remedy
	// Gains holds what each mark that is not made yet is good for.
	Gains map[MarkKey]Gain
}

// Remedy is what would sharpen a measure: a mark, or something else where no mark
// helps.
type Remedy struct {
	Mark      *geometry.Suggestion
	Otherwise words.Otherwise
}

// Words writes it; "" where it is not known.
func (r *Remedy) Words(imperial bool) string {
	if r.Mark != nil {
		return words.Advice(r.Mark, imperial)
	}
	return r.Otherwise.String()
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
	out = Sharpening{Best: make([]Remedy, len(r.Measures)), Gains: make(map[MarkKey]Gain)}
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
		if len(list) == 0 {
			out.Best[i].Otherwise = r.noMark(m)
			continue
		}
		out.Best[i].Mark = &list[0]
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

// noMark says what is left where no further mark narrows a number.
func (r *Result) noMark(m *Measured) words.Otherwise {
	if m.Unit == geometry.Seconds || m.Name == "tempo" {
		return words.FilmFaster
	}
	switch s := r.Swing(); {
	case s.ClipOf(geometry.FaceOn) == nil:
		return words.FilmFaceOn
	case s.ClipOf(geometry.DownTheLine) == nil:
		return words.FilmDownTheLine
	}
	return words.FilmNearer
}
