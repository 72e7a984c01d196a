package takehome

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// A change of any measure with a target range, in words and with its interval, has room in its
// column beside the values.
func TestChangesHaveRoom(t *testing.T) {
	l := newLettering()
	const large = 10 // to measure by: whole pixels of a small size add up
	seen := 0
	for _, target := range annotations.DefaultTargets() {
		d := geometry.DefinitionOf(target.Measure)
		if d == nil { // of the timing, in seconds and ratios, without sides
			continue
		}
		for _, imperial := range []bool{false, true} {
			n := words.Told(d.Unit, imperial).Of(target.Measure, target.Position)
			for _, by := range [][2]float64{{-13, -38}, {-38, -13}, {13, 38}, {38, 13}, {-13, 12}, {12, -13}} {
				c := geometry.Change{Value: by[1] - by[0], Low95: by[1] - by[0] - 13, High95: by[1] - by[0] + 13}
				text := n.Change(&c, by[0], by[1])
				assert.LessOrEqual(t, l.measure(text, large*cellBold.size, true)/large, changeWidth-8, text)
				seen++
			}
		}
	}
	assert.Greater(t, seen, 100)
}
