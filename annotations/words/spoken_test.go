package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

// TestHowMuch: a part is said of what it is a part of; the arithmetic is a
// schoolbook's.
func TestHowMuch(t *testing.T) {
	for _, c := range []struct {
		old, now float64
		unit     geometry.Unit
		imperial bool
		want     string
	}{
		{36, 48, geometry.Degrees, false, "a third more than"},
		{48, 36, geometry.Degrees, false, "a quarter less than"},
		{20, 41, geometry.Degrees, false, "about twice as much as"},
		{40, 20, geometry.Degrees, false, "about half as much as"},
		{-30, -45, geometry.Degrees, false, "half as much again as"},
		{40, 42, geometry.Degrees, false, "2 degrees more than"},
		{-3, 4, geometry.Centimetres, false, "a change of 7 centimetres since"},
		{2.54 * 10, 2.54 * 17, geometry.Centimetres, true, "7.0 inches more than"},
	} {
		assert.Equal(t, c.want, HowMuch(c.old, c.now, c.unit, c.imperial), "from %v to %v", c.old, c.now)
	}
	assert.Equal(t, "49 degrees", Spoken(49.2, geometry.Degrees, false))
	assert.Equal(t, "1 degree", Spoken(1, geometry.Degrees, false))
	assert.Equal(t, "9 centimetres", Spoken(9.1, geometry.Centimetres, false))
}
