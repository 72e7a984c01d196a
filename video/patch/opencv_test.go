package patch

import (
	"encoding/json"
	"image"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The outside check: OpenCV's findTransformECC on the same pictures, as stored by
// testdata/opencv.py.

type reference struct {
	Sum   int `json:"sum"`
	Cases []struct {
		DX      float64      `json:"dx"`
		DY      float64      `json:"dy"`
		Sum     int          `json:"sum"`
		Patches [][5]float64 `json:"patches"` // place, displacement, correlation
	} `json:"cases"`
}

func hash01(x, y, seed int64) float64 {
	h := uint32(x*374761393 + y*668265263 + seed*974634777)
	h = (h ^ h>>13) * 1274126177
	return float64((h^h>>16)&255) / 256
}

func noise(x, y float64, seed int64) float64 {
	ix, iy := math.Floor(x), math.Floor(y)
	u, v := x-ix, y-iy
	u, v = u*u*(3-2*u), v*v*(3-2*v)
	i, j := int64(ix), int64(iy)
	a, b, c, d := hash01(i, j, seed), hash01(i+1, j, seed), hash01(i, j+1, seed), hash01(i+1, j+1, seed)
	top, low := a+(b-a)*u, c+(d-c)*u
	return top + (low-top)*v
}

// ground draws the picture of opencv.py and sums its pixels.
func ground(dx, dy, gain float64) (m *image.Gray, sum int) {
	const side = 160
	m = image.NewGray(image.Rect(0, 0, side, side))
	for i := range m.Pix {
		x, y := float64(i%side)-dx, float64(i/side)-dy
		v := 0.5*noise(x/11, y/11, 3) + 0.5*noise(x/5, y/5, 4)
		m.Pix[i] = uint8(math.Floor(30 + gain*180*v + 0.5))
		sum += int(m.Pix[i])
	}
	return m, sum
}

func TestAgainstOpenCV(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile("testdata/opencv.json")
	require.NoError(t, err)
	var ref reference
	require.NoError(t, json.Unmarshal(b, &ref))
	first, sum := ground(0, 0, 1)
	require.Equal(t, ref.Sum, sum, "the same picture")
	for _, c := range ref.Cases {
		second, sum := ground(c.DX, c.DY, 0.8)
		require.Equal(t, c.Sum, sum, "the same picture")
		var ours, theirs, between float64
		n := 0
		for _, p := range c.Patches {
			if math.Hypot(p[2]-c.DX, p[3]-c.DY) > 0.5 {
				continue // OpenCV has lost it
			}
			tpl, ok := New(first, p[0]+0.5, p[1]+0.5, Size)
			require.True(t, ok)
			m, ok := tpl.Align(second, Warp{X: tpl.X, Y: tpl.Y, XX: 1, YY: 1})
			if !ok || math.Hypot(m.DX-c.DX, m.DY-c.DY) > 0.5 {
				continue
			}
			n++
			ours += math.Pow(m.DX-c.DX, 2) + math.Pow(m.DY-c.DY, 2)
			theirs += math.Pow(p[2]-c.DX, 2) + math.Pow(p[3]-c.DY, 2)
			between += math.Pow(m.DX-p[2], 2) + math.Pow(m.DY-p[3], 2)
			assert.InDelta(t, p[4], m.Correlation, 0.03)
		}
		rms := func(s float64) float64 { return math.Sqrt(s / float64(2*n)) }
		t.Logf("moved by %.1f, %.1f: %d of %d patches; from the truth %.3f px, OpenCV %.3f; between the two %.3f", c.DX, c.DY, n, len(c.Patches), rms(ours), rms(theirs), rms(between))
		assert.GreaterOrEqual(t, 10*n, 8*len(c.Patches))
		assert.Less(t, rms(between), 0.05)
		assert.Less(t, rms(ours), 0.05)
	}
}
