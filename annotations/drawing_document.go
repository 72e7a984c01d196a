package annotations

import (
	"fmt"

	"turngauge/annotations/jsontree"
	"turngauge/geometry"
)

// The drawings of a swing in the document:
//
//	"drawings": [{"id": "01J…", "clip": "fo", "index": 263, "pts": 16832, "position": "top",
//	              "kind": "angle", "points": [[x, y], [x, y], [x, y]], "text": "lead arm and shaft"}]
//
// "position" is written where the frame is that of a key position, for those
// who read the document without looking frames up. It is never read: the
// positions themselves say what the frame is.

// The most that drawings may hold.
const (
	maxDrawings    = 2000
	maxDrawingText = 500
)

var drawingWords = []word[DrawingKind]{
	{"line", DrawnLine}, {"angle", DrawnAngle}, {"note", DrawnNote},
}

func (r *reader) drawing(o object) Drawing {
	d := Drawing{
		ID:    o.text("id", required),
		Frame: FrameRef{Clip: o.text("clip", required), Index: int(o.integer("index", required))},
		Kind:  enum(o, "kind", required, drawingWords),
		Text:  o.text("text", optional),
	}
	if n := o.take("pts"); n != nil {
		d.Frame.PTS = r.integer(n, o.at("pts"))
	} else {
		d.Frame.PTSUnknown = true
	}
	o.text("position", optional)
	path := o.at("points")
	const shape = "a list of points, each with x and y, such as [[812, 431.5], [905, 640]]"
	n := o.take("points")
	switch {
	case n != nil && n.Kind == jsontree.Array && n.Count() <= DrawnAngle.Points():
		items, _ := n.List(DrawnAngle.Points())
		for i, it := range items {
			at := path + index(i)
			if xy := r.pair(it, at, "x and y"); xy != nil {
				d.Points = append(d.Points, geometry.ImagePt{X: r.number(xy[0], at+"[0]"), Y: r.number(xy[1], at+"[1]")})
			}
		}
	case n != nil:
		r.fault(path, "must be %s, at most %d of them", shape, DrawnAngle.Points())
	case !o.void && !r.broken[path]:
		r.fault(path, "is missing; give %s", shape)
	}
	d.unknown = o.rest()
	return d
}

func (s *Swing) drawingNode(d *Drawing) *jsontree.Node {
	var b builder
	b.text("id", d.ID)
	b.text("clip", d.Frame.Clip)
	b.integer("index", int64(d.Frame.Index))
	if !d.Frame.PTSUnknown {
		b.integer("pts", d.Frame.PTS)
	}
	if p, ok := s.PositionAt(d.Frame.Clip, d.Frame.Index); ok {
		b.text("position", string(p))
	}
	b.text("kind", nameOf(drawingWords, d.Kind))
	b.add("points", listOf(d.Points, func(p *geometry.ImagePt) *jsontree.Node {
		return &jsontree.Node{Kind: jsontree.Array, Items: []*jsontree.Node{floatNode(p.X), floatNode(p.Y)}}
	}))
	b.text("text", d.Text)
	return b.done(d.unknown)
}

func (s *Swing) checkDrawings(f *Faults, at string, clips map[string]int) {
	seen := make(map[string]int, len(s.Drawings))
	for i := range s.Drawings {
		d := &s.Drawings[i]
		in := fmt.Sprintf("%s.drawings[%d]", at, i)
		f.id(in+".id", d.ID)
		f.once(seen, d.ID, in+".id", at+".drawings", "drawing", i)
		c, ok := clips[d.Frame.Clip]
		if !ok {
			f.add(in+".clip", "there is no clip %s in this swing", quote(d.Frame.Clip))
		}
		if d.Frame.Index < 0 || d.Frame.Index > maxIndex {
			f.add(in+".index", "must be from 0 to %d, not %d", maxIndex, d.Frame.Index)
		}
		if d.Frame.PTS > maxInteger || d.Frame.PTS < -maxInteger {
			f.add(in+".pts", "%d is too large for a time", d.Frame.PTS)
		}
		f.text(in+".text", d.Text, maxDrawingText)
		if d.Kind == DrawnNote && d.Text == "" {
			f.add(in+".text", "a note says something; give its text or take the note out")
		}
		if nameOf(drawingWords, d.Kind) == "" {
			f.add(in+".kind", "must be %s", choices(drawingWords))
			continue
		}
		if n := d.Kind.Points(); len(d.Points) != n {
			f.add(in+".points", "has %d points; a %s has %d", len(d.Points), d.Kind, n)
			continue
		}
		for k, p := range d.Points {
			if ok {
				s.Clips[c].inside(f, outside, fmt.Sprintf("%s.points[%d]", in, k), "[0]", "[1]", p)
			}
			if k > 0 && p == d.Points[k-1] {
				f.add(fmt.Sprintf("%s.points[%d]", in, k), "is at the same place as the point before it")
			}
		}
	}
}
