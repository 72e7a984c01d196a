package explain

import (
	"image/color"
	"math"

	"turngauge/geometry"
)

// Pt is a place on the output, in its pixels from the top-left corner.
type Pt struct{ X, Y float64 }

// Rect is a rectangle of the output.
type Rect struct{ Min, Max Pt }

// Contains reports whether p lies in r.
func (r Rect) Contains(p Pt) bool {
	return p.X >= r.Min.X && p.X <= r.Max.X && p.Y >= r.Min.Y && p.Y <= r.Max.Y
}

func (r Rect) middle() Pt { return Pt{(r.Min.X + r.Max.X) / 2, (r.Min.Y + r.Max.Y) / 2} }

// Colours are the colours of drawings. They are the same on any ground: a halo
// keeps them apart from the picture.
type Colours struct {
	Inks  [numInks]color.NRGBA // by Ink
	Halo  color.NRGBA          // under every stroke
	Plate color.NRGBA          // under text
	Text  color.NRGBA
}

// OnPicture are the colours used everywhere.
var OnPicture = Colours{
	Inks: [numInks]color.NRGBA{
		MiddleInk: {0xf4, 0xf4, 0xf2, 0xff}, LeadInk: {0x5f, 0xe3, 0xcb, 0xff},
		TrailInk: {0xc8, 0xa8, 0xff, 0xff}, OwnInk: {0xff, 0xe1, 0x6b, 0xff},
		OwnDashedInk: {0xff, 0xa2, 0x5e, 0xff}, OwnDottedInk: {0x9a, 0xd1, 0xff, 0xff},
	},
	Halo:  color.NRGBA{0x00, 0x00, 0x00, 0xe0},
	Plate: color.NRGBA{0x10, 0x11, 0x13, 0xd8},
	Text:  color.NRGBA{0xf2, 0xf3, 0xf4, 0xff},
}

// The measures of drawings, in units of Canvas.Unit.
const (
	strokeWidth = 2.5
	thinWidth   = 1.5
	haloWidth   = 1.5 // at either side of a stroke
	dashOn      = 9.0
	dashOff     = 6.0
	arrowLength = 13.0
	dotRadius   = 4.0
	platePad    = 6.0
	noteWidth   = 260.0 // the widest a note gets before it wraps
	labelWidth  = 190.0 // the widest a label gets before its number goes below
)

// Canvas is what figures are laid out for.
type Canvas struct {
	// Scale is output pixels per picture pixel; Left and Top are where the
	// picture's corner comes to lie.
	Scale, Left, Top float64
	// Width and Height are the size of the output. Labels stay within.
	Width, Height float64
	// Unit is how many pixels one unit of the drawings' own measures takes: 1
	// on a usual screen.
	Unit float64
	// TextPx is the size of the text in pixels per em, and Measure returns the
	// width and the height of one line of it.
	TextPx  float64
	Measure func(text string) (width, height float64)
}

// ToOutput returns where a place of the picture comes to lie.
func (c *Canvas) ToOutput(p geometry.ImagePt) Pt {
	return Pt{c.Left + p.X*c.Scale, c.Top + p.Y*c.Scale}
}

// ToPicture is the inverse of ToOutput.
func (c *Canvas) ToPicture(p Pt) geometry.ImagePt {
	return geometry.ImagePt{X: (p.X - c.Left) / c.Scale, Y: (p.Y - c.Top) / c.Scale}
}

// Segment is a line with flat ends.
type Segment struct {
	A, B  Pt
	Width float64
}

// Disc is a filled circle.
type Disc struct {
	At     Pt
	Radius float64
}

// Ring is a circle line; Radius is that of its middle.
type Ring struct {
	At            Pt
	Radius, Width float64
}

// Bow is a piece of a circle line.
type Bow struct {
	At            Pt
	Radius, Width float64
	From, Turn    float64 // radians, positive clockwise
}

// Shape is what is filled with one colour, all of it at once: where its parts
// overlap, a colour one can see through is not laid on twice.
type Shape struct {
	Colour    color.NRGBA
	Segments  []Segment
	Discs     []Disc
	Rings     []Ring
	Bows      []Bow
	Triangles [][3]Pt
}

// Plate is a text on its ground.
type Plate struct {
	Rect
	Lines []string
	// Text is where the first line's top-left corner lies; the next ones
	// follow at LineHeight.
	Text       Pt
	LineHeight float64
	Ink        Ink
	Drawing    string // the ID of the drawing it belongs to, or ""
}

// Layout is a figure laid out: shapes from the lowest to the topmost, then
// plates.
type Layout struct {
	Shapes []Shape
	Plates []Plate
}

