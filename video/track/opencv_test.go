package track

import (
	"encoding/json"
	"image"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The outside check: OpenCV's calcOpticalFlowPyrLK on the same pictures, as
// stored by testdata/opencv.py, and its pyrDown.

type reference struct {
	OpenCV string `json:"opencv"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Sums   []int  `json:"sums"`
	Half   struct {
		Width  int   `json:"width"`
		Height int   `json:"height"`
		Sum    int   `json:"sum"`
		Row    []int `json:"row"`
		Column []int `json:"column"`
	} `json:"half"`
	Steps []struct {
		From   int          `json:"from"`
		To     int          `json:"to"`
		Points [][2]float64 `json:"points"`
		Found  [][2]float64 `json:"found"`
		Status []int        `json:"status"`
	} `json:"steps"`
}

func loadReference(t testing.TB) *reference {
	t.Helper()
	b, err := os.ReadFile("testdata/opencv.json")
	require.NoError(t, err)
	r := &reference{}
	require.NoError(t, json.Unmarshal(b, r))
	return r
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

func paint(x, y float64, seed int64) float64 {
	return 0.45*noise(x/24, y/24, seed) + 0.35*noise(x/9, y/9, seed+1) + 0.2*noise(x/4, y/4, seed+2)
}

// disc is where the scene's disc lies at time n, in frames, and how it is
// turned and grown.
func disc(n float64) (cx, cy, s, g float64) {
	return 130 + 4.3*n, 120 + 2.1*n - 0.4*n*n, 0.02 * n, 1 - 0.01*n
}

// drawScene draws the scene of testdata/opencv.py at time n.
func drawScene(dst *image.Gray, n float64) {
	cx, cy, s, g := disc(n)
	for py := range dst.Rect.Dy() {
		for px := range dst.Rect.Dx() {
			x, y := float64(px), float64(py)
			dx, dy := x-cx, y-cy
			var v float64
			if dx*dx+dy*dy < 70*70 {
				v = paint(g*(dx+s*dy), g*(dy-s*dx), 40)
			} else {
				v = 0.8 * paint(x+0.37*n, y-0.23*n, 10)
			}
			dst.Pix[py*dst.Stride+px] = uint8(math.Floor(16 + 219*v + 0.5))
		}
	}
}

func scenePyramid(r *reference, n float64) *pyramid {
	p := newPyramid(image.Pt(r.Width, r.Height), 4, 21)
	drawScene(&p.gray, n)
	p.build()
	return p
}

// tolOpenCV is how far a found point may lie from OpenCV's in the median,
// pixels: asked for by the job. OpenCV works in whole numbers of 1/32 grey
// level, so that a hundredth of a pixel is to be expected.
const tolOpenCV = 0.3

func TestFlowAgreesWithOpenCV(t *testing.T) {
	r := loadReference(t)
	pyramids := make([]*pyramid, len(r.Sums))
	for n := range pyramids {
		pyramids[n] = scenePyramid(r, float64(n))
		sum := 0
		for _, v := range pyramids[n].gray.Pix {
			sum += int(v)
		}
		require.Equal(t, r.Sums[n], sum, "the same picture %d", n)
	}
	m := newMatcher(21, false)
	var apart []float64
	lost := 0
	for _, s := range r.Steps {
		for i, p := range s.Points {
			x, y, ok := m.follow(pyramids[s.From], pyramids[s.To], p[0], p[1], p[0], p[1], 0, 3, 0)
			if s.Status[i] == 0 {
				continue
			}
			if !ok {
				lost++
				continue
			}
			apart = append(apart, math.Hypot(x-s.Found[i][0], y-s.Found[i][1]))
		}
	}
	slices.Sort(apart)
	q := func(p float64) float64 { return apart[int(p*float64(len(apart)-1))] }
	t.Logf("OpenCV %s, %d points: median %.4f px, 90%% %.4f, 99%% %.3f, largest %.2f; %d lost", r.OpenCV, len(apart), q(0.5), q(0.9), q(0.99), q(1), lost)
	assert.Greater(t, len(apart), 600)
	assert.Zero(t, lost)
	assert.Less(t, q(0.5), 0.005, "pixels")
	assert.Less(t, q(0.9), 0.1, "pixels")
	assert.Less(t, q(0.99), tolOpenCV)
}

func TestHalvingAgreesWithOpenCV(t *testing.T) {
	r := loadReference(t)
	p := scenePyramid(r, 0)
	half := p.levels[1]
	require.Equal(t, []int{r.Half.Width, r.Half.Height}, []int{half.w, half.h})
	sum := 0
	for _, v := range half.pix {
		sum += int(v)
	}
	assert.Equal(t, r.Half.Sum, sum)
	for x, want := range r.Half.Row {
		assert.Equal(t, want, int(half.pix[(half.h-1)*half.w+x]), "last row, pixel %d", x)
	}
	for y, want := range r.Half.Column {
		assert.Equal(t, want, int(half.pix[y*half.w+half.w-1]), "last column, pixel %d", y)
	}
}
