package film

import (
	"context"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/explain"
)

// measured is a swing with all that its marks tell.
type measured struct {
	*annotations.Result
	numbers []annotations.Measured // as they are told: means over the visit, where it has several swings
	swings  int                    // so many
	seen    [][]explain.Seen       // by clip and position; nil without a solution
}

// measure takes the result that the request brings of a swing, or evaluates it. The only
// error is that of ctx.
func (f *Film) measure(ctx context.Context, l *annotations.Lesson, index int) (*measured, error) {
	m := new(measured)
	for _, known := range f.request.Results {
		if known.Lesson == l && known.Index == index {
			m.Result = known
		}
	}
	targets := f.request.Targets
	if targets == nil {
		targets = annotations.DefaultTargets()
	}
	o := annotations.Options{Targets: targets, Decided: f.request.Decided}
	if m.Result == nil {
		var err error
		if m.Result, err = annotations.Evaluate(ctx, l, index, o); err != nil {
			return nil, err
		}
	}
	visit, err := series.Visit(ctx, m.Result, f.request.Results, o)
	if err != nil {
		return nil, err
	}
	m.swings = max(len(visit), 1)
	m.numbers = series.Held(m.Result, visit, nil, false, &o)
	if m.Solution != nil && !m.Mistake().WithholdsAll() {
		m.seen = explain.See(m.Solution, &m.Problem)
	}
	return m, nil
}

// told writes a measure with its interval, "" where it isn't known or is withheld.
func (m *measured) told(name string, at geometry.PositionName, imperial bool) string {
	if m.Withheld(name, at) {
		return ""
	}
	for i := range m.numbers {
		if x := m.numbers[i].Rounded(); x.Name == name && x.Position == at {
			return words.Told(x.Unit, imperial).Of(name, at).WithInterval(x.Value, x.Low95, x.High95)
		}
	}
	return ""
}

// written are the measures of a position as they stand beside their lines: those of this
// swing alone, as the window writes them there.
func (m *measured) written(at geometry.PositionName, imperial bool) map[string]string {
	out := map[string]string{}
	values := m.Values()
	for i := range values {
		if x := &values[i]; x.Position == at && !m.Withheld(x.Name, at) {
			out[x.Name] = words.Told(x.Unit, imperial).Of(x.Name, at).WithInterval(x.Value, x.Low95, x.High95)
		}
	}
	return out
}

// frame is a frame of a clip with what can be drawn on it.
func (m *measured) frame(clip string, index int, at geometry.PositionName, written map[string]string) *explain.Frame {
	return explain.NewFrame(m.Lesson, m.Swing().ID, clip, index, m.seenAt(clip, at), written)
}

// seenAt is what the fit sees in a clip at a position.
func (m *measured) seenAt(clip string, at geometry.PositionName) explain.Seen {
	c, p := m.Swing().ClipIndex(clip), m.Swing().PositionIndex(at)
	if c < 0 || p < 0 || c >= len(m.seen) || p >= len(m.seen[c]) {
		return explain.Seen{}
	}
	return m.seen[c][p]
}
