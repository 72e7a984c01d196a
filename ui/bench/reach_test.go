package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestAroundShowsThePartWhole: no corner of the part lies outside the stage,
// whatever their shapes, and no edge of the picture is inside it that need not be.
func TestAroundShowsThePartWhole(t *testing.T) {
	pictures := []Size{{1920, 1080}, {1080, 1920}, {640, 480}}
	stages := []Size{{585, 600}, {1180, 500}, {300, 900}, {240, 200}}
	for _, picture := range pictures {
		for _, stage := range stages {
			for _, part := range []Box{
				Reach(0.3*picture.H, 0.8*picture.H, 0.4*picture.W, picture),
				Reach(0.1*picture.H, 0.98*picture.H, 0.9*picture.W, picture),
				Reach(0.5*picture.H, 0.6*picture.H, 0.1*picture.W, picture),
			} {
				v := Around(part, picture, stage)
				a, b := v.ToScreen(PicturePt{part.X0, part.Y0}, stage), v.ToScreen(PicturePt{part.X1, part.Y1}, stage)
				const round = 1e-6
				assert.GreaterOrEqual(t, a.X, -round)
				assert.GreaterOrEqual(t, a.Y, -round)
				assert.LessOrEqual(t, b.X, stage.W+round)
				assert.LessOrEqual(t, b.Y, stage.H+round)
				c, d := v.ToScreen(PicturePt{}, stage), v.ToScreen(PicturePt{picture.W, picture.H}, stage)
				if picture.W*v.Scale >= stage.W {
					assert.LessOrEqual(t, c.X, round)
					assert.GreaterOrEqual(t, d.X, stage.W-round)
				}
				if picture.H*v.Scale >= stage.H {
					assert.LessOrEqual(t, c.Y, round)
					assert.GreaterOrEqual(t, d.Y, stage.H-round)
				}
			}
		}
	}
}

// TestReachStaysInThePicture: a golfer who fills an upright picture is shown with it.
func TestReachStaysInThePicture(t *testing.T) {
	picture := Size{1080, 1920}
	assert.Equal(t, Box{0, 0, 1080, 1920}, Reach(200, 1900, 540, picture))
}
