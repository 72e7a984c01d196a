package propose

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/teach"
	"turngauge/geometry"
)

// woven is a picture of cloth whose grey levels are smooth functions of the place, moved by
// (dx, dy), brighter by gain and with noise. At places within hidden of the middle of it another
// thing is seen.
func woven(dx, dy, gain, hidden float64, r *rand.Rand, wave func(x, y float64) float64) *image.Gray {
	im := image.NewGray(image.Rect(0, 0, 320, 240))
	for j := range 240 {
		for i := range 320 {
			x, y := float64(i)+0.5-dx, float64(j)+0.5-dy
			v := wave(x, y)
			if math.Hypot(x-160, y-120) < hidden {
				v = wave(y+777, x-333)
			}
			im.SetGray(i, j, grey(128+gain*v+1.5*r.NormFloat64()))
		}
	}
	return im
}

func grey(v float64) color.Gray { return color.Gray{Y: uint8(math.Min(math.Max(v, 0), 255))} }

// weave is a texture that does not repeat itself: waves of lengths that have nothing in common.
func weave(x, y float64) float64 {
	sum := 0.0
	for k := range 12 {
		a, n := 2.39996*float64(k), 5+2.7*float64(k)
		sum += math.Sin((x*math.Cos(a)+y*math.Sin(a))*2*math.Pi/n + a*a)
	}
	return 9 * sum
}

func stripes(x, _ float64) float64 { return 40 * math.Sin(x*2*math.Pi/7) }

// TestClothIsFoundAgain looks for a patch in a picture of known displacement, from where the
// joints put it, which is some centimetres off.
func TestClothIsFoundAgain(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(18, 21))
	clip := &annotations.Clip{ID: "dl", View: geometry.FaceOn, Width: 320, Height: 240}
	want := func(offX, offY float64) *teach.Want {
		return &teach.Want{Clip: clip, From: clip, Position: geometry.Top, PxPerM: 360,
			Mark:  annotations.Mark{Clip: "fo", Position: geometry.Top, Point: geometry.Buckle, At: geometry.ImagePt{X: 160.3, Y: 119.8}},
			About: geometry.ImagePt{X: 160.3 + 7.4 + offX, Y: 119.8 - 3.6 + offY}}
	}
	from := woven(0, 0, 1, 0, r, weave)
	for _, off := range [][2]float64{{0, 0}, {9, -6}, {-14, 10}} {
		m, ok := find(want(off[0], off[1]), from, woven(7.4, -3.6, 0.8, 0, r, weave), 0)
		require.True(t, ok, off)
		assert.InDelta(t, 160.3+7.4, m.At.X, 0.2)
		assert.InDelta(t, 119.8-3.6, m.At.Y, 0.2)
		assert.Equal(t, geometry.Proposed, m.State)
		assert.Equal(t, [2]any{"dl", geometry.Buckle}, [2]any{m.Clip, m.Point})
		hand := geometry.SigmaPxAt(geometry.Buckle, geometry.Placed, geometry.FaceOn, 360, geometry.ClickSigmaPx)
		assert.Greater(t, m.SDPx, hand, "as good as the hand that it rests on at most")
		assert.Less(t, m.SDPx, 1.5*hand)
	}
	for what, to := range map[string]*image.Gray{
		"farther than it is looked for": woven(60, 0, 1, 0, r, weave),
		"a hand is before it":           woven(7.4, -3.6, 1, 25, r, weave),
		"no cloth at all":               woven(0, 0, 1, 0, r, func(_, _ float64) float64 { return 0 }),
	} {
		_, ok := find(want(0, 0), from, to, 0)
		assert.False(t, ok, what)
	}
	_, ok := find(want(0, 0), woven(0, 0, 1, 0, r, stripes), woven(7.4, -3.6, 1, 0, r, stripes), 0)
	assert.False(t, ok, "stripes that are all alike")
}
