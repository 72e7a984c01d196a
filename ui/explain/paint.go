package explain

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/f32"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Typeface is the Go font, the one of the window, at one size.
type Typeface struct {
	face font.Face
	px   float64
}

var fonts = sync.OnceValue(func() [2]*opentype.Font {
	var out [2]*opentype.Font
	for i, data := range [][]byte{goregular.TTF, gomedium.TTF} {
		f, err := opentype.Parse(data)
		if err != nil {
			panic("explain: the built-in font is broken: " + err.Error())
		}
		out[i] = f
	}
	return out
})

// NewTypeface returns the font at px pixels per em.
func NewTypeface(px float64, medium bool) *Typeface {
	f := fonts()[0]
	if medium {
		f = fonts()[1]
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: px, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("explain: the built-in font is broken: " + err.Error())
	}
	return &Typeface{face, px}
}

// Measure returns the width and the height of one line, pixels.
func (t *Typeface) Measure(text string) (width, height float64) {
	m := t.face.Metrics()
	return float64(font.MeasureString(t.face, text)) / 64, float64(m.Ascent+m.Descent) / 64
}

// Draw writes one line with its top-left corner at a place.
func (t *Typeface) Draw(dst draw.Image, at Pt, c color.NRGBA, text string) {
	d := font.Drawer{Dst: dst, Src: image.NewUniform(c), Face: t.face}
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(at.X * 64), Y: fixed.Int26_6(at.Y*64) + t.face.Metrics().Ascent}
	d.DrawString(text)
}

// Paint fills a layout on an image whose corner is the output's, and returns the
// part of it that was drawn on.
func Paint(dst *image.RGBA, l *Layout, t *Typeface) image.Rectangle {
	var on image.Rectangle
	for i := range l.Shapes {
		on = on.Union(paintShape(dst, &l.Shapes[i]))
	}
	for i := range l.Plates {
		on = on.Union(paintPlate(dst, &l.Plates[i], t))
	}
	return on
}

// paintPlate draws a plate; its text stays within.
func paintPlate(dst *image.RGBA, p *Plate, t *Typeface) image.Rectangle {
	w, h := p.Max.X-p.Min.X, p.Max.Y-p.Min.Y
	r := math.Min(math.Min(w, h)/2, p.LineHeight/4)
	var f filler
	f.roundRect(p.Rect, r)
	on := f.fill(dst, OnPicture.Plate)
	f = filler{}
	bar := math.Max(math.Round(t.px/6), 1)
	f.quad(Pt{p.Min.X, p.Min.Y + r}, Pt{p.Min.X + bar, p.Min.Y + r}, Pt{p.Min.X + bar, p.Max.Y - r}, Pt{p.Min.X, p.Max.Y - r})
	f.fill(dst, OnPicture.Inks[p.Ink])
	for i, s := range p.Lines {
		t.Draw(dst, Pt{p.Text.X, p.Text.Y + float64(i)*p.LineHeight}, OnPicture.Text, s)
	}
	return on
}

func paintShape(dst *image.RGBA, s *Shape) image.Rectangle {
	var f filler
	for _, g := range s.Segments {
		f.segment(g)
	}
	for _, d := range s.Discs {
		f.circle(d.At, d.Radius)
	}
	for _, r := range s.Rings {
		f.bow(Bow{At: r.At, Radius: r.Radius, Width: r.Width, Turn: 2 * math.Pi})
	}
	for _, b := range s.Bows {
		f.bow(b)
	}
	for _, t := range s.Triangles {
		f.polygon(t[:])
	}
	return f.fill(dst, s.Colour)
}

// filler gathers polygons, all turning the same way, so that where they overlap
// they add up instead of cancelling out.
type filler struct {
	polygons [][]Pt
	min, max Pt
}

