package annotations

import (
	"context"
	"errors"
	"math"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// Measure fits every swing of a lesson and judges the measures against the
// targets. solver gives the Solver to use for a swing, by its ID; nil uses a
// fresh one each. A swing that can't be fitted is reported with its reasons;
// the only error is that of ctx.
func Measure(ctx context.Context, l *Lesson, solver func(swingID string) *fit.Solver, t Targets) (*Report, error) {
	r := &Report{Version: 1, Lesson: l.ID, Swings: []SwingReport{}}
	for i := range l.Swings {
		s := fit.NewSolver
		if solver != nil {
			s = func() *fit.Solver { return solver(l.Swings[i].ID) }
		}
		problem, refs := Problem(l, i)
		solution, err := s().Solve(ctx, problem)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		r.Swings = append(r.Swings, l.ReportSwing(i, refs, solution, err, t))
	}
	return r, nil
}

// ReportSwing reports the outcome of Solver.Solve for the swing with the given
// index; refs are those of its Problem. Without a trustworthy fit there are
// reasons and no numbers.
func (l *Lesson) ReportSwing(swing int, refs MarkRefs, solution *fit.Solution, err error, t Targets) SwingReport {
	s := &l.Swings[swing]
	r := SwingReport{ID: s.ID, Label: s.Label, Measures: []MeasureReport{}, Missing: []MissingReport{}}
	if solution != nil {
		r.Fit = s.fitReport(refs, solution)
	}
	var insufficient *geometry.Insufficient
	switch {
	case errors.As(err, &insufficient):
		r.Missing = missingReports(insufficient.Missing)
	case err != nil:
		r.Missing = []MissingReport{{Reason: err.Error()}}
	case solution != nil:
		measures, missing := solution.Measures()
		for _, m := range measures {
			r.Measures = append(r.Measures, judged(m, solution, t, s.Club.Group(), l.Student.Sex))
		}
		r.Missing = missingReports(missing)
	}
	return r
}

// JudgeSwing reports measures of a swing with their verdicts, without advice
// and without what is missing.
func (l *Lesson) JudgeSwing(swing int, measures []geometry.Measure, t Targets) SwingReport {
	s := &l.Swings[swing]
	r := SwingReport{ID: s.ID, Label: s.Label, Measures: make([]MeasureReport, len(measures)), Missing: []MissingReport{}}
	for i, m := range measures {
		r.Measures[i] = judged(m, nil, t, s.Club.Group(), l.Student.Sex)
	}
	return r
}

func missingReports(missing []geometry.Missing) []MissingReport {
	out := make([]MissingReport, len(missing))
	for i, m := range missing {
		out[i] = MissingReport{m.Name, m.Position, m.Reason}
	}
	return out
}

func (s *Swing) fitReport(refs MarkRefs, solution *fit.Solution) *FitReport {
	sum := &solution.Summary
	f := &FitReport{
		Status: sum.Status, Iterations: sum.Iterations, Cost: rounded(sum.Cost),
		Observations: sum.Observations, Unknowns: sum.Unknowns, Rank: sum.Rank,
		Cameras: []CameraReport{}, Suspects: []SuspectReport{},
	}
	for _, c := range solution.Cameras {
		p := c.Camera.Position
		f.Cameras = append(f.Cameras, CameraReport{
			Clip:      s.Clips[c.Clip].ID,
			PositionM: [3]float64{rounded(p.X), rounded(p.Y), rounded(p.Z)},
			FocalPx:   rounded(c.Camera.FocalPx),
		})
	}
	for _, x := range solution.Suspects {
		m := &s.Marks[refs[x.Mark]]
		f.Suspects = append(f.Suspects, SuspectReport{
			Mark: refs[x.Mark], Clip: m.Clip, Position: m.Position, Point: m.Point.String(),
			ResidualPx: rounded(x.ResidualPx), Reason: x.Reason,
		})
	}
	return f
}

// judged reports one measure; without a solution there is no advice.
func judged(m geometry.Measure, solution *fit.Solution, t Targets, clubs ClubGroup, sex geometry.Sex) MeasureReport {
	r := MeasureReport{
		Name: m.Name, Definition: m.Definition, Position: m.Position, Group: m.Group, Unit: m.Unit, Method: m.Method,
		Value: rounded(m.Value), SD: rounded(m.Sigma), Low95: rounded(m.Low95), High95: rounded(m.High95),
	}
	target, ok := t.Find(m.Name, m.Position, clubs, sex)
	if !ok {
		return r
	}
	r.Target = &TargetReport{Low: end(target.Range.Low), High: end(target.Range.High), Source: target.Source}
	r.Verdict, _, _, _ = geometry.Judge(m.Value, m.Sigma, target.Range)
	if r.Verdict == geometry.CantTell && solution != nil {
		if best := solution.Suggest(m.Name, m.Position, 1); len(best) > 0 {
			r.Advice = best[0].Advice
		}
	}
	return r
}

// rounded returns v to a ten-thousandth, with no negative zero.
func rounded(v float64) float64 { return math.Round(v*1e4)/1e4 + 0 }
