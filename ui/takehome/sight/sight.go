// Package sight says how a measure is best seen in a picture: from which view, by
// which lines, and which way of what moves.
package sight

import (
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/explain"
)

// Sight says how a measure is best seen in a picture.
type Sight struct {
	View  geometry.View // the better one; the other will do
	Lines explain.Set
	// only keeps one side's strokes, for a measure of one leg or one foot.
	only explain.Ink
	// moved is the point whose way since address is the measure, and hips says
	// that it is the middle of the hips.
	moved geometry.Point
	trace bool
	hips  bool
	knee  bool // draw the leg from hip to ankle by way of the knee
}

// Best says how a measure is best seen (ours: the view across which it
// runs, or in which its landmarks face the camera).
func Best(measure string) Sight {
	on := func(v geometry.View, lines ...explain.Line) Sight {
		s := Sight{View: v}
		for _, l := range lines {
			s.Lines[l] = true
		}
		return s
	}
	side := func(s Sight) Sight {
		s.only = explain.LeadInk
		if strings.HasPrefix(measure, "trail ") {
			s.only = explain.TrailInk
		}
		return s
	}
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(measure, w) {
				return true
			}
		}
		return false
	}
	const face, line = geometry.FaceOn, geometry.DownTheLine
	switch {
	case has("ankle-knee line"):
		return side(on(line, explain.AnkleKneeLine))
	case has("knee flex"):
		s := side(on(line))
		s.knee = true
		return s
	case has("foot flare"):
		return side(on(face, explain.FootLine))
	case has("stance width"):
		return on(face, explain.FootLine)
	case has("balance"):
		return on(line, explain.AnkleKneeLine, explain.FootLine)
	case has("knee travel", "head travel"):
		s := Sight{View: face, moved: geometry.Head, trace: true}
		if has("knee") {
			s.moved = geometry.LeadKnee
		}
		if has("to ball") {
			s.View = line
		}
		return s
	case has("sway", "pelvis height change", "pelvis toward the ball"):
		s := on(face, explain.HipLine)
		s.trace, s.hips = true, true
		if has("pelvis toward the ball") {
			s.View = line
		}
		return s
	case has("forward bend"):
		return on(line, explain.TrunkLine)
	case has("side bend"):
		return on(face, explain.TrunkLine)
	case has("separation"):
		return on(face, explain.HipLine, explain.ShoulderLine)
	case has("pelvis"):
		return on(face, explain.HipLine)
	case has("torso"):
		return on(face, explain.ShoulderLine)
	case has("plane"):
		return on(line, explain.ShaftPlane)
	}
	return Sight{View: face}
}

// Of is how a finding is seen on the frame that the coach chose for it, in a view at a
// key position, "" for none: with the lines of its measure where that is read there.
func Of(f *annotations.Finding, view geometry.View, position geometry.PositionName) Sight {
	told := f.Position
	if told == "" { // of the whole swing
		told = geometry.Top
	}
	if best := Best(f.Measure); f.Measure != "" && position == told {
		best.View = view
		return best
	}
	return Sight{View: view}
}

// In chooses the clip and the frame in which a measure is seen at a
// position: the better view's, if it has a frame there.
func (how *Sight) In(s *annotations.Swing, position geometry.PositionName) (*annotations.Clip, annotations.FrameRef, bool) {
	other := geometry.FaceOn
	if how.View == geometry.FaceOn {
		other = geometry.DownTheLine
	}
	for _, v := range [2]geometry.View{how.View, other} {
		for i := range s.Clips {
			c := &s.Clips[i]
			if c.View != v {
				continue
			}
			if f, ok := s.FrameOf(c.ID, position); ok {
				return c, f, true
			}
		}
	}
	return nil, annotations.FrameRef{}, false
}

// Figure returns the lines that show a measure on a frame. address is the same
// clip's frame at address, from which a way is drawn; it may be nil.
func (how *Sight) Figure(f, address *explain.Frame) *explain.Figure {
	f.Numbers = nil // they stand beside the picture
	g := f.Figure(how.Lines)
	if how.only != explain.MiddleInk {
		keepInk(g, how.only)
	}
	ink := explain.LeadInk
	hip, knee, ankle := geometry.LeadHip, geometry.LeadKnee, geometry.LeadAnkle
	if how.only == explain.TrailInk {
		ink, hip, knee, ankle = explain.TrailInk, geometry.TrailHip, geometry.TrailKnee, geometry.TrailAnkle
	}
	if how.knee && f.Spots[hip].Known && f.Spots[knee].Known && f.Spots[ankle].Known {
		h, k, a := f.Spots[hip], f.Spots[knee], f.Spots[ankle]
		dashed := ink == explain.TrailInk
		g.Strokes = append(g.Strokes, explain.Stroke{From: h.At, To: k.At, Ink: ink, Dashed: dashed}, explain.Stroke{From: k.At, To: a.At, Ink: ink, Dashed: dashed})
		for _, s := range []explain.Spot{h, k, a} {
			g.Dots = append(g.Dots, explain.Dot{At: s.At, Ink: ink, Hollow: s.Fitted})
		}
	}
	if how.trace && address != nil {
		from, ok1 := how.place(address)
		to, ok2 := how.place(f)
		if ok1 && ok2 && from != to {
			g.Strokes = append(g.Strokes, explain.Stroke{From: from, To: to, Ink: explain.MiddleInk, Arrow: true})
			g.Dots = append(g.Dots, explain.Dot{At: from, Ink: explain.MiddleInk, Hollow: true})
		}
	}
	return g
}

// place returns where what moves is on a frame.
func (how *Sight) place(f *explain.Frame) (geometry.ImagePt, bool) {
	if !how.hips {
		return f.Spots[how.moved].At, f.Spots[how.moved].Known
	}
	l, t := f.Spots[geometry.LeadHip], f.Spots[geometry.TrailHip]
	return geometry.ImagePt{X: (l.At.X + t.At.X) / 2, Y: (l.At.Y + t.At.Y) / 2}, l.Known && t.Known
}

// keepInk leaves the strokes of one ink, and the coach's own drawings.
func keepInk(g *explain.Figure, ink explain.Ink) {
	keep := func(i explain.Ink) bool { return i == ink || i >= explain.OwnInk }
	out := explain.Figure{Arcs: g.Arcs, Paths: g.Paths, Labels: g.Labels, Body: g.Body}
	for _, s := range g.Strokes {
		if keep(s.Ink) {
			out.Strokes = append(out.Strokes, s)
		}
	}
	for _, d := range g.Dots {
		if keep(d.Ink) {
			out.Dots = append(out.Dots, d)
		}
	}
	*g = out
}