func (f *filler) polygon(pts []Pt) {
	area := 0.0
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		area += a.X*b.Y - b.X*a.Y
	}
	p := make([]Pt, len(pts))
	for i := range pts {
		if area >= 0 {
			p[i] = pts[i]
		} else {
			p[i] = pts[len(pts)-1-i]
		}
	}
	if len(f.polygons) == 0 {
		f.min, f.max = p[0], p[0]
	}
	for _, q := range p {
		f.min = Pt{math.Min(f.min.X, q.X), math.Min(f.min.Y, q.Y)}
		f.max = Pt{math.Max(f.max.X, q.X), math.Max(f.max.Y, q.Y)}
	}
	f.polygons = append(f.polygons, p)
}

func (f *filler) quad(a, b, c, d Pt) { f.polygon([]Pt{a, b, c, d}) }

func (f *filler) segment(s Segment) {
	dx, dy := s.B.X-s.A.X, s.B.Y-s.A.Y
	n := math.Hypot(dx, dy)
	if n < 1e-9 {
		return
	}
	x, y := -dy/n*s.Width/2, dx/n*s.Width/2
	f.quad(Pt{s.A.X + x, s.A.Y + y}, Pt{s.B.X + x, s.B.Y + y}, Pt{s.B.X - x, s.B.Y - y}, Pt{s.A.X - x, s.A.Y - y})
}

// corners is how many corners stand for a piece of a circle: they are off it by
// less than a twentieth of a pixel.
func corners(radius, turn float64) int {
	return max(int(math.Ceil(math.Abs(turn)*math.Sqrt(math.Max(radius, 1)*2.5))), 2)
}

func (f *filler) circle(at Pt, r float64) {
	n := corners(r, 2*math.Pi)
	p := make([]Pt, n)
	for i := range p {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		p[i] = Pt{at.X + r*c, at.Y + r*s}
	}
	f.polygon(p)
}

// bow adds a piece of a circle line, as quads that meet.
func (f *filler) bow(b Bow) {
	n := corners(b.Radius, b.Turn)
	in, out := math.Max(b.Radius-b.Width/2, 0), b.Radius+b.Width/2
	at := func(i int, r float64) Pt {
		s, c := math.Sincos(b.From + b.Turn*float64(i)/float64(n))
		return Pt{b.At.X + r*c, b.At.Y + r*s}
	}
	for i := range n {
		f.quad(at(i, in), at(i, out), at(i+1, out), at(i+1, in))
	}
}

func (f *filler) roundRect(r Rect, radius float64) {
	var p []Pt
	for i, c := range [...]Pt{
		{r.Max.X - radius, r.Max.Y - radius}, {r.Min.X + radius, r.Max.Y - radius},
		{r.Min.X + radius, r.Min.Y + radius}, {r.Max.X - radius, r.Min.Y + radius},
	} {
		const steps = 8
		for k := range steps + 1 {
			s, co := math.Sincos(math.Pi / 2 * (float64(i) + float64(k)/steps))
			p = append(p, Pt{c.X + radius*co, c.Y + radius*s})
		}
	}
	f.polygon(p)
}

// fill lays the gathered polygons on an image and returns where.
func (f *filler) fill(dst *image.RGBA, c color.NRGBA) image.Rectangle {
	if len(f.polygons) == 0 || c.A == 0 {
		return image.Rectangle{}
	}
	r := image.Rect(int(math.Floor(f.min.X)), int(math.Floor(f.min.Y)), int(math.Ceil(f.max.X)), int(math.Ceil(f.max.Y))).Intersect(dst.Rect)
	if r.Empty() {
		return r
	}
	z := vector.NewRasterizer(r.Dx(), r.Dy())
	z.DrawOp = draw.Over
	to := func(p Pt) f32.Vec2 {
		return f32.Vec2{float32(p.X - float64(r.Min.X)), float32(p.Y - float64(r.Min.Y))}
	}
	for _, p := range f.polygons {
		q := to(p[0])
		z.MoveTo(q[0], q[1])
		for _, v := range p[1:] {
			q := to(v)
			z.LineTo(q[0], q[1])
		}
		z.ClosePath()
	}
	z.Draw(dst, r, image.NewUniform(c), image.Point{})
	return r
}
