package dial

import (
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/ui/explain"
)

var red = color.NRGBA{0xff, 0, 0, 0xff}

// needle is the mean direction of the needle's pixels from the middle of the dial, degrees
// clockwise from straight up.
func needle(r Reading, away float64) (deg float64, found bool) {
	img := image.NewRGBA(image.Rect(0, 0, 200, 110))
	d := Dial{At: explain.Pt{X: 100, Y: 100}, Radius: 90, Away: away, Ground: color.NRGBA{0xff, 0xff, 0xff, 0xff}}
	d.Draw(img, []Reading{r})
	x, y := 0.0, 0.0
	for py := range 110 {
		for px := range 200 {
			if c := img.RGBAAt(px, py); c.R > 200 && c.G < 40 && c.A > 200 {
				x, y, found = x+float64(px)+0.5-100, y+float64(py)+0.5-100, true
			}
		}
	}
	return math.Atan2(x, -y) * 180 / math.Pi, found
}

// By hand: the scale has 120 degrees of turn on a quarter of a circle, so 40 away stand 30
// to the left of straight up for a golfer who has the target on the right, and 40 open 30
// to the right.
func TestTheNeedleStandsWhereTheTurnIs(t *testing.T) {
	for _, c := range []struct{ turn, away, want float64 }{{40, -1, -30}, {-40, -1, 30}, {0, -1, 0}, {80, 1, 60}, {300, -1, -90}} {
		got, ok := needle(Reading{Value: c.turn, Low: c.turn, High: c.turn, Known: true, Ink: red}, c.away)
		if assert.True(t, ok) && math.Abs(c.turn) <= most {
			assert.InDelta(t, c.want, got, 2, "%+v", c)
		}
	}
	_, ok := needle(Reading{Ink: red}, -1)
	assert.False(t, ok, "what is not known has no needle")
}
