package takehome

import (
	"context"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/sheet"
)

// measured is a swing with all that its marks tell.
type measured struct {
	*annotations.Result
	visit   []*annotations.Result  // the swings of its lesson that were swung alike
	numbers []annotations.Measured // as they are written down: means, of several
	seen    [][]explain.Seen       // by clip and position; nil without a solution
}

// measure takes the result that the request brings of a swing, or evaluates it.
// The only error is that of ctx.
func (r *Request) measure(ctx context.Context, l *annotations.Lesson, index int) (*measured, error) {
	m := new(measured)
	for _, known := range r.Results {
		if known.Lesson == l && known.Index == index {
			m.Result = known
		}
	}
	if m.Result == nil {
		var err error
		if m.Result, err = annotations.Evaluate(ctx, l, index, annotations.Options{Targets: r.targets(), Decided: r.Decided}); err != nil {
			return nil, err
		}
	}
	var err error
	if m.visit, err = series.Visit(ctx, m.Result, r.Results, annotations.Options{Targets: r.targets(), Decided: r.Decided}); err != nil {
		return nil, err
	}
	r.hold(m, nil, false)
	if m.Solution != nil && !m.Mistake().WithholdsAll() {
		m.seen = explain.See(m.Solution, &m.Problem)
	}
	return m, nil
}

// hold takes the numbers of a swing: of it alone, or the means over its visit, held
// against an earlier visit if there is one.
func (r *Request) hold(m *measured, earlier []*annotations.Result, alone bool) {
	m.numbers = series.Held(m.Result, m.visit, earlier, alone, &annotations.Options{Targets: r.targets(), Decided: r.Decided})
	for i := range m.numbers {
		m.numbers[i] = m.numbers[i].Rounded()
	}
}

// number returns what was measured by a name at a position, or nil.
func (m *measured) number(name string, position geometry.PositionName) *annotations.Measured {
	if m == nil {
		return nil
	}
	for i := range m.numbers {
		if x := &m.numbers[i]; x.Name == name && x.Position == position {
			return x
		}
	}
	return nil
}

// findings are what the coach found, but for what was found of measures that a
// mistake of the whole swing has made wrong.
func (m *measured) findings() []annotations.Finding {
	return slices.DeleteFunc(slices.Clone(m.Swing().Findings), func(f annotations.Finding) bool {
		return f.Measure != "" && m.Withheld(f.Measure, f.Position)
	})
}

// pointsAt returns the fitted points at a position, or nil.
func (m *measured) pointsAt(position geometry.PositionName) *[geometry.NumPoints]geometry.PointEstimate {
	if m == nil {
		return nil
	}
	return m.Points(position)
}

// seenAt returns what the fit sees in a clip at a position.
func (m *measured) seenAt(clip string, position geometry.PositionName) explain.Seen {
	c, p := m.Swing().ClipIndex(clip), m.Swing().PositionIndex(position)
	if c < 0 || p < 0 || c >= len(m.seen) || p >= len(m.seen[c]) {
		return explain.Seen{}
	}
	return m.seen[c][p]
}

// frame is a frame of a clip at a position with what can be drawn on it.
func (m *measured) frame(clip string, ref annotations.FrameRef, position geometry.PositionName) *explain.Frame {
	return explain.NewFrame(m.Lesson, m.Swing().ID, clip, ref.Index, m.seenAt(clip, position), nil)
}

// address is the clip's frame at address for comparison with another position,
// or nil.
func (m *measured) address(clip string, position geometry.PositionName) *explain.Frame {
	ref, ok := m.Swing().FrameOf(clip, geometry.Address)
	if !ok || position == geometry.Address {
		return nil
	}
	return m.frame(clip, ref, geometry.Address)
}

// rows are the measures as the sheet of measures shows them, for its scales.
func (m *measured) rows() *sheet.Model { return sheet.Build(sheet.Input{Measures: m.Measures}) }

// rangeOf is the target range of a measure, or nil.
func rangeOf(m *annotations.Measured) *geometry.Range {
	if m.Target == nil {
		return nil
	}
	return &m.Target.Range
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
