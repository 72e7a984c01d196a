package annotations

import (
	"fmt"
	"math"
	"slices"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Repeat is a point that was marked twice on the same frame, the second time
// without sight of the first. It keeps both places: the mark itself may be
// corrected later, which is no part of how well the coach repeats it.
type Repeat struct {
	Clip          string // the clip's ID
	Position      geometry.PositionName
	Point         geometry.Point
	First, Second geometry.ImagePt // upright pixels

	unknown *jsontree.Fields
}

// The bounds of Lesson.ClickSDPx. A hand that hits the same pixel each time is
// still no better than the least.
const (
	minClickSD = 0.1
	maxClickSD = 100
)

// RepeatsAt returns the repeats of a key position, in document order.
func (s *Swing) RepeatsAt(position geometry.PositionName) []Repeat {
	var out []Repeat
	for _, r := range s.Repeats {
		if r.Position == position {
			out = append(out, r)
		}
	}
	return out
}

// FarSide is how much less well a point is marked in a view than the same
// point face-on: the factor that the fit puts on the click error there.
func FarSide(p geometry.Point, v geometry.View) float64 {
	return geometry.DefaultSigmaPx(p, geometry.Placed, v) / geometry.DefaultSigmaPx(p, geometry.Placed, geometry.FaceOn)
}

// pairs returns the repeats of s as two markings. A difference on the side that
// the golfer's own body hides is divided by the factor that the fit puts on
// such marks, so that all are of one kind. position and clip keep the pairs of
// several swings apart.
func (s *Swing) pairs(first, second []geometry.Mark, swing int) (a, b []geometry.Mark) {
	for i, r := range s.Repeats {
		c := s.Clip(r.Clip)
		if c == nil {
			continue
		}
		k := FarSide(r.Point, c.View)
		m := geometry.Mark{Clip: swing, Position: i, Point: r.Point, At: r.First}
		first = append(first, m)
		m.At = geometry.ImagePt{X: r.First.X + (r.Second.X-r.First.X)/k, Y: r.First.Y + (r.Second.Y-r.First.Y)/k}
		second = append(second, m)
	}
	return first, second
}

// Repeatability returns how well the marks of the lesson were repeated, over
// all its swings. ok is false with too few pairs to tell; Pairs counts them.
func (l *Lesson) Repeatability() (r geometry.Repeatability, ok bool) {
	var first, second []geometry.Mark
	for i := range l.Swings {
		first, second = l.Swings[i].pairs(first, second, i)
	}
	r, ok = geometry.RepeatMarks(first, second)
	if ok {
		r.ClickSigmaPx = math.Min(math.Max(r.ClickSigmaPx, minClickSD), maxClickSD)
	}
	return r, ok
}

// SetRepeats replaces the repeats of one key position, over all clips of the
// swing, and the click error that the lesson is measured with.
type SetRepeats struct {
	Swing    string
	Position geometry.PositionName
	Repeats  []Repeat
	// ClickSDPx becomes that of the lesson; 0 is the program's own default.
	ClickSDPx float64
	// Gesture, where it is not 0, makes consecutive edits of one position
	// with the same number one step of undo.
	Gesture uint64
}

// Label names the position.
func (e SetRepeats) Label() string { return "mark " + string(e.Position) + " again" }

func (e SetRepeats) mergeKey() any {
	return textKeyOf("repeats "+string(e.Position)+" "+e.Swing, e.Gesture)
}

func (e SetRepeats) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	s := &l.Swings[i]
	if s.Position(e.Position) == nil {
		return nil, fmt.Errorf("set the frame of %q first, then mark on it", e.Position)
	}
	old := s.RepeatsAt(e.Position)
	fresh := make([]Repeat, len(e.Repeats))
	for k, r := range e.Repeats {
		r.Position = e.Position
		r.First, r.Second = rounded2(r.First), rounded2(r.Second)
		for _, o := range old {
			if o.Clip == r.Clip && o.Point == r.Point {
				r.unknown = o.unknown
			}
		}
		fresh[k] = r
	}
	if slices.Equal(old, fresh) && l.ClickSDPx == e.ClickSDPx {
		return l, nil
	}
	next := l.withSwing(i, func(s *Swing) {
		kept := slices.DeleteFunc(slices.Clone(s.Repeats), func(r Repeat) bool { return r.Position == e.Position })
		s.Repeats = append(kept, fresh...)
		if len(s.Repeats) == 0 {
			s.Repeats = nil
		}
	})
	next.ClickSDPx = e.ClickSDPx
	return next, nil
}

