package takehome

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/vector"

	"turngauge/ui/explain"
	"turngauge/ui/takehome/raster"
)

// lettering writes lines of text on a picture, in the font of the sheet and,
// for letters that it lacks, in the computer's. One goroutine.
type lettering struct {
	letters *letters
	faces   map[face]*explain.Typeface
}

type face struct {
	size float64
	bold bool
}

func newLettering() *lettering {
	return &lettering{newLetters(), make(map[face]*explain.Typeface)}
}

func (l *lettering) face(size float64, bold bool) *explain.Typeface {
	f := l.faces[face{size, bold}]
	if f == nil {
		f = explain.NewTypeface(size, bold)
		l.faces[face{size, bold}] = f
	}
	return f
}

// measure returns the width of a line, pixels.
func (l *lettering) measure(text string, size float64, bold bool) float64 {
	w := 0.0
	for _, p := range l.letters.pieces(text) {
		if p.text != "" {
			x, _ := l.face(size, bold).Measure(p.text)
			w += x
		}
		w += p.advance * size
	}
	return w
}

// draw writes a line with its top-left corner at a place.
func (l *lettering) draw(img *image.RGBA, text string, at Pt, size float64, bold bool, ink color.NRGBA) {
	for _, p := range l.letters.pieces(text) {
		if p.text != "" {
			f := l.face(size, bold)
			f.Draw(img, explain.Pt{X: at.X, Y: at.Y}, ink, p.text)
			w, _ := f.Measure(p.text)
			at.X += w
			continue
		}
		// The Go font's lines are 0.95 of its size above the baseline.
		fillPath(img, p.path, Pt{at.X, at.Y + 0.95*size}, size, ink)
		at.X += p.advance * size
	}
}

// wrap breaks a text into lines of a width.
func (l *lettering) wrap(text string, size float64, bold bool, width float64) []string {
	return raster.Wrapped(text, width, func(s string) float64 { return l.measure(s, size, bold) })
}

// fillPath fills a path on a picture, its origin at a place, scaled.
func fillPath(img *image.RGBA, path []Step, at Pt, scale float64, ink color.NRGBA) {
	lo, hi := Pt{math.Inf(1), math.Inf(1)}, Pt{math.Inf(-1), math.Inf(-1)}
	to := func(p Pt) Pt { return Pt{at.X + p.X*scale, at.Y + p.Y*scale} }
	for _, s := range path {
		for i, p := range s.P {
			if s.Do == ClosePath || s.Do != CurveTo && i < 2 {
				continue
			}
			q := to(p)
			lo = Pt{math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)}
			hi = Pt{math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)}
		}
	}
	if lo.X > hi.X {
		return
	}
	r := image.Rect(int(math.Floor(lo.X)), int(math.Floor(lo.Y)), int(math.Ceil(hi.X)), int(math.Ceil(hi.Y)))
	if r = r.Intersect(img.Rect); r.Empty() {
		return
	}
	z := vector.NewRasterizer(r.Dx(), r.Dy())
	z.DrawOp = draw.Over
	xy := func(p Pt) (float32, float32) {
		q := to(p)
		return float32(q.X - float64(r.Min.X)), float32(q.Y - float64(r.Min.Y))
	}
	for _, s := range path {
		x, y := xy(s.P[2])
		switch s.Do {
		case MoveTo:
			z.MoveTo(x, y)
		case LineTo:
			z.LineTo(x, y)
		case CurveTo:
			ax, ay := xy(s.P[0])
			bx, by := xy(s.P[1])
			z.CubeTo(ax, ay, bx, by, x, y)
		case ClosePath:
			z.ClosePath()
		}
	}
	z.Draw(img, r, image.NewUniform(ink), image.Point{})
}
