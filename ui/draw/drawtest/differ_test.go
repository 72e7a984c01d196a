package drawtest

import (
	"image"
	"image/color"
	"image/draw"
	"testing"

	"github.com/stretchr/testify/assert"
	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"
)

// written is a page with a line of figures, of seven by thirteen pixels each.
func written(text string, ink color.Gray) *image.RGBA {
	im := image.NewRGBA(image.Rect(0, 0, 200, 120))
	draw.Draw(im, im.Rect, image.NewUniform(color.Gray{24}), image.Point{}, draw.Src)
	d := font.Drawer{Dst: im, Src: image.NewUniform(ink), Face: basicfont.Face7x13, Dot: fixed.P(17, 40)}
	d.DrawString(text)
	return im
}

// TestOneFigureIsNoticed: each figure that is drawn as another is, however large the
// picture; smoothing that differs at every edge is not.
func TestOneFigureIsNoticed(t *testing.T) {
	const figures = "0123456789"
	want := written("31.4", color.Gray{230})
	for _, wrong := range figures {
		if wrong == '3' {
			continue
		}
		_, together, at := differ(want, written(string(wrong)+"1.4", color.Gray{230}))
		assert.Greater(t, together, mostTogether, "3 drawn as %c", wrong)
		assert.InDelta(t, 20, at.X, figureSide)
		assert.InDelta(t, 34, at.Y, figureSide)
	}
	off, together, _ := differ(want, want)
	assert.Zero(t, off+together)
	off, together, _ = differ(want, written("31.4", color.Gray{150}))
	assert.Positive(t, off)
	assert.Zero(t, together, "the same figures, fainter")
}
