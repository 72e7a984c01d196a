package annotations

import (
	"fmt"
	"slices"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// The drawings of a swing in the document:
//
//	"drawings": [{"id": "01J…", "clip": "fo", "index": 263, "pts": 16832, "position": "top",
//	              "kind": "angle", "points": [[x, y], [x, y], [x, y]], "text": "lead arm and shaft"}]
//
// "stroke" is "dashed" or "dotted", "stays" is "whole" or {"from": 240, "to": 300}, frames
// of the clip; both are left out where they are not so.
//
// Shapes (arrow, circle, box, freehand), which programs of before December 2026 do not
// know, stand in a list of their own that those keep as it is:
//
//	"shapes": [{"id": "01J…", "clip": "fo", "index": 263, "kind": "circle", "points": [[x, y], [x, y]]}]
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

var shapeWords = []word[DrawingKind]{
	{"arrow", DrawnArrow}, {"circle", DrawnCircle}, {"box", DrawnBox}, {"freehand", DrawnFreehand},
}

var strokeWords = []word[Stroke]{{"dashed", DashedStroke}, {"dotted", DottedStroke}}

// stay reads how long a drawing stays.
func (o object) stay() (s Stay) {
	n := o.take("stays")
	switch {
	case n == nil:
	case n.Kind == jsontree.String && n.Text == "whole":
		s.Whole = true
	case n.Kind == jsontree.Object:
		f := o.r.object(n, o.at("stays"))
		s.From, s.To = int(f.integer("from", required)), int(f.integer("to", required))
		if s.From < 0 || s.To > maxIndex || s.To <= s.From {
			o.r.fault(o.at("stays"), "must run from a frame to a later one, from 0 to %d", maxIndex)
		}
	default:
		o.r.fault(o.at("stays"), `must be "whole" or two frames, such as {"from": 240, "to": 300}`)
	}
	return s
}

func (r *reader) drawing(o object, kinds []word[DrawingKind]) Drawing {
	d := Drawing{
		ID:     o.text("id", required),
		Frame:  FrameRef{Clip: o.text("clip", required), Index: int(o.integer("index", required))},
		Kind:   enum(o, "kind", required, kinds),
		Text:   o.text("text", optional),
		Stroke: enum(o, "stroke", optional, strokeWords),
		Stay:   o.stay(),
	}
	if n := o.take("pts"); n != nil {
		d.Frame.PTS = r.integer(n, o.at("pts"))
	} else {
		d.Frame.PTSUnknown = true
	}
	o.text("position", optional)
	most := DrawnAngle.Points()
	if d.Kind == DrawnFreehand {
		most = MostFreehand
	}
	path := o.at("points")
	const shape = "a list of points, each with x and y, such as [[812, 431.5], [905, 640]]"
	n := o.take("points")
	switch {
	case n != nil && n.Kind == jsontree.Array && n.Count() <= most:
		items, _ := n.List(most)
		for i, it := range items {
			at := path + index(i)
			if xy := r.pair(it, at, "x and y"); xy != nil {
				d.Points = append(d.Points, geometry.ImagePt{X: r.number(xy[0], at+"[0]"), Y: r.number(xy[1], at+"[1]")})
			}
		}
	case n != nil:
		r.fault(path, "must be %s, at most %d of them", shape, most)
	case !o.void && !r.broken[path]:
		r.fault(path, "is missing; give %s", shape)
	}
	d.unknown = o.rest()
	return d
}

// addDrawings writes the drawings, and the shapes among them in their own list.
func (s *Swing) addDrawings(b *builder) {
	var lists [2][]Drawing
	for _, d := range s.Drawings {
		k := 0
		if d.Kind >= DrawnArrow {
			k = 1
		}
		lists[k] = append(lists[k], d)
	}
	for k, name := range [...]string{"drawings", "shapes"} {
		if len(lists[k]) > 0 {
			b.add(name, listOf(lists[k], s.drawingNode))
		}
	}
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
	b.text("kind", d.Kind.String())
	b.text("stroke", nameOf(strokeWords, d.Stroke))
	switch {
	case d.Stay.Whole:
		b.text("stays", "whole")
	case d.Stay.Stretch():
		var f builder
		f.integer("from", int64(d.Stay.From))
		f.integer("to", int64(d.Stay.To))
		b.add("stays", f.done(nil))
	}
	b.add("points", listOf(d.Points, func(p *geometry.ImagePt) *jsontree.Node {
		return &jsontree.Node{Kind: jsontree.Array, Items: []*jsontree.Node{floatNode(p.X), floatNode(p.Y)}}
	}))
	b.text("text", d.Text)
	return b.done(d.unknown)
}

func (s *Swing) checkDrawings(f *Faults, at string, clips map[string]int) {
	seen := make(map[string]int, len(s.Drawings))
	var count [2]int // in either list
	for i := range s.Drawings {
		d := &s.Drawings[i]
		list, k := "drawings", 0
		if d.Kind >= DrawnArrow {
			list, k = "shapes", 1
		}
		in := fmt.Sprintf("%s.%s[%d]", at, list, count[k])
		count[k]++
		f.id(in+".id", d.ID)
		f.once(seen, d.ID, in+".id", at+".drawings", "drawing", i)
		c, ok := clips[d.Frame.Clip]
		if !ok {
			f.add(in+".clip", "there is no clip %s in this swing", words.Quote(d.Frame.Clip))
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
		if d.Kind.Points() == 0 {
			f.add(in+".kind", "must be %s", choices(append(slices.Clone(drawingWords), shapeWords...)))
			continue
		}
		n := d.Kind.Points()
		if d.Kind == DrawnFreehand {
			n = min(max(len(d.Points), n), MostFreehand)
		}
		if len(d.Points) != n {
			f.add(in+".points", "has %d points; a %s has %d", len(d.Points), d.Kind, n)
			continue
		}
		for k, p := range d.Points {
			if ok {
				s.Clips[c].inside(f, outside, fmt.Sprintf("%s.points[%d]", in, k), "[0]", "[1]", p)
			}
			if k > 0 && p == d.Points[k-1] && d.Kind != DrawnFreehand {
				f.add(fmt.Sprintf("%s.points[%d]", in, k), "is at the same place as the point before it")
			}
		}
	}
}
