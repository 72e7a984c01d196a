package club

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ground is mottled grass.
func ground() *image.RGBA {
	im := image.NewRGBA(image.Rect(0, 0, 640, 480))
	r := rand.New(rand.NewPCG(3, 4))
	for i := range im.Rect.Dx() * im.Rect.Dy() {
		g := uint8(90 + r.IntN(24))
		im.SetRGBA(i%640, i/640, color.RGBA{g / 2, g, g / 3, 255})
	}
	return im
}

// stripe paints a bar of the given width, part of the colour mixed in.
func stripe(im *image.RGBA, x0, y0, x1, y1, width, part float64, c color.RGBA) {
	n := math.Hypot(x1-x0, y1-y0)
	dx, dy := (x1-x0)/n, (y1-y0)/n
	for y := range im.Rect.Dy() {
		for x := range im.Rect.Dx() {
			u := (float64(x)+0.5-x0)*dx + (float64(y)+0.5-y0)*dy
			v := math.Abs((float64(y)+0.5-y0)*dx - (float64(x)+0.5-x0)*dy)
			cover := math.Min(math.Max(width/2-v+0.5, 0), 1) * part
			if u < 0 || u > n || cover == 0 {
				continue
			}
			p := im.RGBAAt(x, y)
			mix := func(a, b uint8) uint8 { return uint8(float64(a)*(1-cover) + float64(b)*cover) }
			im.SetRGBA(x, y, color.RGBA{mix(p.R, c.R), mix(p.G, c.G), mix(p.B, c.B), 255})
		}
	}
}

var (
	steel = color.RGBA{215, 215, 220, 255}
	black = color.RGBA{20, 20, 22, 255}
)

// At 300 pixels a metre a shaft is 3 wide and at most 315 long.
const scale = 300

func check(t *testing.T, im *image.RGBA, x1, y1, degrees float64) {
	t.Helper()
	s, ok := Find(im, nil, Hands{X: 324, Y: 196, PixelsPerMetre: scale})
	require.True(t, ok, "%+v", s)
	want := math.Atan2(y1-200, x1-320)
	got := math.Atan2(s.ToY-s.FromY, s.ToX-s.FromX)
	assert.InDelta(t, 0, math.Remainder(got-want, 2*math.Pi)*180/math.Pi, degrees, "degrees")
	assert.InDelta(t, 0, math.Hypot(s.ToX-x1, s.ToY-y1), 10, "its end")
	// The line passes the place where the hands really are.
	sin, cos := math.Sincos(got)
	assert.InDelta(t, 0, (200-s.FromY)*cos-(320-s.FromX)*sin, 3)
}

// TestFind: the shaft is found in all directions, bright or dark, and blurred
// to four times its width.
func TestFind(t *testing.T) {
	for a := 0.0; a < 2*math.Pi; a += 0.7 {
		sin, cos := math.Sincos(a)
		x1, y1 := 320+180*cos, 200+180*sin
		for _, c := range []color.RGBA{steel, black} {
			im := ground()
			stripe(im, 320, 200, x1, y1, 3, 1, c)
			check(t, im, x1, y1, 0.7)
		}
	}
	im := ground()
	stripe(im, 320, 200, 500, 230, 9, 0.45, steel)
	check(t, im, 500, 230, 1.5)
}