// Lay lays a figure out.
func (c *Canvas) Lay(g *Figure) *Layout {
	var halo Shape
	var inks [numInks]Shape
	halo.Colour = OnPicture.Halo
	for i := range inks {
		inks[i].Colour = OnPicture.Inks[i]
	}
	h := 2 * haloWidth * c.Unit
	for i := range g.Strokes {
		c.stroke(&g.Strokes[i], &halo, &inks[g.Strokes[i].Ink], h)
	}
	for i := range g.Paths {
		c.path(&g.Paths[i], &halo, &inks[g.Paths[i].Ink], h)
	}
	for _, a := range g.Arcs {
		b := Bow{At: c.ToOutput(a.Centre), Radius: a.Radius * c.Scale, Width: thinWidth * c.Unit, From: a.From, Turn: a.Turn}
		inks[a.Ink].Bows = append(inks[a.Ink].Bows, b)
		b.Width += h
		halo.Bows = append(halo.Bows, b)
	}
	for _, d := range g.Dots {
		at, r := c.ToOutput(d.At), dotRadius*c.Unit
		halo.Discs = append(halo.Discs, Disc{at, r + h/2})
		if d.Hollow {
			w := 0.4 * r
			inks[d.Ink].Rings = append(inks[d.Ink].Rings, Ring{at, r - w/2, w})
		} else {
			inks[d.Ink].Discs = append(inks[d.Ink].Discs, Disc{at, r})
		}
	}
	plates := c.plates(g)
	for i := range plates {
		if s, ok := c.leader(&g.Labels[i], &plates[i]); ok {
			inks[g.Labels[i].Ink].Segments = append(inks[g.Labels[i].Ink].Segments, s)
			s.Width += h
			halo.Segments = append(halo.Segments, s)
		}
	}
	out := &Layout{Shapes: []Shape{halo}, Plates: plates}
	for _, i := range [...]Ink{MiddleInk, TrailInk, LeadInk, OwnInk, OwnDashedInk, OwnDottedInk} {
		out.Shapes = append(out.Shapes, inks[i])
	}
	return out
}

// stroke adds one stroke and its halo.
func (c *Canvas) stroke(s *Stroke, halo, ink *Shape, h float64) {
	a, b := c.ToOutput(s.From), c.ToOutput(s.To)
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length < 1e-6 {
		return
	}
	w := strokeWidth * c.Unit
	if s.Thin {
		w = thinWidth * c.Unit
	}
	ux, uy := (b.X-a.X)/length, (b.Y-a.Y)/length
	if s.Arrow {
		n := math.Min(arrowLength*c.Unit, length)
		ink.Triangles = append(ink.Triangles, arrowHead(b, ux, uy, n, 0.42*n))
		// The halo's head is larger all round by h/2.
		tip := Pt{b.X + ux*h*1.3, b.Y + uy*h*1.3}
		halo.Triangles = append(halo.Triangles, arrowHead(tip, ux, uy, n+h*1.8, 0.42*(n+h*1.8)))
		b = Pt{b.X - ux*n*0.9, b.Y - uy*n*0.9}
		length -= n * 0.9
	}
	halo.Segments = append(halo.Segments, Segment{Pt{a.X - ux*h/2, a.Y - uy*h/2}, Pt{b.X + ux*h/2, b.Y + uy*h/2}, w + h})
	if s.Dotted {
		c.dots([]Pt{a, b}, ink)
		return
	}
	if !s.Dashed {
		ink.Segments = append(ink.Segments, Segment{a, b, w})
		return
	}
	for _, d := range dashes(length, dashOn*c.Unit, dashOff*c.Unit) {
		ink.Segments = append(ink.Segments, Segment{Pt{a.X + ux*d[0], a.Y + uy*d[0]}, Pt{a.X + ux*d[1], a.Y + uy*d[1]}, w})
	}
}

// maxDashes bounds the pieces of a line: one of more is no longer seen as
// dashed.
const maxDashes = 1000

// dashes divides a length into dashes with one at either end; the gaps are
// stretched to fit.
func dashes(length, on, off float64) [][2]float64 {
	gaps := math.Min(math.Round((length-on)/(on+off)), maxDashes)
	if !(gaps >= 1) {
		return [][2]float64{{0, length}}
	}
	step := (length - on) / gaps
	out := make([][2]float64, 0, int(gaps)+1)
	for i := range int(gaps) + 1 {
		out = append(out, [2]float64{step * float64(i), step*float64(i) + on})
	}
	return out
}

// arrowHead is a triangle with its tip at a place and its body behind it.
func arrowHead(tip Pt, ux, uy, length, half float64) [3]Pt {
	x, y := tip.X-ux*length, tip.Y-uy*length
	return [3]Pt{tip, {x - uy*half, y + ux*half}, {x + uy*half, y - ux*half}}
}
