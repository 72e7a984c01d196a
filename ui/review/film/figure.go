package film

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/takehome/sight"
)

var kinds = func() map[string]annotations.DrawingKind {
	out := map[string]annotations.DrawingKind{}
	for k := annotations.DrawnLine; k <= annotations.DrawnFreehand; k++ {
		out[k.String()] = k
	}
	return out
}()

var strokes = map[string]annotations.Stroke{"dashed": annotations.DashedStroke, "dotted": annotations.DottedStroke}

// drawings are those of a state on a frame of a clip.
func drawings(s *review.State, v *review.View) (out []annotations.Drawing) {
	for _, d := range s.Drawings {
		x := annotations.Drawing{ID: d.ID, Frame: annotations.FrameRef{Clip: d.Clip, Index: v.Frame}, Kind: kinds[d.Kind], Text: d.Text, Stroke: strokes[d.Stroke]}
		for _, p := range d.Points {
			x.Points = append(x.Points, geometry.ImagePt{X: p[0], Y: p[1]})
		}
		n := x.Kind.Points()
		if d.Clip != v.Clip || n == 0 || len(x.Points) < n || len(x.Points) > n && x.Kind != annotations.DrawnFreehand {
			continue
		}
		out = append(out, x)
	}
	return out
}

// figure is what is drawn on a view, and what is said of the measure that is pointed at.
func (f *Film) figure(s *review.State, v *review.View, side *side, paired bool) (*explain.Figure, string) {
	at := geometry.PositionName(positionOf(side, v))
	imperial := f.request.Imperial
	frame := side.frame(v.Clip, v.Frame, at, side.written(at, imperial))
	frame.Drawings, frame.Paired = nil, paired
	var on explain.Set
	if s.Explained {
		if !v.Other {
			frame.Drawings = drawings(s, v)
		}
		for _, name := range s.Lines {
			if l, ok := explain.ParseLine(name); ok {
				on[l] = true
			}
		}
	}
	fig := frame.Figure(on)
	row := s.Row
	if row == nil || v.Other {
		return fig, ""
	}
	number := side.told(row.Measure, geometry.PositionName(row.Position), imperial)
	if number == "" {
		return fig, "" // it isn't known any more
	}
	said := words.Sentence(nameAt(row.Measure, geometry.PositionName(row.Position))) + ": " + number
	if side.swings > 1 {
		said += fmt.Sprintf(", mean of %d swings", side.swings)
	}
	if row.Position != string(at) || at == "" {
		return fig, said
	}
	var address *explain.Frame
	if ref, ok := side.Swing().FrameOf(v.Clip, geometry.Address); ok && at != geometry.Address {
		address = side.frame(v.Clip, ref.Index, geometry.Address, nil)
	}
	how := sight.Best(row.Measure)
	lines := how.Figure(side.frame(v.Clip, v.Frame, at, nil), address)
	// Beside lines that explain stand numbers already, of this swing alone.
	if c := side.Swing().Clip(v.Clip); !s.Explained && len(lines.Strokes) > 0 && (!paired || c != nil && c.View == how.View) {
		first := &lines.Strokes[0]
		lines.Labels = append(lines.Labels, explain.Label{At: first.To, Ink: first.Ink, Text: row.Measure, Value: number})
	}
	fig.Strokes, fig.Paths = append(fig.Strokes, lines.Strokes...), append(fig.Paths, lines.Paths...)
	fig.Dots, fig.Arcs = append(fig.Dots, lines.Dots...), append(fig.Arcs, lines.Arcs...)
	fig.Labels = append(fig.Labels, lines.Labels...)
	return fig, said
}
