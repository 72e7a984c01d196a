package pose

import (
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAnchors: two in each cell of 28 × 28 and of 14 × 14, six in each of 7 × 7.
func TestAnchors(t *testing.T) {
	a := anchors()
	require.Len(t, a, numAnchors)
	assert.Equal(t, [2]float64{0.5 / 28, 0.5 / 28}, a[0])
	assert.Equal(t, [2]float64{1.5 / 28, 0.5 / 28}, a[2])
	assert.Equal(t, [2]float64{0.5 / 14, 0.5 / 14}, a[2*28*28])
	assert.Equal(t, [2]float64{6.5 / 7, 6.5 / 7}, a[numAnchors-1])
}

// TestPeople: two boxes of one person become their mean weighted by score, one
// that lies apart stays, one that is unsure goes. Worked by hand.
func TestPeople(t *testing.T) {
	anchors := [][2]float64{{0.5, 0.5}, {0.5, 0.5}, {0.1, 0.1}, {0.8, 0.8}}
	box := func(x, w, hip float32) []float32 {
		return []float32{x, 0, w, w, hip, 0, hip, -56, 0, 0, 0, 0}
	}
	boxes := append(append(append(box(0, 56, 0), box(11.2, 56, 22.4)...), box(0, 22.4, 0)...), box(0, 22.4, 0)...)
	third := float32(math.Log(0.6 / 0.4))
	got := people(anchors, boxes, []float32{100, third, 100, -2})
	require.Len(t, got, 2)
	assert.InDelta(t, 1, got[0].score, 1e-9)
	// Scores 1 and 0.6, hips at 0.5 and 0.6: (0.5 + 0.36) / 1.6.
	assert.InDelta(t, 0.5375, got[0].hipX, 1e-6)
	assert.InDelta(t, 0.25, got[0].upY, 1e-6)
	assert.InDelta(t, 0.1, got[1].hipX, 1e-6)
}

func TestRegion(t *testing.T) {
	r := about(100, 200, 100, 120)
	assert.Equal(t, Region{X: 100, Y: 200, Side: 200}, r, "upright: twice the reach and a quarter more")
	r = about(100, 200, 180, 200) // lying, head to the right
	assert.InDelta(t, math.Pi/2, r.Angle, 1e-12)
	x, y := r.out(0.5, 0)
	assert.InDelta(t, 200, x, 1e-9, "the upper edge lies to the right")
	assert.InDelta(t, 200, y, 1e-9)
}

// TestSample: a turned region is drawn upright, and what lies beyond the edge
// is black or goes on.
func TestSample(t *testing.T) {
	im := image.NewRGBA(image.Rect(0, 0, 40, 40))
	for y := range 40 {
		for x := range 40 {
			im.SetRGBA(x, y, color.RGBA{uint8(4 * x), uint8(4 * y), 200, 255})
		}
	}
	dst := make([]float32, 8*8*3)
	sample(dst, 8, im, Region{X: 20, Y: 20, Side: 16, Angle: math.Pi / 2}, 0, 255, false)
	// Up in the region is right in the picture: the first row has the greatest
	// x. Pixels of two are averaged about x = 27, whose colour is 4·(27−0.5).
	assert.InDelta(t, 4*26.5, dst[0], 1e-3)
	assert.InDelta(t, 4*12.5, dst[1], 1e-3)
	sample(dst, 8, im, Region{X: 0, Y: 20, Side: 16}, -1, 1, false)
	assert.Equal(t, float32(-1), dst[2], "nothing beyond the edge")
	sample(dst, 8, im, Region{X: 0, Y: 20, Side: 16}, -1, 1, true)
	assert.InDelta(t, 200/127.5-1, dst[2], 1e-5, "the edge goes on")
}

// TestNobody: where there is nobody, nothing is said.
func TestNobody(t *testing.T) {
	f, err := NewFinder()
	require.NoError(t, err)
	for name, im := range map[string]*image.RGBA{
		"black": image.NewRGBA(image.Rect(0, 0, 320, 180)),
		"empty": image.NewRGBA(image.Rectangle{}),
		"one":   image.NewRGBA(image.Rect(0, 0, 1, 1)),
		"grass": picture(t, "golfer-top.jpg").SubImage(image.Rect(0, 420, 300, 540)).(*image.RGBA),
	} {
		_, ok := f.Find(im)
		assert.False(t, ok, name)
	}
	_, ok := f.Look(picture(t, "golfer-top.jpg"), Region{Side: math.NaN()})
	assert.False(t, ok)
}

// TestFind: the golfer is found upright, and turned on his side with the same
// joints.
func TestFind(t *testing.T) {
	f, err := NewFinder()
	require.NoError(t, err)
	im := picture(t, "golfer-address.jpg")
	fig, ok := f.Find(im)
	require.True(t, ok)
	assert.Greater(t, fig.Landmarks[LeftHip].X, fig.Landmarks[RightHip].X, "he faces the camera")
	assert.Less(t, fig.Landmarks[Nose].Y, fig.Landmarks[LeftAnkle].Y)
	h := im.Rect.Dy()
	turned := image.NewRGBA(image.Rect(0, 0, h, im.Rect.Dx()))
	for y := range im.Rect.Dy() {
		for x := range im.Rect.Dx() {
			turned.SetRGBA(h-1-y, x, im.RGBAAt(x, y))
		}
	}
	lying, ok := f.Find(turned)
	require.True(t, ok)
	sum := 0.0
	for i, l := range fig.Landmarks {
		m := lying.Landmarks[i]
		sum += math.Hypot(float64(h)-l.Y-m.X, l.X-m.Y)
	}
	assert.Less(t, sum/float64(NumLandmarks), 0.02*fig.Size())
}

// TestLookedForInTooSmallAPart looks for a person where only his trunk is: he is found
// whole, each joint within a hundredth or so of his size of where it is when the whole of
// him is looked at.
func TestLookedForInTooSmallAPart(t *testing.T) {
	im := picture(t, "golfer-address.jpg")
	f, err := NewFinder()
	require.NoError(t, err)
	want, ok := f.Find(im)
	require.True(t, ok)
	whole := want.Next
	for _, part := range []float64{0.55, 0.65, 0.8} {
		got, ok := f.FindFrom(im, Region{X: whole.X, Y: whole.Y - 0.1*whole.Side, Side: part * whole.Side, Angle: whole.Angle})
		require.True(t, ok, part)
		for n := LeftShoulder; n <= RightAnkle; n++ {
			g, w := &got.Landmarks[n], &want.Landmarks[n]
			assert.Less(t, math.Hypot(g.X-w.X, g.Y-w.Y), 0.04*want.Size(), "%v in %g", n, part)
			assert.Less(t, g.Wander, 0.03*want.Size(), "%v in %g", n, part)
		}
	}
}

// BenchmarkFind is what one proposal takes: detection once and landmarks twice.
func BenchmarkFind(b *testing.B) {
	f, err := NewFinder()
	require.NoError(b, err)
	im := picture(b, "golfer-address.jpg")
	for b.Loop() {
		f.Find(im)
	}
}

// TestScoresAtTheLine: the graph of the network's authors takes a person from a score of
// 0.5 on, whose logit is 0.
func TestScoresAtTheLine(t *testing.T) {
	anchors := [][2]float64{{0.5, 0.5}}
	boxes := []float32{0, 0, 56, 56, 0, 0, 0, -56, 0, 0, 0, 0}
	assert.Len(t, people(anchors, boxes, []float32{0.01}), 1)
	assert.Empty(t, people(anchors, boxes, []float32{-0.01}))
	f, err := NewFinder()
	require.NoError(t, err)
	im := image.NewRGBA(image.Rect(0, 0, 256, 256))
	for i := range im.Pix {
		im.Pix[i] = 128
	}
	fig, ok := f.Look(im, Region{X: 128, Y: 128, Side: 256})
	assert.False(t, ok)
	assert.Less(t, fig.Score, 0.5)
}
