package ui

import (
	"image"

	"gioui.org/app"
	"gioui.org/unit"

	"turngauge/ui/profile"
)

// The window's size when it is first opened, and the least.
const (
	firstWidth, firstHeight unit.Dp = 1600, 1000
	leastWidth, leastHeight unit.Dp = 1100, 700
)

// sizeOn is how large the window opens on a screen of so many pixels, zero where
// that is not known, at so many pixels a dp: as the last time, and never larger
// than the screen.
func sizeOn(screen image.Point, perDp float32, last profile.Settings) []app.Option {
	least := [2]unit.Dp{leastWidth, leastHeight}
	size := [2]unit.Dp{firstWidth, firstHeight}
	if last.Width > 0 && last.Height > 0 {
		size = [2]unit.Dp{unit.Dp(last.Width), unit.Dp(last.Height)}
	}
	for i, room := range [2]int{screen.X, screen.Y} {
		if room > 0 {
			most := unit.Dp(float32(room) / perDp)
			least[i], size[i] = min(least[i], most), min(size[i], most)
		}
		size[i] = max(size[i], least[i])
	}
	return []app.Option{app.MinSize(least[0], least[1]), app.Size(size[0], size[1])}
}
