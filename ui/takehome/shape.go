package takehome

import (
	"image/color"
	"math"
)

// Pt is a place on a drawing, in points (1/72 inch) from its top-left corner, y
// down.
type Pt struct{ X, Y float64 }

// Drawing is a diagram as a list of shapes, from the lowest to the topmost.
type Drawing struct {
	Width, Height float64 // points
	Shapes        []Shape
	// Says is the diagram in words, for those who can't see it.
	Says string
}

// Shape is a path or a line of text. A colour with no opacity is not drawn.
type Shape struct {
	Path   []Step
	Fill   color.NRGBA
	Stroke color.NRGBA
	Width  float64 // of the stroke, points
	Dashed bool

	// Text stands with its baseline at At: its start there for Align 0, its
	// middle for 0.5, its end for 1. Fill is its colour.
	Text  string
	At    Pt
	Align float64
	Size  float64 // points per em
	Bold  bool
}

// Step is one step of a path: to P[2], for a curve by way of the control points
// P[0] and P[1] of a cubic Bézier curve.
type Step struct {
	Do StepKind
	P  [3]Pt
}

// StepKind says what a step of a path does.
type StepKind uint8

// The steps of a path.
const (
	MoveTo StepKind = iota
	LineTo
	CurveTo
	ClosePath
)

// dashLength and dashGap are those of a dashed stroke, in stroke widths.
const (
	dashLength = 3.0
	dashGap    = 2.0
)

func (d *Drawing) add(s Shape) { d.Shapes = append(d.Shapes, s) }

func (d *Drawing) text(s string, at Pt, align, size float64, bold bool, ink color.NRGBA) {
	d.add(Shape{Text: s, At: at, Align: align, Size: size, Bold: bold, Fill: ink})
}

func (d *Drawing) line(a, b Pt, width float64, dashed bool, ink color.NRGBA) {
	d.add(Shape{Path: polyline(false, a, b), Stroke: ink, Width: width, Dashed: dashed})
}

func (d *Drawing) disc(at Pt, r float64, fill color.NRGBA) {
	d.add(Shape{Path: circle(at, r), Fill: fill})
}

func (d *Drawing) ring(at Pt, r, width float64, ink color.NRGBA) {
	d.add(Shape{Path: circle(at, r), Stroke: ink, Width: width})
}

func polyline(closed bool, pts ...Pt) []Step {
	path := make([]Step, 0, len(pts)+1)
	for i, p := range pts {
		do := LineTo
		if i == 0 {
			do = MoveTo
		}
		path = append(path, Step{do, [3]Pt{2: p}})
	}
	if closed {
		path = append(path, Step{Do: ClosePath})
	}
	return path
}

func circle(at Pt, r float64) []Step {
	path := arc(nil, at, r, 0, 2*math.Pi)
	return append(path, Step{Do: ClosePath})
}

// arc continues a path with a piece of a circle, from one angle (radians,
// clockwise from the x axis) on by turn; it begins with a line to its start, or
// there, where the path is empty.
//
// A quarter of a circle as one cubic Bézier curve, with control points at
// 4/3·tan(turn/4) of the radius, is off by less than 0.03 % of the radius
// (Goldapp 1991, Computer Aided Geometric Design 8:227).
func arc(path []Step, at Pt, r, from, turn float64) []Step {
	on := func(a float64) Pt {
		s, c := math.Sincos(a)
		return Pt{at.X + r*c, at.Y + r*s}
	}
	do := LineTo
	if len(path) == 0 {
		do = MoveTo
	}
	path = append(path, Step{do, [3]Pt{2: on(from)}})
	n := max(int(math.Ceil(math.Abs(turn)/(math.Pi/2)-1e-9)), 1)
	step := turn / float64(n)
	k := 4.0 / 3 * math.Tan(step/4)
	for i := range n {
		a, b := from+step*float64(i), from+step*float64(i+1)
		p, q := on(a), on(b)
		path = append(path, Step{CurveTo, [3]Pt{
			{p.X - k*(p.Y-at.Y), p.Y + k*(p.X-at.X)},
			{q.X + k*(q.Y-at.Y), q.Y - k*(q.X-at.X)},
			q,
		}})
	}
	return path
}

// wedge is a sector of a circle.
func wedge(at Pt, r, from, turn float64) []Step {
	path := []Step{{MoveTo, [3]Pt{2: at}}}
	return append(arc(path, at, r, from, turn), Step{Do: ClosePath})
}

func rectangle(x, y, w, h float64) []Step {
	return polyline(true, Pt{x, y}, Pt{x + w, y}, Pt{x + w, y + h}, Pt{x, y + h})
}
