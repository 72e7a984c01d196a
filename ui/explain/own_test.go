package explain

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

func TestAnglesByHand(t *testing.T) {
	for _, c := range []struct {
		name               string
		end, corner, other geometry.ImagePt
		want               string
	}{
		// With arms of 100 px each end moves its direction by 0.025 rad for 2.5
		// px, the corner by 0.025 √2: together 0.05 rad, ± 5.6°.
		{"right angle", pt(100, 0), pt(0, 0), pt(0, 100), "90° ± 6 in the picture"},
		{"the other way round", pt(0, 100), pt(0, 0), pt(100, 0), "90° ± 6 in the picture"},
		// The corner moves both directions of a straight angle against each
		// other: 0.025 √(1 + 1 + 4), ± 7.0° with arms of 100 px.
		{"straight", pt(-100, 0), pt(0, 0), pt(100, 0), "180° ± 7 in the picture"},
		// Ten times the arms, a tenth of the interval: it is never written as 0.
		{"long arms", pt(10000, 0), pt(0, 0), pt(5000, 8660.254), "60° ± 1 in the picture"},
		// Arms of 100 and 200: 0.025 √(2 (1 + 1/4)) = 0.0395 rad, ± 4.4°.
		{"away from the corner of the picture", pt(700, 300), pt(600, 300), pt(600, 100), "90° ± 4 in the picture"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, ok := ReadAngle(c.end, c.corner, c.other, usualClickSDPx)
			require.True(t, ok)
			assert.Equal(t, c.want, r.String())
		})
	}
	_, ok := ReadAngle(pt(1, 1), pt(1, 1), pt(2, 2), 1)
	assert.False(t, ok)
}

// TestAngleIntervalsCover draws the three places anew with the click's error many
// times and counts how often the interval of the drawn angle holds the true
// one. The angle is worked out by complex division instead.
func TestAngleIntervalsCover(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n = 4000
	in := 0
	for range n {
		c := complex(1000*r.Float64(), 1000*r.Float64())
		u := cmplx.Rect(80+400*r.Float64(), 2*math.Pi*r.Float64())
		turn := 0.3 + 2.5*r.Float64()
		v := cmplx.Rect(80+400*r.Float64(), cmplx.Phase(u)+turn)
		truth := cmplx.Phase(v/u) * 180 / math.Pi
		click := func(z complex128) geometry.ImagePt {
			return pt(real(z)+2.5*r.NormFloat64(), imag(z)+2.5*r.NormFloat64())
		}
		got, ok := ReadAngle(click(c+u), click(c), click(c+v), 2.5)
		require.True(t, ok)
		if math.Abs(got.Degrees-truth) <= got.Half {
			in++
		}
	}
	// A binomial count of 4000 at 0.95 lies within 3.3 standard deviations, of
	// 0.0034 each, all but once in a thousand times.
	assert.InDelta(t, 0.95, float64(in)/n, 0.0115)
}

func TestOwnDrawings(t *testing.T) {
	f := &Frame{View: geometry.FaceOn, Drawings: []annotations.Drawing{
		{ID: "l", Kind: annotations.DrawnLine, Points: []geometry.ImagePt{pt(0, 0), pt(100, 0)}},
		{ID: "m", Kind: annotations.DrawnLine, Points: []geometry.ImagePt{pt(0, 0), pt(100, 0)}, Text: "belt"},
		{ID: "a", Kind: annotations.DrawnAngle, Points: []geometry.ImagePt{pt(300, 100), pt(100, 100), pt(100, 200)}, Text: "elbow"},
		{ID: "n", Kind: annotations.DrawnNote, Points: []geometry.ImagePt{pt(7, 8)}, Text: "knee out"},
	}}
	g := f.Figure(Set{})
	require.Len(t, g.Strokes, 4, "they are shown at any frame, whatever lines are on")
	for _, s := range g.Strokes {
		assert.Equal(t, OwnInk, s.Ink)
	}
	require.Len(t, g.Labels, 3)
	assert.Equal(t, "belt", g.Labels[0].String())
	near(t, pt(50, 0), g.Labels[0].At, "middle of the line")
	assert.Equal(t, "elbow 90° ± 4 in the picture", g.Labels[1].String())
	assert.True(t, g.Labels[2].Fixed)
	require.Len(t, g.Arcs, 1)
	assert.InDelta(t, 35, g.Arcs[0].Radius, tolPixel, "0.35 of the shorter arm")
	assert.InDelta(t, 0, g.Arcs[0].From, tolPixel)
	assert.InDelta(t, math.Pi/2, g.Arcs[0].Turn, tolPixel)
	assert.True(t, g.HasNumbers())
	f.Drawings = f.Drawings[:2]
	assert.False(t, f.Figure(Set{}).HasNumbers())
	f.ClickSDPx = 1
	f.Drawings = []annotations.Drawing{{Kind: annotations.DrawnAngle, Points: []geometry.ImagePt{pt(100, 0), pt(0, 0), pt(0, 100)}}}
	assert.Equal(t, "90° ± 2 in the picture", f.Figure(Set{}).Labels[0].String(), "a steadier hand reads more sharply")
}
