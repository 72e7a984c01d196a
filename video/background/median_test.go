package background

import (
	"image"
	"image/color"
	"image/draw"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scene is mottled ground, each pixel off by the noise of a frame.
func scene(frame uint64) *image.RGBA {
	ground, noise := rand.New(rand.NewPCG(1, 2)), rand.New(rand.NewPCG(frame, 3))
	im := image.NewRGBA(image.Rect(0, 0, 96, 64))
	for i := range im.Pix {
		im.Pix[i] = uint8(60 + ground.IntN(120) + noise.IntN(5) - 2)
	}
	return im
}

func walker(im *image.RGBA, x int) {
	draw.Draw(im, image.Rect(x, 10, x+20, 60), image.NewUniform(color.White), image.Point{}, draw.Src)
}

// TestMedian: someone who walks through leaves nothing in the background.
func TestMedian(t *testing.T) {
	var frames []*image.RGBA
	for i := range 9 {
		im := scene(uint64(i))
		walker(im, 8*i)
		frames = append(frames, im)
	}
	bg := Median(frames)
	require.NotNil(t, bg)
	clean := scene(100)
	for i := range bg.Pix {
		if i%4 != 3 {
			require.InDelta(t, clean.Pix[i], bg.Pix[i], 4, "byte %d", i)
		}
	}
	assert.EqualValues(t, 255, bg.Pix[3])
	assert.True(t, Still(frames[3], bg))

	// The median of numbers known by hand.
	var plain []*image.RGBA
	for _, v := range []uint8{9, 200, 7, 30, 8} {
		plain = append(plain, &image.RGBA{Pix: []uint8{v, 255 - v, 0, 255}, Stride: 4, Rect: image.Rect(0, 0, 1, 1)})
	}
	assert.Equal(t, []uint8{9, 246, 0, 255}, Median(plain).Pix)
}

// TestNoBackground: too few frames, frames of two sizes, a camera that turned.
func TestNoBackground(t *testing.T) {
	assert.Nil(t, Median([]*image.RGBA{scene(1), scene(2)}))
	assert.Nil(t, Median([]*image.RGBA{scene(1), scene(2), image.NewRGBA(image.Rect(0, 0, 4, 4))}))
	bg := Median([]*image.RGBA{scene(1), scene(2), scene(3)})
	turned := image.NewRGBA(bg.Rect)
	draw.Draw(turned, turned.Rect, scene(4), image.Pt(3, 0), draw.Src)
	assert.False(t, Still(turned, bg))
	assert.False(t, Still(nil, bg))
	assert.False(t, Still(scene(1), nil))
}

func BenchmarkMedian(b *testing.B) {
	var frames []*image.RGBA
	for i := range 9 {
		frames = append(frames, scene(uint64(i)))
	}
	b.SetBytes(int64(len(frames[0].Pix)))
	for b.Loop() {
		Median(frames)
	}
}
