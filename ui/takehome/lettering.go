package takehome

import (
	"image"
	"image/color"

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
		raster.Fill(img, flattened(p.path, at.X, at.Y+0.95*size, size), ink)
		at.X += p.advance * size
	}
}

// wrap breaks a text into lines of a width.
func (l *lettering) wrap(text string, size float64, bold bool, width float64) []string {
	return raster.Wrapped(text, width, func(s string) float64 { return l.measure(s, size, bold) })
}
