package words

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

// How golfers say the side of a turn: common practice, no source. What the words stand
// for is checked by hand: a pelvis heading of −40 degrees is 40 degrees open.
func TestTurnsAreSaidWithTheirSide(t *testing.T) {
	impact := Exact(geometry.Degrees, false).Of("pelvis turn", geometry.Impact)
	top := Exact(geometry.Degrees, false).Of("torso turn", geometry.Top)
	inf := math.Inf(1)
	for _, c := range []struct{ want, got string }{
		{"open 40.2°", impact.Value(-40.2)},
		{"closed 5.0°", impact.Value(5)},
		{"0.0°", impact.Value(-0.04)},
		{"open 40.2° ± 5.7", impact.With(-40.2, 5.7)},
		{"open 34.5 to 45.9°", impact.Interval(-45.9, -34.5)},
		{"open 3.0 to closed 4.0°", impact.Interval(-3, 4)},
		{"closed 1.0 to 4.0°", impact.Interval(1, 4)},
		{"open 30 to 50°", impact.Range(geometry.Range{Low: -50, High: -30})},
		{"open at least 20°", impact.Range(geometry.Range{Low: -inf, High: -20})},
		{"open at most 20°", impact.Range(geometry.Range{Low: -20, High: inf})},
		{"85.0°", top.Value(85)},
		{"open 2.0°", top.Value(-2)},
		{"open 2.0 to closed 9.0°", top.Interval(-2, 9)},
		{"at least 40°", top.Range(geometry.Range{Low: 40, High: inf})},
		{"backward 2.0°", Exact(geometry.Degrees, false).Of("forward bend", geometry.Impact).Value(-2)},
		{"7.0° ± 2.0 more open", impact.Change(&geometry.Change{Value: -7, Low95: -9, High95: -5}, -30, -37)},
		{"7.0° ± 2.0 less open", impact.Change(&geometry.Change{Value: 7, Low95: 5, High95: 9}, -37, -30)},
		{"7.0° ± 2.0 more", top.Change(&geometry.Change{Value: 7, Low95: 5, High95: 9}, 80, 87)},
	} {
		assert.Equal(t, c.want, c.got)
	}
	for _, c := range []struct {
		n             Notation
		r             geometry.Range
		below, notAbv string
	}{
		{impact, geometry.Range{Low: -50, High: -30}, "more open", "not less open"},
		{impact, geometry.Range{Low: 2, High: 9}, "less closed", "not more closed"},
		{impact, geometry.Range{Low: -5, High: 5}, "more open", "not more closed"},
		{top, geometry.Range{Low: 40, High: 60}, "below", "not above"},
	} {
		assert.Equal(t, c.below, c.n.Side(geometry.Below, c.r))
		assert.Equal(t, c.notAbv, c.n.Side(geometry.NotAbove, c.r))
		assert.Equal(t, "within", c.n.Side(geometry.Within, c.r))
	}
	sure := func(v float64) *geometry.Change {
		return &geometry.Change{Value: v, Low95: v - 1, High95: v + 1, Probability: 0.995}
	}
	say := func(n Notation, before, now float64) string {
		return n.ChangeWord(sure(now-before), before, now, nil, "", 0)
	}
	assert.Equal(t, "virtually certainly more open", say(impact, -30, -40))
	assert.Equal(t, "virtually certainly less open", say(impact, -40, -30))
	assert.Equal(t, "virtually certainly more closed", say(impact, -3, 9))
	assert.Equal(t, "virtually certainly more", say(top, 40, 50))
	number, unit := impact.Column(geometry.Degrees, -40.2, 5.71)
	assert.Equal(t, []string{"  40.2 ± 5.7", "deg open"}, []string{number, unit})
}

// What a word stands for is what geometry.Definition says of a positive value, and the
// other way.
func TestMeasuresAreSaidWithTheWayTheyGo(t *testing.T) {
	of := func(name string, at geometry.PositionName) Notation {
		d := geometry.DefinitionOf(name)
		return Exact(d.Unit, false).Of(name, at)
	}
	for _, c := range []struct{ want, got string }{
		{"toward 5.7 ± 1.3 cm", of("sway", geometry.Impact).With(5.7, 1.3)},
		{"away 0.6 cm", of("sway", geometry.Top).Value(-0.6)},
		{"away 3 to toward 1 cm", of("sway", geometry.Top).Range(geometry.Range{Low: -3, High: 1})},
		{"down 2.2 ± 0.7 cm", of("pelvis height change", geometry.Impact).With(-2.2, 0.7)},
		{"0.0 cm", of("pelvis height change", geometry.Impact).Value(0.04)},
		{"3.0 cm", of("head travel to target", geometry.Top).Value(3)},
		{"away 3.0 to toward 1.0 cm", of("head travel to target", geometry.Top).Interval(-3, 1)},
		{"behind 2.0 cm", of("trail hip offset from the ankle-knee line", geometry.Address).Value(2)},
		{"in front 2.0 cm", of("lead hip offset from the ankle-knee line", geometry.Address).Value(-2)},
		{"trail low 8.5°", of("pelvis tilt", geometry.Impact).Value(8.5)},
		{"past level 4.0°", of("shaft angle at the top", geometry.Top).Value(-4)},
		{"19.5°", of("lead knee flex", geometry.Address).Value(19.5)},
		{"less toward", of("sway", geometry.Impact).Side(geometry.Below, geometry.Range{Low: 3, High: 8})},
		{"not above", of("head travel to target", geometry.Impact).Side(geometry.NotAbove, geometry.Range{Low: 0, High: 8})},
		{"more below", of("club above plane", geometry.Delivery).Side(geometry.Below, geometry.Range{Low: -5, High: 5})},
		{"“Behind”: hip behind the line. “In front”: the other way.", Meaning("trail hip offset from the ankle-knee line", "hip behind the line")},
		{"Positive: bent.", Meaning("lead knee flex", "bent")},
	} {
		assert.Equal(t, c.want, c.got)
	}
	for _, d := range geometry.Definitions() {
		n := Exact(d.Unit, false).Of(d.Name, geometry.Impact)
		switch d.Positive {
		case "", "bent", "wider", "steeper", "toward the toes", "longer", "slower backswing": // never below nought
		default:
			assert.NotContains(t, n.Value(-3), minus, d.Name)
			assert.NotContains(t, n.Interval(-3, -1), minus, d.Name)
			assert.NotContains(t, n.Interval(-3, 1), minus, d.Name)
		}
	}
}

func TestHowFarAMeasureHasGrownIsSaidWithoutASign(t *testing.T) {
	of := func(name string, p geometry.PositionName) Notation {
		return Exact(geometry.DefinitionOf(name).Unit, false).Of(name, p)
	}
	for _, c := range []struct {
		n             Notation
		before, now   float64
		number, which string
	}{
		{of("pelvis turn", geometry.Top), 40, 47, "7.0°", "more"},
		{of("pelvis turn", geometry.Impact), -30, -38, "8.0°", "more open"},
		{of("sway", geometry.Impact), 8, 6.3, "1.7", "less toward"},
		{of("pelvis height change", geometry.Impact), -3, -1, "2.0", "less down"},
		{of("lead knee flex", geometry.Address), 20, 20, "0.0°", ""},
	} {
		number, which := c.n.Grown(c.now-c.before, c.before, c.now)
		assert.Equal(t, c.number+" "+c.which, number+" "+which)
	}
}
