package render

import "math"

// Texture is a colour picture wrapped on a mesh: u runs around and repeats, v
// runs along and ends. Both are 0 to 1.
type Texture struct {
	w, h int
	pix  []Colour
}

// NewTexture paints a texture of w by h texels by calling paint at each
// texel's centre.
func NewTexture(w, h int, paint func(u, v float64) Colour) *Texture {
	t := &Texture{w: w, h: h, pix: make([]Colour, w*h)}
	for y := range h {
		for x := range w {
			t.pix[y*w+x] = paint((float64(x)+0.5)/float64(w), (float64(y)+0.5)/float64(h))
		}
	}
	return t
}

// Plain returns a texture of one colour.
func Plain(c Colour) *Texture {
	return &Texture{w: 1, h: 1, pix: []Colour{c}}
}

// at returns the bilinear colour.
func (t *Texture) at(u, v float32) Colour {
	if len(t.pix) == 1 {
		return t.pix[0]
	}
	x := u*float32(t.w) - 0.5
	y := v*float32(t.h) - 0.5
	xf := float32(math.Floor(float64(x)))
	yf := float32(math.Floor(float64(y)))
	fx, fy := x-xf, y-yf
	x0 := int(xf) % t.w
	if x0 < 0 {
		x0 += t.w
	}
	x1 := x0 + 1
	if x1 == t.w {
		x1 = 0
	}
	y0 := min(max(int(yf), 0), t.h-1)
	y1 := min(max(int(yf)+1, 0), t.h-1)
	a, b := &t.pix[y0*t.w+x0], &t.pix[y0*t.w+x1]
	c, d := &t.pix[y1*t.w+x0], &t.pix[y1*t.w+x1]
	wa, wb, wc, wd := (1-fx)*(1-fy), fx*(1-fy), (1-fx)*fy, fx*fy
	return Colour{
		wa*a.R + wb*b.R + wc*c.R + wd*d.R,
		wa*a.G + wb*b.G + wc*c.G + wd*d.G,
		wa*a.B + wb*b.B + wc*c.B + wd*d.B,
	}
}

// Noise is smooth lattice noise between -1 and 1 in the plane, the same for
// the same seed everywhere.
func Noise(x, y float64, seed uint32) float64 {
	xf, yf := math.Floor(x), math.Floor(y)
	fx, fy := x-xf, y-yf
	sx, sy := fx*fx*(3-2*fx), fy*fy*(3-2*fy)
	i, j := int32(xf), int32(yf)
	a := lattice(i, j, seed)*(1-sx) + lattice(i+1, j, seed)*sx
	b := lattice(i, j+1, seed)*(1-sx) + lattice(i+1, j+1, seed)*sx
	return a*(1-sy) + b*sy
}

// Fractal sums octaves of Noise, each twice as fine and half as strong; the
// result stays between -1 and 1.
func Fractal(x, y float64, octaves int, seed uint32) float64 {
	sum, amp, total := 0.0, 1.0, 0.0
	for i := range octaves {
		sum += amp * Noise(x, y, seed+uint32(i)*7919)
		total += amp
		x, y, amp = 2*x+17.3, 2*y-9.1, amp/2
	}
	return sum / total
}

func lattice(x, y int32, seed uint32) float64 {
	h := uint32(x)*0x8da6b343 ^ uint32(y)*0xd8163841 ^ seed*0xcb1ab31f
	h ^= h >> 15
	h *= 0x2c1b3c6d
	h ^= h >> 12
	h *= 0x297a2d39
	h ^= h >> 15
	return float64(h)/(1<<31) - 1
}
