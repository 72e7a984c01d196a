package ui

import (
	"fmt"
	"image"

	"turngauge/ui/bench"
)

// The window holds its parts where it is at least so large in units of its
// text: sp, of which the text scale says how many dp they are.
const (
	leastTextWidth  = 800
	leastTextHeight = 500
)

// roomForText is the largest text scale at which everything still has its place
// in a window of a size in dp.
func roomForText(size image.Point) float32 {
	return max(min(float32(size.X)/leastTextWidth, float32(size.Y)/leastTextHeight), 1)
}

// fitText makes the text as large as the coach likes it, as far as the window
// has room for it.
func (a *App) fitText() {
	a.theme.SetTextScale(min(a.settings.TextScale, roomForText(a.size)))
}

// scaleText makes the text larger or smaller than it is shown.
func (a *App) scaleText(factor float32) {
	want := min(max(a.theme.TextScale*factor, 0.8), 2)
	if room := roomForText(a.size); factor > 1 && want > room && room < 2 {
		a.notices.Tell(bench.Note(fmt.Sprintf("In a window this small text can be %.0f %% at most. Make the window larger first.", 100*room)))
		want = room
	}
	a.settings.TextScale = want
	a.fitText()
	a.KeepSettings()
}
