package ui

import (
	"image"
	"testing"

	"gioui.org/app"
	"gioui.org/unit"
	"github.com/stretchr/testify/assert"

	"turngauge/ui/profile"
)

// TestTheWindowFitsTheScreen: at each usual size of screen (common practice, no
// source), at each size that the window had before.
func TestTheWindowFitsTheScreen(t *testing.T) {
	for _, screen := range []image.Point{{1280, 800}, {1366, 768}, {1920, 1080}, {1024, 600}, {3840, 2160}} {
		for _, perDp := range []float32{1, 1.5, 2} {
			for _, last := range []profile.Settings{{}, {Width: 2500, Height: 1400}, {Width: 1200, Height: 720}} {
				var c app.Config
				for _, o := range sizeOn(screen, perDp, last) {
					o(unit.Metric{PxPerDp: perDp, PxPerSp: perDp}, &c)
				}
				assert.LessOrEqual(t, c.Size.X, screen.X)
				assert.LessOrEqual(t, c.Size.Y, screen.Y)
				assert.LessOrEqual(t, c.MinSize.X, c.Size.X)
				assert.LessOrEqual(t, c.MinSize.Y, c.Size.Y)
				assert.Positive(t, c.Size.X)
			}
		}
	}
	assert.Len(t, sizeOn(image.Point{}, 1, profile.Settings{}), 2, "where no screen is known")
}
