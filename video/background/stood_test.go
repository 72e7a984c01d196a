package background

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ground is a smooth random scene given everywhere, so that it can be seen from a camera
// that turned by any part of a pixel.
func ground(x, y float64) float64 {
	v := 120.0
	r := rand.New(rand.NewPCG(8, 8))
	for range 40 {
		a, length := 2*math.Pi*r.Float64(), 5+25*r.Float64()
		v += 9 * math.Cos(2*math.Pi*(x*math.Cos(a)+y*math.Sin(a))/length+2*math.Pi*r.Float64())
	}
	return v
}

// seen are pictures of a swing by a camera whose picture is shifted, turned by roll radians
// about its middle and enlarged, in light of some gain; a golfer covers the middle, and moves.
func seen(seed uint64, dx, dy, roll, zoom, gain float64) []*image.Gray {
	const w, h = 192, 108
	r := rand.New(rand.NewPCG(seed, 1))
	scene := make([]float64, w*h)
	for y := range h {
		for x := range w {
			u, v := (float64(x)-w/2)/zoom, (float64(y)-h/2)/zoom
			scene[y*w+x] = gain * ground(w/2+u*math.Cos(roll)-v*math.Sin(roll)-dx, h/2+u*math.Sin(roll)+v*math.Cos(roll)-dy)
		}
	}
	out := make([]*image.Gray, 12)
	for i := range out {
		out[i] = image.NewGray(image.Rect(0, 0, w, h))
		for k, v := range scene {
			x, y := k%w, k/w
			if g := 80 + 3*i; x > g && x < g+28 && y > 15 && y < 100 {
				v = 60 + 20*math.Sin(float64(x-g)/3)*math.Sin(float64(y)/4)
			}
			out[i].Pix[k] = uint8(math.Max(math.Min(v+1.5*r.NormFloat64(), 255), 0))
		}
	}
	return out
}

// TestCompare: noise, other light and a golfer who moves elsewhere are no move; a phone
// that was turned, rolled or set nearer by a little has moved. A picture that shows nothing
// to hold on to tells nothing.
func TestCompare(t *testing.T) {
	t.Parallel()
	first := Standing(seen(1, 0, 0, 0, 1, 1))
	require.NotNil(t, first)
	for _, c := range []struct {
		what                     string
		dx, dy, roll, zoom, gain float64
		want                     Told
	}{
		{"nothing", 0, 0, 0, 1, 1, Stood},
		{"a cloud", 0, 0, 0, 1, 0.75, Stood},
		{"a tremble", 0.15, 0.1, 0, 1, 1, Stood},
		{"a bump to the side", 1, 0, 0, 1, 1, Moved},
		{"a bump downwards", 0, 0.8, 0, 1, 1, Moved},
		{"a roll of one degree", 0, 0, math.Pi / 180, 1, 1, Moved},
		{"two per cent nearer", 0, 0, 0, 1.02, 1, Moved},
		{"a bump, and a cloud", 0.9, 0.4, 0, 1, 0.8, Moved},
		{"set up anew", 40, 12, 0, 1.1, 1, Moved},
	} {
		assert.Equal(t, c.want, Compare(first, Standing(seen(2, c.dx, c.dy, c.roll, c.zoom, c.gain))), c.what)
	}
	plain := image.NewGray(first.Rect)
	for i := range plain.Pix {
		plain.Pix[i] = 100
	}
	assert.Equal(t, Unknown, Compare(plain, plain))
	assert.Equal(t, Unknown, Compare(first, nil))
	assert.Equal(t, Unknown, Compare(first, image.NewGray(image.Rect(0, 0, 8, 8))))
	assert.Nil(t, Standing(seen(1, 0, 0, 0, 1, 1)[:2]))
}
