package ball

import (
	"encoding/json"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func read(t *testing.T, name string) *image.RGBA {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	require.NoError(t, err)
	defer f.Close()
	im, err := png.Decode(f)
	require.NoError(t, err)
	out := image.NewRGBA(image.Rectangle{Max: im.Bounds().Size()})
	draw.Draw(out, out.Rect, im, im.Bounds().Min, draw.Src)
	return out
}

// TestOutside: in a picture of the demo's address the ball lies where OpenCV's
// Hough transform finds its circle (testdata/hough.py) and where the truth of the
// demo has it.
func TestOutside(t *testing.T) {
	var reference struct{ Circles [][3]float64 }
	b, err := os.ReadFile(filepath.Join("testdata", "hough.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, &reference))
	require.Len(t, reference.Circles, 1)
	c := reference.Circles[0]
	got, ok := Find(read(t, "face-on.png"), Place{X: 92, Y: 89, Within: 85, PixelsPerMetre: 326})
	require.True(t, ok)
	// OpenCV counts from the centre of the first pixel, and finds whole pixels.
	assert.InDelta(t, 0, math.Hypot(got.X-c[0]-0.5, got.Y-c[1]-0.5), 1.5)
	assert.InDelta(t, c[2], got.Radius, 1)
	// truth.json of the demo, less the corner that the picture is cut out at.
	assert.InDelta(t, 0, math.Hypot(got.X-(950.481-840), got.Y-(969.2-879)), 2)
}

// meadow is mottled ground of one colour.
func meadow(c color.RGBA, mottle int, seed uint64) *image.RGBA {
	im := image.NewRGBA(image.Rect(0, 0, 240, 200))
	r := rand.New(rand.NewPCG(seed, 5))
	for i := range 240 * 200 {
		d := r.IntN(2*mottle+1) - mottle
		im.SetRGBA(i%240, i/240, color.RGBA{level(int(c.R) + d), level(int(c.G) + d), level(int(c.B) + d), 255})
	}
	return im
}

func level(v int) uint8 { return uint8(min(max(v, 0), 255)) }

// disc paints a disc whose brightness falls toward its lower edge by the part
// shade.
func disc(im *image.RGBA, x, y, r, shade float64, c color.RGBA) {
	for py := range im.Rect.Dy() {
		for px := range im.Rect.Dx() {
			dx, dy := float64(px)+0.5-x, float64(py)+0.5-y
			cover := math.Min(math.Max(r-math.Hypot(dx, dy)+0.5, 0), 1)
			if cover == 0 {
				continue
			}
			dim := 1 - shade*math.Max(dy/r, 0)
			p := im.RGBAAt(px, py)
			mix := func(a, b uint8) uint8 { return level(int(float64(a)*(1-cover) + float64(b)*dim*cover)) }
			im.SetRGBA(px, py, color.RGBA{mix(p.R, c.R), mix(p.G, c.G), mix(p.B, c.B), 255})
		}
	}
}

var (
	grass  = color.RGBA{70, 110, 50, 255}
	sand   = color.RGBA{190, 165, 120, 255}
	white  = color.RGBA{240, 240, 235, 255}
	yellow = color.RGBA{230, 225, 70, 255}
	iron   = color.RGBA{150, 152, 158, 255}
)

// A golfer of 1.72 m who is 550 pixels tall.
const scale = 320

// TestFind: balls of two colours on two grounds, in all sizes that one can have,
// with shade below and a clubhead beside, are found to a pixel.
func TestFind(t *testing.T) {
	for i, c := range []struct {
		ground, ball   color.RGBA
		x, y, r, shade float64
		head           bool
	}{
		{grass, white, 121.3, 98.7, 6.8, 0, false},
		{grass, white, 100.1, 110.6, 5.6, 0.25, true},
		{grass, yellow, 139.9, 90.2, 8.4, 0.2, true},
		{sand, white, 118.4, 104.5, 10.2, 0.1, false},
	} {
		im := meadow(c.ground, 12, uint64(i))
		disc(im, c.x, c.y, c.r, c.shade, c.ball)
		if c.head {
			disc(im, c.x-1.9*c.r, c.y+2, c.r, 0, iron)
		}
		got, ok := Find(im, Place{X: 112, Y: 100, Within: 80, PixelsPerMetre: scale})
		require.True(t, ok, "%d: %+v", i, got)
		assert.InDelta(t, 0, math.Hypot(got.X-c.x, got.Y-c.y), 1, "%d", i)
		assert.InDelta(t, c.r, got.Radius, 1, "%d", i)
	}
}

// TestSilence: without a ball, with one behind the clubhead, with two, with one
// out of reach, with spots of another size or shape, with one that is darker than
// the ground, and with numbers that mean nothing, nothing is said.
func TestSilence(t *testing.T) {
	at := Place{X: 112, Y: 100, Within: 60, PixelsPerMetre: scale}
	silent := func(name string, im *image.RGBA, p Place) {
		b, ok := Find(im, p)
		assert.False(t, ok, "%s: %+v", name, b)
	}
	silent("grass", meadow(grass, 20, 1), at)
	silent("behind the clubhead", read(t, "behind-the-head.png"), Place{X: 110, Y: 92, Within: 80, PixelsPerMetre: 293})
	im := meadow(grass, 12, 2)
	disc(im, 90, 100, 7, 0, white)
	disc(im, 140, 110, 7, 0, white)
	silent("two", im, at)
	im = meadow(grass, 12, 3)
	disc(im, 200, 100, 7, 0, white)
	silent("out of reach", im, at)
	im = meadow(grass, 12, 4)
	disc(im, 112, 100, 22, 0, white)
	silent("a shoe", im, at)
	im = meadow(grass, 12, 5)
	disc(im, 112, 100, 2.5, 0, white)
	silent("a tee", im, at)
	im = meadow(grass, 12, 6)
	for x := 60.0; x < 170; x++ {
		disc(im, x, 100, 6, 0, white)
	}
	silent("a line", im, at)
	im = meadow(sand, 12, 7)
	disc(im, 112, 100, 7, 0, color.RGBA{40, 40, 40, 255})
	silent("a dark ball", im, at)
	for name, p := range map[string]Place{
		"no scale":  {X: 112, Y: 100, Within: 60, PixelsPerMetre: math.NaN()},
		"outside":   {X: -400, Y: 100, Within: 60, PixelsPerMetre: scale},
		"no reach":  {X: 112, Y: 100, PixelsPerMetre: scale},
		"nowhere":   {X: math.NaN(), Y: 100, Within: 60, PixelsPerMetre: scale},
		"far away":  {X: 112, Y: 100, Within: 60, PixelsPerMetre: 20},
		"very near": {X: 112, Y: 100, Within: 1e9, PixelsPerMetre: scale},
	} {
		silent(name, im, p)
	}
	silent("no picture", image.NewRGBA(image.Rectangle{}), at)
}

func BenchmarkFind(b *testing.B) {
	im := meadow(grass, 12, 1)
	disc(im, 121.3, 98.7, 6.8, 0.1, white)
	for b.Loop() {
		Find(im, Place{X: 112, Y: 100, Within: 80, PixelsPerMetre: scale})
	}
}
