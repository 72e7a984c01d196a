package annotations

import (
	"strconv"

	"turngauge/annotations/jsontree"
	"turngauge/geometry"
)

// Encode returns the document of l, ending in a line feed. The same lesson
// always gives the same bytes. The error is Faults, where l breaks a rule of
// the document; a lesson from Decode or an Editor never does.
func (l *Lesson) Encode() ([]byte, error) {
	if err := l.Validate(); err != nil {
		return nil, err
	}
	return append(l.node().AppendIndented(nil, 0), '\n'), nil
}

func (l *Lesson) node() *jsontree.Node {
	var b builder
	b.text("kind", Kind)
	b.integer("version", Version)
	b.text("id", l.ID)
	b.text("title", l.Title)
	b.text("date", l.Date)
	s := &l.Student
	var st builder
	st.text("id", s.ID)
	st.text("name", s.Name)
	st.text("handed", nameOf(handedWords, s.Handed))
	st.number("stature_m", s.StatureM)
	st.number("stature_sd_m", s.StatureSDM)
	st.number("mass_kg", s.MassKg)
	st.text("sex", nameOf(sexWords, s.Sex))
	st.text("handicap", s.Handicap)
	st.text("injuries", s.Injuries)
	b.add("student", st.done(s.unknown))
	b.text("coach", l.Coach)
	b.text("place", l.Place)
	b.text("notes", l.Notes)
	b.text("question", l.Question)
	b.number("click_sd_px", l.ClickSDPx)
	b.add("swings", listOf(l.Swings, (*Swing).node))
	if len(l.Shots) > 0 {
		b.add("shots", listOf(l.Shots, l.shotNode))
		if l.Yards {
			b.text("flights_in", "yd")
		}
	}
	if p := &l.Prescription; !p.Empty() || p.unknown != nil {
		b.add("prescription", p.node())
	}
	if len(l.Reviews) > 0 {
		b.add("reviews", l.Reviews.Node())
	}
	return b.done(l.unknown)
}

func (s *Swing) node() *jsontree.Node {
	var b builder
	b.text("id", s.ID)
	b.text("label", s.Label)
	b.text("tried", s.Tried)
	if s.Club != (Club{}) {
		var c builder
		c.text("name", s.Club.Name)
		c.number("length_m", s.Club.LengthM)
		b.add("club", c.done(s.Club.unknown))
	}
	b.add("clips", listOf(s.Clips, (*Clip).node))
	b.add("positions", listOf(s.Positions, (*Position).node))
	b.add("marks", listOf(s.Marks, (*Mark).node))
	s.addDrawings(&b)
	if len(s.Repeats) > 0 {
		b.add("repeats", listOf(s.Repeats, (*Repeat).node))
	}
	if len(s.Findings) > 0 {
		b.add("findings", listOf(s.Findings, (*Finding).node))
	}
	if s.Followed != nil {
		b.add("followed", s.Followed.node())
	}
	return b.done(s.unknown)
}

func (c *Clip) node() *jsontree.Node {
	var b builder
	b.text("id", c.ID)
	b.text("view", c.View.String())
	b.text("file", c.File)
	b.text("sha256", c.SHA256)
	b.integer("width", int64(c.Width))
	b.integer("height", int64(c.Height))
	if c.TimeBase != ([2]int64{}) {
		b.add("time_base", &jsontree.Node{Kind: jsontree.Array, Items: []*jsontree.Node{integerNode(c.TimeBase[0]), integerNode(c.TimeBase[1])}})
	}
	if !c.Part.Whole() {
		b.add("part", c.Part.node())
	}
	b.number("filmed_fps", c.FilmedFPS)
	b.yes("mirrored", c.Mirrored)
	b.text("speed", nameOf(speedWords, c.Speed))
	b.number("focal_px", c.FocalPx)
	b.number("focal_rel_sd", c.FocalRelSD)
	if c.GolferAt != (geometry.ImagePt{}) {
		b.add("golfer_at", pointNode(c.GolferAt))
	}
	if c.Stand != 0 {
		b.integer("stand", int64(c.Stand))
	}
	if len(c.GroundLines) > 0 {
		b.add("ground_lines", listOf(c.GroundLines, (*GroundLine).node))
	}
	return b.done(c.unknown)
}

func (g *GroundLine) node() *jsontree.Node {
	var b builder
	b.number("length_m", g.LengthM)
	b.text("along", nameOf(alongWords, g.Along))
	b.number("sd_px", g.SDPx)
	b.add("ends", listOf(g.Ends[:], func(p *geometry.ImagePt) *jsontree.Node { return pointNode(*p) }))
	return b.done(g.unknown)
}

func (p *Position) node() *jsontree.Node {
	var b builder
	b.text("name", string(p.Name))
	b.add("frames", listOf(p.Frames, (*FrameRef).node))
	return b.done(p.unknown)
}

func (f *FrameRef) node() *jsontree.Node {
	var b builder
	b.text("clip", f.Clip)
	b.integer("index", int64(f.Index))
	if !f.PTSUnknown {
		b.integer("pts", f.PTS)
	}
	b.yes("proposed", f.Proposed)
	return b.done(f.unknown)
}

func (m *Mark) node() *jsontree.Node {
	var b builder
	b.text("clip", m.Clip)
	b.text("position", string(m.Position))
	b.text("point", m.Point.String())
	if m.State != geometry.Hidden {
		b.add("x", floatNode(m.At.X))
		b.add("y", floatNode(m.At.Y))
		b.number("sd_px", m.SDPx)
		b.number("shared_bias_px", m.SharedBiasPx)
	}
	b.text("state", nameOf(stateWords, m.State))
	if !m.Seen.None() {
		b.add("seen_at", m.Seen.node())
	}
	return b.done(m.unknown)
}

// builder collects the fields of an object in order. Empty texts and zero
// numbers are not known and so are left out.
type builder struct{ members []jsontree.Member }

func (b *builder) add(name string, n *jsontree.Node) {
	b.members = append(b.members, jsontree.Member{Name: name, Value: n})
}

func (b *builder) text(name, v string) {
	if v != "" {
		b.add(name, &jsontree.Node{Kind: jsontree.String, Text: v})
	}
}

func (b *builder) number(name string, v float64) {
	if v != 0 {
		b.add(name, floatNode(v))
	}
}

func (b *builder) yes(name string, v bool) {
	if v {
		b.add(name, &jsontree.Node{Kind: jsontree.Bool, Text: "true"})
	}
}

func (b *builder) integer(name string, v int64) { b.add(name, integerNode(v)) }

func (b *builder) done(u *jsontree.Fields) *jsontree.Node {
	if u != nil {
		b.members = append(b.members, *u...)
	}
	return &jsontree.Node{Kind: jsontree.Object, Members: b.members}
}

func listOf[T any](items []T, f func(*T) *jsontree.Node) *jsontree.Node {
	n := &jsontree.Node{Kind: jsontree.Array}
	for i := range items {
		n.Items = append(n.Items, f(&items[i]))
	}
	return n
}

func integerNode(v int64) *jsontree.Node {
	return &jsontree.Node{Kind: jsontree.Number, Text: strconv.FormatInt(v, 10)}
}

func floatNode(v float64) *jsontree.Node {
	return &jsontree.Node{Kind: jsontree.Number, Text: strconv.FormatFloat(v, 'f', -1, 64)}
}
