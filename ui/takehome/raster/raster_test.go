package raster

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var black = color.NRGBA{A: 255}

// dark is the area of what is drawn in black, square points.
func (p *Page) dark() float64 {
	sum := 0.0
	for i := 0; i < len(p.Image.Pix); i += 4 {
		sum += float64(255-p.Image.Pix[i]) / 255
	}
	return sum / (p.scale * p.scale)
}

// TestAreas: what is drawn covers the area that plane geometry gives it.
func TestAreas(t *testing.T) {
	p := New(100, 100, 2)
	p.Fill([][]Pt{{{10, 10}, {60, 10}, {60, 50}, {10, 50}}}, black)
	assert.InDelta(t, 50*40, p.dark(), 1, "a rectangle")

	p = New(100, 100, 2)
	p.Stroke([][]Pt{{{10, 10}, {40, 50}}}, 3, 0, 0, black)
	assert.InDelta(t, 50*3, p.dark(), 1, "a line of 50")

	p = New(100, 100, 2)
	p.Stroke([][]Pt{{{10, 10}, {90, 10}}}, 2, 6, 4, black)
	assert.InDelta(t, 80*2*0.6, p.dark(), 1, "six parts of ten are dashes")

	p = New(100, 100, 2)
	p.Fill([][]Pt{disc(Pt{50, 50}, 20)}, black)
	assert.InDelta(t, 12.0/2*20*20*math.Sin(2*math.Pi/12), p.dark(), 1, "a polygon of twelve corners")

	p = New(100, 100, 2)
	im := image.NewNRGBA(image.Rect(0, 0, 8, 2))
	for i := 3; i < len(im.Pix); i += 4 {
		im.Pix[i] = 255
	}
	p.Picture(im, 20, 30, 40, 10)
	assert.InDelta(t, 400, p.dark(), 1)
}

// TestTextStandsOnItsBaseline: letters without descenders end there, to a pixel, and
// begin at their start.
func TestTextStandsOnItsBaseline(t *testing.T) {
	p := New(100, 50, 4)
	p.Text("HE", Pt{20, 40}, 20, true, black)
	box := image.Rectangle{}
	for y := range p.Image.Rect.Dy() {
		for x := range p.Image.Rect.Dx() {
			if p.Image.RGBAAt(x, y).R < 128 {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	assert.InDelta(t, 40*4, box.Max.Y, 1)
	assert.InDelta(t, 20*4, box.Min.X, 20*4*0.12)
	assert.InDelta(t, 0.72*20*4, box.Dy(), 4, "capitals of the Go fonts are 0.72 em high")
}

// TestLogo: a logo with clear parts stands on white, and a broken one is refused.
func TestLogo(t *testing.T) {
	im := image.NewNRGBA(image.Rect(0, 0, 1280, 320))
	for y := range 320 {
		for x := 640; x < 1280; x++ {
			im.SetNRGBA(x, y, color.NRGBA{R: 20, G: 100, B: 90, A: 255})
		}
	}
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, im))
	data, size, err := Logo(b.Bytes())
	require.NoError(t, err)
	assert.Equal(t, image.Pt(640, 160), size)
	got, _, err := image.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	r, _, _, _ := got.At(100, 80).RGBA()
	assert.Greater(t, r>>8, uint32(250), "clear is white")
	r, _, _, _ = got.At(500, 80).RGBA()
	assert.InDelta(t, 20, r>>8, 6)
	_, _, err = Logo([]byte("no picture"))
	assert.Error(t, err)
}
