package pose

import (
	"encoding/json"
	"image"
	"image/draw"
	_ "image/jpeg"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func picture(t testing.TB, name string) *image.RGBA {
	f, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	m, _, err := image.Decode(f)
	require.NoError(t, err)
	out := image.NewRGBA(image.Rect(0, 0, m.Bounds().Dx(), m.Bounds().Dy()))
	draw.Draw(out, out.Rect, m, m.Bounds().Min, draw.Src)
	return out
}

// TestGraph compares with what the npm package @mediapipe/pose 0.5.1675469404
// finds in the same pictures: its whole pipeline, detection included, as
// WebAssembly in Chromium (testdata/graph.mjs). It samples the picture without
// averaging and looks through a region that differs by parts of a pixel, so
// that places agree only to a part of the body's size.
func TestGraph(t *testing.T) {
	b, err := os.ReadFile("testdata/graph.json")
	require.NoError(t, err)
	var want map[string][][3]float64
	require.NoError(t, json.Unmarshal(b, &want))
	require.Len(t, want, 3)
	f, err := NewFinder()
	require.NoError(t, err)
	for name, landmarks := range want {
		im := picture(t, name)
		w, h := float64(im.Rect.Dx()), float64(im.Rect.Dy())
		regions := f.Regions(im, Region{X: w / 2, Y: h / 2, Side: max(w, h)})
		require.Len(t, regions, 1, name)
		fig, ok := f.Look(im, regions[0])
		require.True(t, ok, name)
		require.Len(t, landmarks, int(NumLandmarks))
		sum, worst := 0.0, 0.0
		for i, v := range landmarks {
			l := fig.Landmarks[i]
			d := math.Hypot(l.X-v[0]*w, l.Y-v[1]*h)
			if l.Seen > 0.5 && v[2] > 0.5 {
				sum += d
				worst = max(worst, d)
			}
		}
		t.Logf("%s: mean %.2f, worst %.2f px of a region of %.0f", name, sum/float64(NumLandmarks), worst, fig.Region.Side)
		assert.Less(t, sum/float64(NumLandmarks), 0.01*fig.Region.Side, name)
		assert.Less(t, worst, 0.04*fig.Region.Side, name)
	}
}
