package demo

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/figure"
)

// pictureOf draws one picture of a cast, face-on, and says what it shows.
func pictureOf(c Cast, seconds float64) (*image.RGBA, TruthFrame) {
	s := set{params: c.Golfer, seed: 1, cast: &c}
	p := phones()[0]
	p.start = seconds
	f := s.film(p, Options{Shrink: 4})
	h := f.newHand()
	im := image.NewRGBA(image.Rect(0, 0, f.camera.Width, f.camera.Height))
	h.draw(im, 0)
	return im, h.frame(0, 0, 0)
}

// TestClothesSlip: at impact buckle and tailbone are seen turned about the pelvis by the slip
// that is asked for and before the last part of the downswing where they belong, while what is true
// of the golfer stays.
func TestClothesSlip(t *testing.T) {
	t.Parallel()
	c := Cast{Golfer: golfer.MaraFirstVisit(), SlipM: 0.006}
	f := (&set{params: c.Golfer, cast: &c}).film(phones()[0], Options{Shrink: 8})
	for _, at := range []struct{ seconds, part float64 }{{0.7, 0}, {golfer.ImpactTime - slipLate/2, 0.5}, {golfer.ImpactTime, 1}} {
		pose, bare := f.at(at.seconds), f.model.At(at.seconds)
		for _, p := range []geometry.Point{geometry.Buckle, geometry.Tailbone} {
			x, _, z := bare.Pelvis.In(bare.Points[p])
			x1, _, z1 := bare.Pelvis.In(pose.Points[p])
			turned := math.Remainder(math.Atan2(z1, x1)-math.Atan2(z, x), 2*math.Pi)
			assert.InDelta(t, at.part*0.006/slipRadius, turned, 1e-9, "%v at %g s", p, at.seconds)
		}
		assert.Equal(t, bare.Points[geometry.LeadHip], pose.Points[geometry.LeadHip])
	}
	a, _ := pictureOf(Cast{Golfer: c.Golfer}, golfer.ImpactTime)
	b, _ := pictureOf(c, golfer.ImpactTime)
	assert.NotEqual(t, a.Pix, b.Pix, "what slips is drawn where it slipped to")
}

// TestLeftHanders are right-handers in the mirror: picture and truth.
func TestLeftHanders(t *testing.T) {
	t.Parallel()
	right, a := pictureOf(Cast{Golfer: golfer.MaraFirstVisit()}, 0.8)
	left, b := pictureOf(Cast{Golfer: golfer.MaraFirstVisit(), LeftHanded: true}, 0.8)
	w := right.Rect.Dx()
	for y := 40; y < 200; y += 16 {
		for x := 3; x < w; x += 16 {
			require.Equal(t, right.At(x, y), left.At(w-1-x, y))
		}
	}
	require.NotEmpty(t, a.Pixels)
	for name, p := range a.Pixels {
		assert.InDelta(t, float64(w)-p[0], b.Pixels[name][0], 1e-9, name)
	}
	assert.Equal(t, a.Visible, b.Visible)
}

// TestWear: each of the clothes looks unlike the others, a shirt over the belt hides the buckle,
// and dark pictures are darker.
func TestWear(t *testing.T) {
	t.Parallel()
	brightness := func(im *image.RGBA) (sum float64) {
		for i := 0; i < len(im.Pix); i += 4 {
			sum += float64(im.Pix[i+1])
		}
		return sum / float64(len(im.Pix)/4)
	}
	m := golfer.MaraFirstVisit()
	usual, truth := pictureOf(Cast{Golfer: m}, 0)
	assert.True(t, truth.Visible[geometry.Buckle.String()])
	seen := []*image.RGBA{usual}
	for _, w := range []figure.Wear{{Legs: figure.Shorts}, {Legs: figure.Skirt}, {Plain: true}, {Untucked: true}} {
		im, truth := pictureOf(Cast{Golfer: m, Wear: w}, 0)
		for _, other := range seen {
			assert.NotEqual(t, other.Pix, im.Pix)
		}
		seen = append(seen, im)
		assert.Equal(t, !w.Untucked, truth.Visible[geometry.Buckle.String()], "%+v", w)
	}
	dark, _ := pictureOf(Cast{Golfer: m, Dark: true}, 0)
	assert.InDelta(t, brightness(usual)/3, brightness(dark), 4)
	crowd, _ := pictureOf(Cast{Golfer: m, Beside: r3.Vec{X: 0.55, Z: -0.75}}, 0)
	assert.NotEqual(t, usual.Pix, crowd.Pix)
}
