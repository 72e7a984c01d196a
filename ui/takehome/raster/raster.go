// Package raster draws a page of print as a picture: text in the Go fonts, filled
// and stroked paths, and pictures. Places are in points (1/72 inch) from the page's
// top-left corner, y down.
package raster

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	xdraw "golang.org/x/image/draw"
)

// Pt is a place on the page, points.
type Pt struct{ X, Y float64 }

// Page is a page being drawn. One goroutine.
type Page struct {
	Image *image.RGBA
	scale float64 // pixels per point
	faces map[faceKey]font.Face
}

type faceKey struct {
	bold bool
	size float64
}

// New returns a white page of a size in points.
func New(width, height, scale float64) *Page {
	p := &Page{
		Image: image.NewRGBA(image.Rect(0, 0, int(math.Round(width*scale)), int(math.Round(height*scale)))),
		scale: scale, faces: make(map[faceKey]font.Face),
	}
	draw.Draw(p.Image, p.Image.Rect, image.White, image.Point{}, draw.Src)
	return p
}

// fonts are the regular and the bold one.
var fonts = sync.OnceValue(func() [2]*opentype.Font {
	var out [2]*opentype.Font
	for i, data := range [2][]byte{goregular.TTF, gobold.TTF} {
		f, err := opentype.Parse(data)
		if err != nil {
			panic("raster: a built-in font is broken: " + err.Error())
		}
		out[i] = f
	}
	return out
})

// Text writes a line with the start of its baseline at a place; size is in points
// per em.
func (p *Page) Text(s string, at Pt, size float64, bold bool, ink color.NRGBA) {
	k := faceKey{bold, size}
	f := p.faces[k]
	if f == nil {
		i := 0
		if bold {
			i = 1
		}
		var err error
		f, err = opentype.NewFace(fonts()[i], &opentype.FaceOptions{Size: size * p.scale, DPI: 72})
		if err != nil {
			return // no error comes of a font that was parsed
		}
		p.faces[k] = f
	}
	d := font.Drawer{Dst: p.Image, Src: image.NewUniform(ink), Face: f,
		Dot: fixed.Point26_6{X: fixed.Int26_6(at.X * p.scale * 64), Y: fixed.Int26_6(at.Y * p.scale * 64)}}
	d.DrawString(s)
}

// Fill fills closed outlines: a place is inside where they wind about it.
func (p *Page) Fill(outlines [][]Pt, ink color.NRGBA) {
	scaled := make([][]Pt, len(outlines))
	for i, o := range outlines {
		for _, q := range o {
			scaled[i] = append(scaled[i], Pt{q.X * p.scale, q.Y * p.scale})
		}
	}
	Fill(p.Image, scaled, ink)
}

// Fill fills outlines, in pixels, on a picture.
func Fill(img *image.RGBA, outlines [][]Pt, ink color.NRGBA) {
	lo, hi := Pt{math.Inf(1), math.Inf(1)}, Pt{math.Inf(-1), math.Inf(-1)}
	for _, o := range outlines {
		for _, q := range o {
			lo, hi = Pt{math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)}, Pt{math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)}
		}
	}
	if lo.X > hi.X {
		return
	}
	b := image.Rect(int(math.Floor(lo.X)), int(math.Floor(lo.Y)), int(math.Ceil(hi.X)), int(math.Ceil(hi.Y))).Intersect(img.Rect)
	if b.Empty() {
		return
	}
	r := vector.NewRasterizer(b.Dx(), b.Dy())
	for _, o := range outlines {
		for i, q := range o {
			x, y := float32(q.X-float64(b.Min.X)), float32(q.Y-float64(b.Min.Y))
			if i == 0 {
				r.MoveTo(x, y)
			} else {
				r.LineTo(x, y)
			}
		}
		r.ClosePath()
	}
	r.Draw(img, b, image.NewUniform(ink), image.Point{})
}

// Stroke draws lines of a width in points; dash and gap are those of a dashed line,
// 0 for a whole one.
func (p *Page) Stroke(lines [][]Pt, width, dash, gap float64, ink color.NRGBA) {
	var parts [][]Pt
	for _, l := range lines {
		for _, piece := range dashed(l, dash, gap) {
			for i := 1; i < len(piece); i++ {
				if q := bar(piece[i-1], piece[i], width); q != nil {
					parts = append(parts, q)
				}
				if i > 1 && width > 1 {
					parts = append(parts, disc(piece[i-1], width/2))
				}
			}
		}
	}
	p.Fill(parts, ink)
}

// bar is the outline of a line; like that of every part of a stroke it runs
// clockwise, so that parts that overlap add up.
func bar(a, b Pt, width float64) []Pt {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return nil
	}
	n := Pt{-(b.Y - a.Y) / l * width / 2, (b.X - a.X) / l * width / 2}
	return []Pt{{a.X - n.X, a.Y - n.Y}, {b.X - n.X, b.Y - n.Y}, {b.X + n.X, b.Y + n.Y}, {a.X + n.X, a.Y + n.Y}}
}

func disc(at Pt, r float64) []Pt {
	const corners = 12
	var out []Pt
	for i := range corners {
		s, c := math.Sincos(2 * math.Pi * float64(i) / corners)
		out = append(out, Pt{at.X + r*c, at.Y + r*s})
	}
	return out
}

// dashed cuts a line into its dashes.
func dashed(l []Pt, dash, gap float64) [][]Pt {
	if dash <= 0 || gap <= 0 || len(l) < 2 {
		return [][]Pt{l}
	}
	var out [][]Pt
	on, left := true, dash
	piece := []Pt{l[0]}
	for i := 1; i < len(l); i++ {
		a, b := l[i-1], l[i]
		for {
			d := math.Hypot(b.X-a.X, b.Y-a.Y)
			if d < left || d == 0 {
				left -= d
				if on {
					piece = append(piece, b)
				}
				break
			}
			a = Pt{a.X + (b.X-a.X)*left/d, a.Y + (b.Y-a.Y)*left/d}
			if on {
				out = append(out, append(piece, a))
				piece, left = nil, gap
			} else {
				piece, left = []Pt{a}, dash
			}
			on = !on
		}
	}
	if on && len(piece) > 1 {
		out = append(out, piece)
	}
	return out
}

// Picture draws an image into a rectangle.
func (p *Page) Picture(im image.Image, x, y, width, height float64) {
	r := image.Rect(int(math.Round(x*p.scale)), int(math.Round(y*p.scale)), int(math.Round((x+width)*p.scale)), int(math.Round((y+height)*p.scale)))
	xdraw.CatmullRom.Scale(p.Image, r, im, im.Bounds(), draw.Over, nil)
}

// Curve goes on from the end of a line along a cubic Bézier curve, in straight pieces.
func Curve(line []Pt, b, c, d Pt) []Pt {
	const pieces = 12
	a := line[len(line)-1]
	for i := 1; i <= pieces; i++ {
		t := float64(i) / pieces
		u := 1 - t
		w := [4]float64{u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t}
		line = append(line, Pt{w[0]*a.X + w[1]*b.X + w[2]*c.X + w[3]*d.X, w[0]*a.Y + w[1]*b.Y + w[2]*c.Y + w[3]*d.Y})
	}
	return line
}