// TestClubsOfATable draws clubs as a published table of lengths and lies has them soled on
// the ground: a 5-iron of 38 inches at 60 degrees has its butt 32.91 inches up and 19.00
// behind the head, a 7-iron of 37 at 62 degrees 32.67 and 17.37 (blog.hirekogolf.com,
// November 2007; inches are 25.4 mm). What is found lies so in the picture and ends at the
// head; from the hands, a few inches down the grip, it is as long as the rest.
func TestClubsOfATable(t *testing.T) {
	const inch, gripped = 0.0254 * scale, 4 // pixels; inches of the grip above the hands
	for _, c := range []struct{ length, up, out, lie float64 }{{38, 32.91, 19.00, 60}, {37, 32.67, 17.37, 62}} {
		im := ground()
		headX, headY := 440.0, 440.0
		buttX, buttY := headX-c.out*inch, headY-c.up*inch
		part := gripped / c.length
		x, y := buttX+part*(headX-buttX), buttY+part*(headY-buttY)
		stripe(im, x, y, headX, headY, 3, 1, steel)
		s, ok := Find(im, nil, Hands{X: x + 4, Y: y - 3, PixelsPerMetre: scale})
		require.True(t, ok, "%+v", s)
		assert.InDelta(t, c.lie, math.Atan2(s.ToY-s.FromY, s.ToX-s.FromX)*180/math.Pi, 0.7, "degrees")
		assert.InDelta(t, c.length-gripped, s.Length/inch, 1.5, "inches")
		assert.InDelta(t, 0, math.Hypot(s.ToX-headX, s.ToY-headY), 10)
	}
}

// TestSilence: without a shaft, with one that is too short, behind an arm, with
// two of the same, or with a place outside the picture nothing is said.
func TestSilence(t *testing.T) {
	silent := func(name string, im *image.RGBA, h Hands) {
		s, ok := Find(im, nil, h)
		assert.False(t, ok, "%s: %+v", name, s)
	}
	at := Hands{X: 324, Y: 196, PixelsPerMetre: scale}
	silent("grass", ground(), at)
	im := ground()
	stripe(im, 320, 200, 390, 210, 3, 1, steel)
	silent("short", im, at)
	im = ground()
	stripe(im, 320, 200, 520, 240, 30, 1, steel)
	silent("an arm", im, at)
	im = ground()
	stripe(im, 320, 200, 500, 240, 3, 1, steel)
	stripe(im, 320, 200, 420, 380, 3, 1, steel)
	silent("two", im, at)
	im = ground()
	stripe(im, 320, 300, 560, 300, 3, 1, steel)
	silent("a stick elsewhere", im, at)
	silent("outside", im, Hands{X: -5, Y: 20, PixelsPerMetre: scale})
	silent("no scale", im, Hands{X: 320, Y: 200, PixelsPerMetre: math.NaN()})
	silent("nothing", image.NewRGBA(image.Rectangle{}), at)
}

// TestBackground: a rail behind the hands is a shaft for a picture alone and none before
// the background, where the club that crosses it is found; a background from another place is not used.
func TestBackground(t *testing.T) {
	at := Hands{X: 324, Y: 196, PixelsPerMetre: scale}
	rail := func() *image.RGBA {
		im := ground()
		stripe(im, 322, 198, 560, 205, 3, 1, steel)
		return im
	}
	_, ok := Find(rail(), nil, at)
	require.True(t, ok, "a rail alone looks like a shaft")
	s, ok := Find(rail(), rail(), at)
	assert.False(t, ok, "%+v", s)

	im := rail()
	stripe(im, 320, 200, 400, 370, 3, 1, steel)
	_, ok = Find(im, nil, at)
	require.False(t, ok, "two stripes")
	s, ok = Find(im, rail(), at)
	require.True(t, ok, "%+v", s)
	assert.InDelta(t, math.Atan2(170, 80), math.Atan2(s.ToY-s.FromY, s.ToX-s.FromX), 0.02)

	elsewhere := image.NewRGBA(im.Rect)
	for i := range elsewhere.Pix {
		elsewhere.Pix[i] = uint8(i * 37)
	}
	_, ok = Find(rail(), elsewhere, at)
	assert.True(t, ok, "as without a background")
}

func BenchmarkFind(b *testing.B) {
	im := ground()
	stripe(im, 320, 200, 480, 230, 3, 1, steel)
	for b.Loop() {
		Find(im, nil, Hands{X: 324, Y: 196, PixelsPerMetre: scale})
	}
}
