package review

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/ui/explain"
	"turngauge/ui/review/film"
	"turngauge/ui/session"
)

// state is what the window shows now.
func (r *Room) state() *review.State {
	s := r.host.Session()
	show := s.Show()
	out := &review.State{Swing: s.Bench.Swing().ID, Position: string(show.Position), Panels: r.doors.Panels()}
	if slices.Contains(out.Panels, film.Curves) {
		out.Curves = &review.Curves{}
		out.Curves.Names, out.Curves.Speeds = r.doors.Curves()
	}
	if name, at, ok := strings.Cut(r.doors.Row(), " @ "); ok {
		out.Row = &review.Row{Measure: name, Position: at}
	}
	if on, slow := show.Playing(); on {
		out.Slow = float64(slow)
	} else if a := r.about; a != nil && out.Row == nil && a.Position == out.Position {
		out.Row = a
	}
	var lines explain.Set
	out.Explained, lines = r.doors.Explained()
	for l := range explain.Line(explain.NumLines) {
		if out.Explained && lines[l] {
			out.Lines = append(out.Lines, l.String())
		}
	}
	for _, i := range r.doors.Shown() {
		st, size := &show.Stages[i], r.doors.Size(i)
		if st.Clip == "" {
			continue
		}
		other := s.Comparing != nil && i > 0 && s.Other != nil
		if other && out.Other == nil {
			out.Other = otherOf(s)
		}
		c := st.Port.Visible(st.Picture, size)
		out.Views = append(out.Views, review.View{
			Clip: st.Clip, Frame: st.Frame, Other: other,
			Part: [4]float64{float64(c.X0), float64(c.Y0), float64(c.X1 - c.X0), float64(c.Y1 - c.Y0)},
		})
		if at, ok := r.doors.Pointer(i); ok {
			// There is no such place on a stage whose clip is not open yet.
			if p := st.Port.ToPicture(at, size); st.Port.Scale > 0 {
				out.Pointer = &review.Pointer{View: len(out.Views) - 1, X: p.X, Y: p.Y}
			}
		}
		if !out.Explained || other {
			continue
		}
		drawings := s.Bench.Swing().Drawings
		for k := range drawings {
			if drawings[k].On(st.Clip, st.Frame) {
				out.Drawings = append(out.Drawings, drawn(&drawings[k], st.Clip))
			}
		}
		if d, ok := r.doors.Begun(i); ok && len(d.Points) >= max(d.Kind.Points(), 1) {
			out.Drawings = append(out.Drawings, drawn(&d, st.Clip))
		}
	}
	if st := &show.Stages[1]; st.Clip != "" && s.Comparing != nil && s.Other != nil && len(out.Views) == 1 {
		if share, ok := r.doors.Over(); ok {
			out.Over, out.Other = share, otherOf(s)
			out.Views = append(out.Views, review.View{Clip: st.Clip, Frame: st.Frame, Other: true})
		}
	}
	return out
}

// otherOf is the swing that is compared with; nil for none.
func otherOf(s *session.Session) *review.Other {
	if s.Other == nil {
		return nil
	}
	out := &review.Other{Swing: s.Other.Swing().ID}
	if s.Other.Path != s.Path {
		out.Lesson = s.Other.Path
	}
	return out
}

var strokeNames = map[annotations.Stroke]string{annotations.DashedStroke: "dashed", annotations.DottedStroke: "dotted"}

func drawn(d *annotations.Drawing, clip string) review.Drawing {
	out := review.Drawing{ID: d.ID, Clip: clip, Kind: d.Kind.String(), Text: d.Text, Stroke: strokeNames[d.Stroke]}
	for _, p := range d.Points {
		out.Points = append(out.Points, [2]float64{p.X, p.Y})
	}
	return out
}

// clock writes seconds as minutes and seconds.
func clock(seconds float64) string {
	s := int(seconds + 0.5)
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// cause is an error of a file system without the file's name.
func cause(err error) string {
	if p := new(fs.PathError); errors.As(err, &p) {
		err = p.Err
	}
	if errors.Is(err, os.ErrPermission) {
		return "it may not be written there"
	}
	return strings.TrimSuffix(err.Error(), ".")
}
