package explain

import (
	"math"
	"strings"

	"turngauge/geometry"
)

// Ink says whose a stroke is, and so its colour.
type Ink uint8

// The inks.
const (
	MiddleInk Ink = iota // of neither side
	LeadInk
	TrailInk
	OwnInk // of the coach's own drawings, by their strokes
	OwnDashedInk
	OwnDottedInk

	numInks = iota
)

// Stroke is a line in upright pixels.
type Stroke struct {
	From, To geometry.ImagePt
	Ink      Ink
	Dashed   bool // the trail side, or a stroke of the coach's own
	Dotted   bool
	Thin     bool // helps to read another stroke
	Arrow    bool // has a head at To
}

// Dot is a place a line rests on.
type Dot struct {
	At     geometry.ImagePt
	Ink    Ink
	Hollow bool // not marked here: the fit puts it there
}

// Arc is the sign of an angle: a piece of a circle about its corner, from one
// direction to the other.
type Arc struct {
	Centre geometry.ImagePt
	Radius float64 // pixels of the picture
	// From and Turn are radians from the picture's x axis, positive clockwise,
	// as y runs down.
	From, Turn float64
	Ink        Ink
}

// Label is a text that belongs to a place.
type Label struct {
	At geometry.ImagePt
	// Toward is the direction from At in which the text stands best; of any
	// length.
	Toward geometry.ImagePt
	Text   string
	// Value is a number with its interval, or "".
	Value string
	Ink   Ink
	// Fixed keeps the text where it is, whatever it covers: a note.
	Fixed bool
	// Drawing is the ID of the drawing it belongs to, or "".
	Drawing string
}

// String returns all of the label in one line.
func (l *Label) String() string { return strings.TrimSpace(l.Text + " " + l.Value) }

// Figure is what is drawn on a frame, in upright pixels.
type Figure struct {
	Strokes []Stroke
	Paths   []Path
	Dots    []Dot
	Arcs    []Arc
	Labels  []Label
	// Body are lines through the golfer's limbs and the club, which are not
	// drawn: labels had better not cover them.
	Body [][2]geometry.ImagePt
}

// Figure returns the chosen lines, where what they rest on is known, and all
// of the coach's own drawings.
func (f *Frame) Figure(on Set) *Figure {
	g := new(Figure)
	draw := [NumLines]func(*Figure){
		AnkleKneeLine: f.ankleKneeLines, HipLine: f.hipLine, ShoulderLine: f.shoulderLine,
		FootLine: f.footLines, ShaftPlane: f.shaftPlane, TrunkLine: f.trunkLine,
	}
	for l := range on {
		if on[l] && f.Needs(Line(l)) == "" {
			draw[l](g)
		}
	}
	f.addBody(g)
	for i := range f.Drawings {
		g.addDrawing(&f.Drawings[i], f.ClickSDPx)
	}
	return g
}

func (g *Figure) dot(s Spot, ink Ink) { g.Dots = append(g.Dots, Dot{s.At, ink, s.Fitted}) }

// addBody adds the golfer's limbs, trunk and head, and the club.
func (f *Frame) addBody(g *Figure) {
	for _, b := range geometry.Bones {
		if p, q := f.Spots[b[0]], f.Spots[b[1]]; p.Known && q.Known {
			g.Body = append(g.Body, [2]geometry.ImagePt{p.At, q.At})
		}
	}
	shoulders, ok := f.spots(geometry.LeadShoulder, geometry.TrailShoulder)
	if !ok {
		return
	}
	neck := along(shoulders[0].At, shoulders[1].At, 0.5)
	if hips, ok := f.spots(geometry.LeadHip, geometry.TrailHip); ok {
		g.Body = append(g.Body, [2]geometry.ImagePt{neck, along(hips[0].At, hips[1].At, 0.5)})
	}
	if head := f.Spots[geometry.Head]; head.Known {
		// The mark is in the middle of the head, which is about as wide as it
		// is far from the shoulders.
		r := dist(neck, head.At) / 2
		g.Body = append(g.Body, [2]geometry.ImagePt{neck, along(neck, head.At, 1.5)},
			[2]geometry.ImagePt{{X: head.At.X - r, Y: head.At.Y}, {X: head.At.X + r, Y: head.At.Y}})
	}
}

// numberOfFront is number for a measure that the face-on view shows: it is not
// written down the line beside that.
func (f *Frame) numberOfFront(g *Figure, name string, at, toward geometry.ImagePt, ink Ink) {
	if !f.Paired || f.View == geometry.FaceOn {
		f.number(g, name, at, toward, ink)
	}
}

// number labels a place with a measure, if there is one: its name and its
// value with the interval.
func (f *Frame) number(g *Figure, name string, at, toward geometry.ImagePt, ink Ink) {
	if v := f.Numbers[name]; v != "" {
		text := strings.TrimSuffix(name, " from the ankle-knee line") // that is drawn beside
		g.Labels = append(g.Labels, Label{At: at, Toward: toward, Text: text, Value: v, Ink: ink})
	}
}

// The arithmetic of places in the picture.

func sub(a, b geometry.ImagePt) geometry.ImagePt { return geometry.ImagePt{X: a.X - b.X, Y: a.Y - b.Y} }

// along returns the place a + t (b - a).
func along(a, b geometry.ImagePt, t float64) geometry.ImagePt {
	return geometry.ImagePt{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}

func dist(a, b geometry.ImagePt) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// foot returns t for which along(a, b, t) is the place on the line nearest to
// p; ok is false where a and b coincide.
func foot(a, b, p geometry.ImagePt) (t float64, ok bool) {
	d := sub(b, a)
	n := d.X*d.X + d.Y*d.Y
	if n < 1e-9 {
		return 0, false
	}
	e := sub(p, a)
	return (e.X*d.X + e.Y*d.Y) / n, true
}
