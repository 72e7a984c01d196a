package render

import (
	"bytes"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testCamera looks along -z from 4 m, level and straight.
func testCamera() Camera {
	return Camera{
		Position: Vec{0, 1, 4}, Right: Vec{X: 1}, Down: Vec{Y: -1}, Forward: Vec{Z: -1},
		FocalPx: 400, Width: 320, Height: 240,
	}
}

func testLight() Light {
	return Light{ToSun: Vec{0.4, 0.8, 0.45}.Unit(), Sun: Colour{0.8, 0.8, 0.8}, Sky: Colour{0.2, 0.2, 0.2}, Ground: Colour{0.1, 0.1, 0.1}}
}

var grey = Hex(0x808080)

func testStage() *Stage {
	return NewStage(testCamera(), testLight(), 1, func(from, dir Vec) Sight {
		if dir.Y < 0 {
			return Sight{Colour: grey, Sun: 0.6}
		}
		return Sight{Colour: grey}
	})
}

// sphere returns a ball-shaped mesh.
func sphere(at Vec, r float32, c Colour) *Mesh {
	const cols, rows = 48, 25
	m := NewGrid(cols, rows, true, Plain(c))
	for j := range rows {
		b := (float64(j)/(rows-1) - 0.5) * math.Pi
		for i := range m.Cols() {
			a := (float64(i)/cols - 0.5) * 2 * math.Pi
			m.Set(i, j, at.Add(Vec{
				r * float32(math.Sin(a)*math.Cos(b)), r * float32(math.Sin(b)), r * float32(math.Cos(a)*math.Cos(b)),
			}))
		}
	}
	m.Normals()
	return m
}

// blob returns the centroid and area of the pixels that are redder than the
// background, weighted by how much.
func blob(im *image.RGBA) (x, y, area float64) {
	for j := range im.Rect.Dy() {
		for i := range im.Rect.Dx() {
			p := im.Pix[im.PixOffset(i, j):]
			w := (float64(p[0]) - float64(p[2]) - 20) / 235
			if w <= 0.05 {
				continue
			}
			x += w * (float64(i) + 0.5)
			y += w * (float64(j) + 0.5)
			area += w
		}
	}
	return x / area, y / area, area
}

// glow is a red that any light shows as full red, so that a shape's area can
// be counted.
var glow = Colour{R: 40}

func TestSphereLandsWhereItProjects(t *testing.T) {
	s := testStage()
	r := NewRenderer(s)
	im := image.NewRGBA(image.Rect(0, 0, 320, 240))
	for _, at := range []Vec{{0, 1, 0}, {0.7, 1.4, 0.3}, {-0.9, 0.6, -0.5}} {
		r.Draw(im, 0, []Exposure{{Body: []*Mesh{sphere(at, 0.12, glow)}}}, nil)
		x, y, area := blob(im)
		depth := 4 - at.Z
		// Pinhole: the picture of a point; a ball's picture is an ellipse whose
		// centre lies a little further out, here by less than 0.1 px.
		const tol = 0.2 // pixels
		assert.InDelta(t, 160+400*at.X/depth, x, tol)
		assert.InDelta(t, 120-400*(at.Y-1)/depth, y, tol)
		radius := 400 * 0.12 / depth
		// The glow saturates pixels at the rim that are covered only in part.
		assert.InEpsilon(t, math.Pi*float64(radius*radius), area, 0.10, "pixels")
		d, ok := r.Depth(float32(x), float32(y))
		require.True(t, ok)
		assert.InDelta(t, depth-0.12, d, 0.01, "metres to the near side")
		_, ok = r.Depth(3, 3)
		assert.False(t, ok, "nothing in the corner")
	}
}

func TestNearerHidesFarther(t *testing.T) {
	r := NewRenderer(testStage())
	im := image.NewRGBA(image.Rect(0, 0, 320, 240))
	near, far := sphere(Vec{0, 1, 0.5}, 0.2, glow), sphere(Vec{0, 1, -0.5}, 0.2, Colour{B: 40})
	for _, order := range [][]*Mesh{{near, far}, {far, near}} {
		r.Draw(im, 0, []Exposure{{Body: order}}, nil)
		p := im.RGBAAt(160, 120)
		assert.Greater(t, p.R, uint8(240))
		assert.Less(t, p.B, uint8(20))
	}
}

func TestBlurIsTheMeanOverTheExposure(t *testing.T) {
	r := NewRenderer(testStage())
	im := image.NewRGBA(image.Rect(0, 0, 320, 240))
	const n = 8
	var fast [][]*Mesh
	for k := range n {
		x := float32(k)/(n-1)*0.4 - 0.2
		fast = append(fast, []*Mesh{sphere(Vec{x, 1, 0}, 0.05, glow)})
	}
	r.Draw(im, 0, []Exposure{{Fast: fast}}, nil)
	x, y, _ := blob(im)
	assert.InDelta(t, 160, x, 0.5, "the streak's middle is the middle of the exposure, pixels")
	assert.InDelta(t, 120, y, 0.5)
	var first, last int
	for i := range 320 {
		p := im.RGBAAt(i, 120)
		if int(p.R)-int(p.B) > 25 {
			if first == 0 {
				first = i
			}
			last = i
		}
	}
	assert.InDelta(t, 400*(0.4+0.1)/4, last-first, 3, "the streak's length, pixels")
}

// TestShadowFallsAwayFromTheSun puts a ball over the ground and looks for the
// darkest ground where the sun's ray through the ball's centre meets it.
func TestShadowFallsAwayFromTheSun(t *testing.T) {
	s := testStage()
	r := NewRenderer(s)
	im := image.NewRGBA(image.Rect(0, 0, 320, 240))
	at := Vec{0.2, 0.5, 0.3}
	r.Draw(im, 0, []Exposure{{Body: []*Mesh{sphere(at, 0.15, grey)}}}, nil)
	sun := s.Light.ToSun
	g := at.Add(sun.Mul(-at.Y / sun.Y))
	x, y, _ := s.Camera.project(g)
	shade := im.RGBAAt(int(x), int(y))
	open := im.RGBAAt(int(x)+120, int(y))
	assert.Less(t, int(shade.G), int(open.G)-25, "in the shadow's middle")
	x, y, _ = s.Camera.project(Vec{at.X + (at.X - g.X), 0, at.Z + (at.Z - g.Z)})
	assert.InDelta(t, open.G, im.RGBAAt(int(x), int(y)).G, 12, "no shadow on the sun's side")
}

func TestNoise(t *testing.T) {
	s := testStage()
	r := NewRenderer(s)
	a, b := image.NewRGBA(image.Rect(0, 0, 320, 240)), image.NewRGBA(image.Rect(0, 0, 320, 240))
	e := []Exposure{{Body: []*Mesh{sphere(Vec{0, 1, 0}, 0.05, grey)}}}
	r.Draw(a, 1, e, nil)
	r.Draw(b, 2, e, nil)
	sum, sum2, n := 0.0, 0.0, 0.0
	for j := range 60 {
		for i := range 320 {
			d := float64(a.RGBAAt(i, j).G) - float64(b.RGBAAt(i, j).G)
			sum += d
			sum2 += d * d
			n++
		}
	}
	assert.InDelta(t, 0, sum/n, 0.1)
	// Two independent frames differ by √2 times the noise of one.
	assert.InEpsilon(t, noiseSigma*math.Sqrt2, math.Sqrt(sum2/n), 0.1)
}

func TestSameBytes(t *testing.T) {
	draw := func() []byte {
		r := NewRenderer(testStage())
		im := image.NewRGBA(image.Rect(0, 0, 320, 240))
		r.Draw(im, 5, []Exposure{{Body: []*Mesh{sphere(Vec{0, 0.4, 0}, 0.3, grey)}}}, []Foot{{0, 0, 0.3, 0.4}})
		return im.Pix
	}
	assert.True(t, bytes.Equal(draw(), draw()))
}

func TestColourTables(t *testing.T) {
	for v := range 256 {
		assert.Equal(t, v, encode(toLinear[v]), "sRGB level")
	}
	// IEC 61966-2-1: the linear value of level 128 is 0.2159.
	assert.InDelta(t, 0.2159, toLinear[128], 1e-4)
	assert.Equal(t, 0, encode(-1))
	assert.Equal(t, 255, encode(7))
}

func TestTextureWrapsAround(t *testing.T) {
	tex := NewTexture(8, 4, func(u, v float64) Colour { return Colour{R: float32(u), G: float32(v)} })
	assert.InDelta(t, tex.at(0, 0.5).R, tex.at(1, 0.5).R, 1e-6, "u repeats")
	assert.InDelta(t, 0.5, tex.at(0, 0.5).R, 1e-6, "between the last and the first texel")
	assert.InDelta(t, 0.125, tex.at(0.3, -1).G, 1e-6, "v ends")
	assert.InDelta(t, 0.875, tex.at(0.3, 2).G, 1e-6)
}

func BenchmarkDraw(b *testing.B) {
	s := testStage()
	r := NewRenderer(s)
	im := image.NewRGBA(image.Rect(0, 0, 320, 240))
	e := []Exposure{{Body: []*Mesh{sphere(Vec{0, 1, 0}, 0.5, grey)}}}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		r.Draw(im, i, e, nil)
	}
}
