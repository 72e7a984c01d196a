package fade

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A line is drawn in full while it is followed well before and after, and fades toward the
// frame where it is lost.
func TestLinesFadeWhereTheyAreLost(t *testing.T) {
	known := func(frame int) bool { return frame >= 10 && frame < 40 }
	assert.Equal(t, 1.0, Strength(known, 25))
	assert.Zero(t, Strength(known, 40))
	assert.Zero(t, Strength(known, 9))
	last := 0.0
	for n := 10; n < 10+Fading; n++ {
		s := Strength(known, n)
		assert.Greater(t, s, last)
		assert.Equal(t, s, Strength(known, 49-n), "as fast at its end")
		last = s
	}
	img := image.NewRGBA(image.Rect(0, 0, 2, 1))
	copy(img.Pix, []byte{200, 100, 50, 255, 200, 100, 50, 255})
	Weaken(img, image.Rect(0, 0, 1, 1), 0.5)
	assert.Equal(t, []byte{100, 50, 25, 127, 200, 100, 50, 255}, []byte(img.Pix))
}