func rounded2(p geometry.ImagePt) geometry.ImagePt {
	return geometry.ImagePt{X: math.Round(p.X/coordinateStep) * coordinateStep, Y: math.Round(p.Y/coordinateStep) * coordinateStep}
}

func (r *Repeat) node() *jsontree.Node {
	var b builder
	b.text("clip", r.Clip)
	b.text("position", string(r.Position))
	b.text("point", r.Point.String())
	b.add("first", pointNode(r.First))
	b.add("second", pointNode(r.Second))
	return b.done(r.unknown)
}

func pointNode(p geometry.ImagePt) *jsontree.Node {
	return &jsontree.Node{Kind: jsontree.Array, Items: []*jsontree.Node{floatNode(p.X), floatNode(p.Y)}}
}

func (r *reader) repeat(o object) Repeat {
	x := Repeat{
		Clip:     o.text("clip", required),
		Position: geometry.PositionName(o.text("position", required)),
		Point:    o.point("point"),
		First:    o.place("first"),
		Second:   o.place("second"),
	}
	x.unknown = o.rest()
	return x
}

// place reads a required pair of x and y.
func (o object) place(name string) (p geometry.ImagePt) {
	n := o.want(name, required)
	if n == nil {
		return p
	}
	path := o.at(name)
	if xy := o.r.pair(n, path, "x and y, such as [512, 955.5]"); xy != nil {
		p = geometry.ImagePt{X: o.r.number(xy[0], path+"[0]"), Y: o.r.number(xy[1], path+"[1]")}
	}
	return p
}

// point reads the name of a point.
func (o object) point(name string) (p geometry.Point) {
	text := o.text(name, required)
	if text == "" {
		return 0
	}
	p, ok := geometry.ParsePoint(text)
	if !ok {
		o.r.fault(o.at(name), "%s is not a point; %s", words.Quote(text), words.PointHint(text))
	}
	return p
}

func (s *Swing) checkRepeats(f *Faults, at string, clips map[string]int) {
	type key struct {
		clip     string
		position geometry.PositionName
		point    geometry.Point
	}
	seen := make(map[key]int, len(s.Repeats))
	for i := range s.Repeats {
		r := &s.Repeats[i]
		in := func(field string) string { return fmt.Sprintf("%s.repeats[%d]%s", at, i, field) }
		c, ok := clips[r.Clip]
		if !ok {
			f.add(in(".clip"), "there is no clip %s in this swing", words.Quote(r.Clip))
		}
		if s.Position(r.Position) == nil {
			f.add(in(".position"), "there is no position %s in this swing; add it to positions", words.Quote(string(r.Position)))
		}
		if r.Point >= geometry.NumPoints {
			f.add(in(".point"), "point number %d is not a point", r.Point)
		}
		if ok {
			s.Clips[c].inside(f, outsideMark, in(".first"), "[0]", "[1]", r.First)
			s.Clips[c].inside(f, outsideMark, in(".second"), "[0]", "[1]", r.Second)
		}
		k := key{r.Clip, r.Position, r.Point}
		if j, twice := seen[k]; twice {
			f.add(in(""), "%s is already repeated there by %s.repeats[%d]; keep one", words.Quote(r.Point.String()), at, j)
		} else {
			seen[k] = i
		}
	}
}
