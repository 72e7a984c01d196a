package takehome

import (
	"context"
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/ui/explain"
	"turngauge/ui/sheet"
)

// measured is a swing with all that its marks tell.
type measured struct {
	lesson   *annotations.Lesson
	index    int
	problem  geometry.Swing
	solution *fit.Solution // nil where nothing could be fitted
	measures []geometry.Measure
	report   annotations.SwingReport
	seen     [][]explain.Seen // by clip and position; nil without a solution
}

func (m *measured) swing() *annotations.Swing { return &m.lesson.Swings[m.index] }

// measure fits a swing. The only error is that of ctx.
func measure(ctx context.Context, l *annotations.Lesson, index int, t annotations.Targets) (*measured, error) {
	m := &measured{lesson: l, index: index}
	problem, refs := annotations.Problem(l, index)
	m.problem = problem
	solution, err := fit.NewSolver().Solve(ctx, problem)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	m.report = l.ReportSwing(index, refs, solution, err, t)
	if err == nil {
		m.solution = solution
		m.measures, _ = solution.Measures()
		m.seen = explain.See(solution, &m.problem)
	}
	return m, nil
}

// reported returns what was measured by a name at a position, or nil.
func (m *measured) reported(name string, position geometry.PositionName) *annotations.MeasureReport {
	if m == nil {
		return nil
	}
	for i := range m.report.Measures {
		if r := &m.report.Measures[i]; r.Name == name && r.Position == position {
			return r
		}
	}
	return nil
}

// pointsAt returns the fitted points at a position, or nil.
func (m *measured) pointsAt(position geometry.PositionName) *[geometry.NumPoints]geometry.PointEstimate {
	if m == nil || m.solution == nil {
		return nil
	}
	i := m.swing().PositionIndex(position)
	if i < 0 || i >= len(m.solution.Points) {
		return nil
	}
	return &m.solution.Points[i]
}

// seenAt returns what the fit sees in a clip at a position.
func (m *measured) seenAt(clip string, position geometry.PositionName) explain.Seen {
	c, p := m.swing().ClipIndex(clip), m.swing().PositionIndex(position)
	if c < 0 || p < 0 || c >= len(m.seen) || p >= len(m.seen[c]) {
		return explain.Seen{}
	}
	return m.seen[c][p]
}

// frame is a frame of a clip at a position with what can be drawn on it.
func (m *measured) frame(clip string, ref annotations.FrameRef, position geometry.PositionName) *explain.Frame {
	return explain.NewFrame(m.lesson, m.swing().ID, clip, ref.Index, m.seenAt(clip, position), nil)
}

// address is the clip's frame at address for comparison with another position,
// or nil.
func (m *measured) address(clip string, position geometry.PositionName) *explain.Frame {
	ref, ok := m.swing().FrameOf(clip, geometry.Address)
	if !ok || position == geometry.Address {
		return nil
	}
	return m.frame(clip, ref, geometry.Address)
}

// rows are the measures as the sheet of measures shows them, for its scales.
func (m *measured) rows(t annotations.Targets) *sheet.Model {
	club, sex := m.swing().Club.Group(), m.lesson.Student.Sex
	return sheet.Build(sheet.Input{
		Measures: m.measures,
		Target: func(name string, position geometry.PositionName) (sheet.Target, bool) {
			x, ok := t.Find(name, position, club, sex)
			return sheet.Target{Range: x.Range, Source: x.Source}, ok
		},
	})
}

// rangeOf is a target range, or nil.
func rangeOf(t *annotations.TargetReport) *geometry.Range {
	if t == nil {
		return nil
	}
	r := &geometry.Range{Low: math.Inf(-1), High: math.Inf(1)}
	if t.Low != nil {
		r.Low = *t.Low
	}
	if t.High != nil {
		r.High = *t.High
	}
	return r
}

// marks counts the points that are marked, and the frames they are in.
func marks(s *annotations.Swing) (points, frames int) {
	type frame struct {
		clip     string
		position geometry.PositionName
	}
	seen := make(map[frame]bool)
	for i := range s.Marks {
		if m := &s.Marks[i]; m.State != geometry.Hidden {
			points++
			seen[frame{m.Clip, m.Position}] = true
		}
	}
	return points, len(seen)
}
