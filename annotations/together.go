package annotations

import (
	"math"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// Together says what a swing's numbers owe to the others of its visit.
type Together struct {
	Swings int // that were put together
	// Cameras numbers by view the camera that this swing shares with those in which the
	// view has the same number; 0 or none for one of its own.
	Cameras map[geometry.View]int
	// Narrower is by what part the intervals of this swing alone have become narrower, the
	// geometric mean over its measures.
	Narrower float64
}

// Together returns what the numbers owe to the other swings of the visit; nil where they
// are of this swing alone.
func (r *Result) Together() *Together { return r.together }

// PutTogether returns the results of a lesson's swings with what each tells of the
// golfer's body, and of cameras that stand still, put to the use of all (fit.PutTogether).
// Results that are together already are returned as they are, and so are those of one
// swing.
func PutTogether(results []*Result) []*Result {
	shares := make([]*fit.Shares, len(results))
	n := 0
	for i, r := range results {
		if r.together != nil {
			return results
		}
		if shares[i] = r.shares; r.shares != nil {
			n++
		}
	}
	if n < 2 {
		return results
	}
	out := make([]*Result, len(results))
	for i, t := range fit.PutTogether(shares) {
		out[i] = results[i].with(&t, n)
	}
	return out
}

// with returns the result as the swings tell it together.
func (r *Result) with(t *fit.Together, swings int) *Result {
	if t.Cameras == nil {
		return r
	}
	next := new(Result)
	*next = *r
	next.Measures = make([]Measured, len(r.Measures))
	next.together = &Together{Swings: swings, Cameras: make(map[geometry.View]int)}
	for c, number := range t.Cameras {
		next.together.Cameras[r.Problem.Clips[c].View] = number
	}
	var sum, n float64
	for i := range r.Measures {
		m := r.Measures[i]
		if m.Basis == OnMarks && m.Sigma > 0 {
			was := m.Sigma
			m.Measure = t.Apply(m.Measure)
			sum += math.Log(m.Sigma / was)
			n++
			if m.Target != nil {
				m.JudgeBy(*m.Target, r.decided)
			}
		}
		next.Measures[i] = m
	}
	if n > 0 {
		next.together.Narrower = 1 - math.Exp(sum/n)
	}
	return next
}
