// Package repeatability says how well a key position was marked a second time, blind, and
// what that means for its measures.
package repeatability

import (
	"context"
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Report says how well one key position was marked a second time, and
// what that means for its measures.
type Report struct {
	Position geometry.PositionName
	// Here counts the points that were marked twice at the position; Click is
	// over the whole lesson. Enough is false with too few to tell, and then
	// there are no Measures.
	Here   int
	Click  geometry.Repeatability
	Enough bool
	// ShiftX and ShiftY compare the two markings of the position by
	// coordinate, pixels: Bias is how far the first lies right of, or below,
	// the second on average.
	ShiftX, ShiftY geometry.Agreement
	// Largest is the pair farthest apart, and LargestPx how far.
	Largest   annotations.Repeat
	LargestPx float64
	Measures  []Measure
	// Problem says why the measures could not be compared, or "".
	Problem string
}

// Measure is one measure of the position, from the first marks and from
// the second, everything else as it is.
type Measure struct {
	Name          string
	Unit          geometry.Unit
	First, Second float64
	// SEM is the standard error of measurement from the coach's own clicks:
	// how far the measure moves when every point of the swing is marked again.
	// MDC95 is the smallest change between two markings that is real at 95 %.
	SEM, MDC95 float64
}

// Compare compares the two markings of a key position. Only points that
// were marked twice stand for the position, in both, so that nothing but the
// hand differs. The only error is that of ctx.
//
// SEM comes from the click error by propagation, √Σ(∂measure/∂mark·σ)², over
// all marks of the swing: it rests on all pairs of marks, where the difference
// of a single pair of values would say next to nothing.
func Compare(ctx context.Context, l *annotations.Lesson, swing int, position geometry.PositionName) (*Report, error) {
	s := &l.Swings[swing]
	out := &Report{Position: position}
	out.Click, out.Enough = l.Repeatability()
	pairs := s.RepeatsAt(position)
	out.Here = len(pairs)
	out.compareMarks(pairs)
	if !out.Enough || len(pairs) == 0 {
		return out, nil
	}
	first, err := annotations.Evaluate(ctx, remarked(l, swing, pairs, false), swing, annotations.Options{MarksAlone: true})
	if err != nil {
		return nil, err
	}
	second, err := annotations.Evaluate(ctx, remarked(l, swing, pairs, true), swing, annotations.Options{MarksAlone: true})
	if err != nil {
		return nil, err
	}
	for _, r := range []*annotations.Result{first, second} {
		if r.Err != nil {
			out.Problem = words.Trouble(r.Err)
			return out, nil
		}
	}
	for i := range first.Measures {
		m := &first.Measures[i]
		if m.Position != position {
			continue
		}
		again := second.Find(m.Name, position)
		if again == nil {
			continue
		}
		sem := marking(first, m, out.Click.ClickSigmaPx)
		if sem == 0 {
			continue // not a matter of marks, as the tempo
		}
		out.Measures = append(out.Measures, Measure{
			Name: m.Name, Unit: m.Unit, First: m.Value, Second: again.Value, SEM: sem, MDC95: geometry.MDC95(sem),
		})
	}
	return out, nil
}

func (r *Report) compareMarks(pairs []annotations.Repeat) {
	n := len(pairs)
	fx, sx, fy, sy := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range pairs {
		fx[i], sx[i], fy[i], sy[i] = p.First.X, p.Second.X, p.First.Y, p.Second.Y
		if d := math.Hypot(p.First.X-p.Second.X, p.First.Y-p.Second.Y); d > r.LargestPx {
			r.Largest, r.LargestPx = p, d
		}
	}
	r.ShiftX, _ = geometry.Agree(fx, sx)
	r.ShiftY, _ = geometry.Agree(fy, sy)
}

// remarked returns the lesson with the marks of the pairs' position replaced by
// the first or the second of each pair.
func remarked(l *annotations.Lesson, swing int, pairs []annotations.Repeat, second bool) *annotations.Lesson {
	next := *l
	next.Swings = slices.Clone(l.Swings)
	s := &next.Swings[swing]
	s.Marks = slices.DeleteFunc(slices.Clone(s.Marks), func(m annotations.Mark) bool { return m.Position == pairs[0].Position })
	for _, p := range pairs {
		at := p.First
		if second {
			at = p.Second
		}
		s.Marks = append(s.Marks, annotations.Mark{Clip: p.Clip, Position: p.Position, Point: p.Point, At: at})
	}
	return &next
}

// marking is the standard deviation of a measure that comes from the hand
// alone, when every mark strays by clickPx in each coordinate, and by more on
// the far side.
func marking(r *annotations.Result, m *annotations.Measured, clickPx float64) float64 {
	var sum float64
	for _, v := range r.Leverage(m) {
		x := &r.Problem.Marks[v.Mark]
		sigma := clickPx * annotations.FarSide(x.Point, r.Problem.Clips[x.Clip].View)
		sum += sigma * sigma * (v.PerPx[0]*v.PerPx[0] + v.PerPx[1]*v.PerPx[1])
	}
	return math.Sqrt(sum)
}
