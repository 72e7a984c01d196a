package preferences

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

// FitText makes the text as large as the coach likes it, as far as a window of a
// size in dp has room for it.
func (r *Room) FitText(window image.Point) {
	r.size = window
	r.fitText()
}

func (r *Room) fitText() {
	r.host.Theme().SetTextScale(min(r.host.Settings().TextScale, roomForText(r.size)))
}

// scaleText makes the text larger or smaller than it is shown.
func (r *Room) scaleText(factor float32) {
	want := min(max(r.host.Theme().TextScale*factor, 0.8), 2)
	if room := roomForText(r.size); factor > 1 && want > room && room < 2 {
		r.host.Tell(bench.Note(fmt.Sprintf("In a window this small text can be %.0f %% at most. Make the window larger first.", 100*room)))
		want = room
	}
	r.host.Settings().TextScale = want
	r.fitText()
	r.host.KeepSettings()
}
