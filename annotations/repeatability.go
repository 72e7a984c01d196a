package annotations

import (
	"context"
	"math"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// RepeatReport says how well one key position was marked a second time, and
// what that means for its measures.
type RepeatReport struct {
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
	Largest   Repeat
	LargestPx float64
	Measures  []RepeatedMeasure
	// Problem says why the measures could not be compared, or "".
	Problem string
}

// RepeatedMeasure is one measure of the position, from the first marks and from
// the second, everything else as it is.
type RepeatedMeasure struct {
	Name          string
	Unit          geometry.Unit
	First, Second float64
	// SEM is the standard error of measurement from the coach's own clicks:
	// how far the measure moves when every point of the swing is marked again.
	// MDC95 is the smallest change between two markings that is real at 95 %.
	SEM, MDC95 float64
}

// CompareRepeats compares the two markings of a key position. Only points that
// were marked twice stand for the position, in both, so that nothing but the
// hand differs. The only error is that of ctx.
//
// SEM comes from the click error by propagation, √Σ(∂measure/∂mark·σ)², over
// all marks of the swing: it rests on all pairs of marks, where the difference
// of a single pair of values would say next to nothing.
func CompareRepeats(ctx context.Context, l *Lesson, swing int, position geometry.PositionName) (*RepeatReport, error) {
	s := &l.Swings[swing]
	out := &RepeatReport{Position: position}
	out.Click, out.Enough = l.Repeatability()
	pairs := s.RepeatsAt(position)
	out.Here = len(pairs)
	out.compareMarks(pairs)
	if !out.Enough || len(pairs) == 0 {
		return out, nil
	}
	first, err := measuresOf(ctx, s.remarked(l, swing, pairs, false))
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		out.Problem = err.Error()
		return out, nil
	}
	second, err := measuresOf(ctx, s.remarked(l, swing, pairs, true))
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		out.Problem = err.Error()
		return out, nil
	}
	again := make(map[string]float64)
	for _, m := range second.at(position) {
		again[m.Name] = m.Value
	}
	for _, m := range first.at(position) {
		v, ok := again[m.Name]
		if !ok {
			continue
		}
		sem := first.marking(m.Name, position, out.Click.ClickSigmaPx)
		if sem == 0 {
			continue // not a matter of marks, as the tempo
		}
		out.Measures = append(out.Measures, RepeatedMeasure{
			Name: m.Name, Unit: m.Unit, First: m.Value, Second: v, SEM: sem, MDC95: geometry.MDC95(sem),
		})
	}
	return out, nil
}

func (r *RepeatReport) compareMarks(pairs []Repeat) {
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

// remarked returns the fit's input with the marks of the pairs' position
// replaced by the first or the second of each pair.
func (s *Swing) remarked(l *Lesson, swing int, pairs []Repeat, second bool) geometry.Swing {
	problem, _ := Problem(l, swing)
	at := s.PositionIndex(pairs[0].Position)
	kept := problem.Marks[:0]
	for _, m := range problem.Marks {
		if m.Position != at {
			kept = append(kept, m)
		}
	}
	for _, p := range pairs {
		m := geometry.Mark{Clip: s.ClipIndex(p.Clip), Position: at, Point: p.Point, At: p.First}
		if second {
			m.At = p.Second
		}
		kept = append(kept, m)
	}
	problem.Marks = kept
	return problem
}

// remeasured is a fit with what is needed to tell how marks move its measures.
type remeasured struct {
	problem  geometry.Swing
	solution *fit.Solution
	measures []geometry.Measure
}

func measuresOf(ctx context.Context, problem geometry.Swing) (*remeasured, error) {
	solution, err := fit.NewSolver().Solve(ctx, problem)
	if err != nil {
		return nil, err
	}
	r := &remeasured{problem: problem, solution: solution}
	r.measures, _ = solution.Measures()
	return r, nil
}

func (r *remeasured) at(position geometry.PositionName) []geometry.Measure {
	var out []geometry.Measure
	for _, m := range r.measures {
		if m.Position == position {
			out = append(out, m)
		}
	}
	return out
}

// marking is the standard deviation of a measure that comes from the hand
// alone, when every mark strays by clickPx in each coordinate, and by more on
// the far side.
func (r *remeasured) marking(name string, position geometry.PositionName, clickPx float64) float64 {
	var sum float64
	for _, v := range r.solution.Leverage(name, position) {
		m := &r.problem.Marks[v.Mark]
		sigma := clickPx * farSide(m.Point, r.problem.Clips[m.Clip].View)
		sum += sigma * sigma * (v.PerPx[0]*v.PerPx[0] + v.PerPx[1]*v.PerPx[1])
	}
	return math.Sqrt(sum)
}
