package words

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

func TestExact(t *testing.T) {
	deg, cm, in := Exact(geometry.Degrees, false), Exact(geometry.Centimetres, false), Exact(geometry.Centimetres, true)
	inf := math.Inf(1)
	for _, c := range []struct{ got, want string }{
		{deg.Number(-0.04), "0.0°"},
		{deg.Number(-0.06), "−0.1°"},
		{deg.Number(math.NaN()), "—°"},
		{deg.With(38.2, 5.684), "38.2° ± 5.7"},
		{deg.Interval(32.5, 43.9), "32.5 to 43.9°"},
		{cm.Number(47.34), "47.3"},
		{cm.With(47.34, 1.56), "47.3 ± 1.6 cm"},
		// An inch is 2.54 cm (international yard and pound agreement of 1959).
		{in.Number(25.4), "10.0"},
		{in.Value(-25.4), "−10.0 in"},
		{deg.Range(geometry.Range{Low: 40, High: 60}), "40 to 60°"},
		{deg.Range(geometry.Range{Low: -12.5, High: 0}), "−12.5 to 0.0°"},
		{deg.Range(geometry.Range{Low: -inf, High: 35}), "at most 35°"},
		{deg.Range(geometry.Range{Low: 10, High: inf}), "at least 10°"},
		{deg.Range(geometry.Range{Low: -inf, High: inf}), "any"},
		{in.Range(geometry.Range{Low: 50, High: 60}), "19.7 to 23.6 in"},
		{Exact(geometry.Ratio, false).Range(geometry.Range{Low: 0.9, High: 1.1}), "0.9 to 1.1"},
		{cm.Narrower(2.5, 1.3), "±2.5 becomes ±1.3"},
		{in.Narrower(2.5, 1.3), "±1.0 becomes ±0.5"},
		{Exact(geometry.Percent, false).Narrower(4.4, 2.1), "±4.4 becomes ±2.1"},
		{Exact(geometry.Ratio, true).Narrower(0.123, 0.05), "±0.12 becomes ±0.05"},
		{Exact(geometry.Percent, false).PlusMinus(4.4), "± 4 %"},
		{Exact(geometry.Percent, false).Value(-0.5), "0 %"},
		{deg.Change(&geometry.Change{Value: -10, Low95: -19.8, High95: -0.2}, 50, 40), "10.0° ± 9.8 less"},
	} {
		assert.Equal(t, c.want, c.got)
	}
}

func TestTold(t *testing.T) {
	deg, cm, in := Told(geometry.Degrees, false), Told(geometry.Centimetres, false), Told(geometry.Centimetres, true)
	inf := math.Inf(1)
	for _, c := range []struct{ got, want string }{
		{deg.Value(-0.4), "0°"},
		{deg.With(9.2, 7.1), "9° ± 7°"},
		{deg.Change(&geometry.Change{Value: 9.2, Low95: 2.1, High95: 16.3}, 40, 49.2), "9° ± 7° more"},
		{deg.Change(&geometry.Change{Value: 0.2, Low95: -1, High95: 1.4}, 40, 40.2), "0° ± 1°"},
		{cm.Range(geometry.Range{Low: -inf, High: 3}), "at most 3 cm"},
		{in.Interval(2.54, 7.62), "1.0 to 3.0 in"},
		{in.Bounds(2.54, 7.62), "1.0 to 3.0"},
		{Told(geometry.Seconds, false).Value(0.812), "0.81 s"},
		{Told(geometry.Ratio, false).Value(3.018), "3.02"},
		{Told(geometry.Percent, false).Value(52.6), "53 %"},
	} {
		assert.Equal(t, c.want, c.got)
	}
}

func TestColumn(t *testing.T) {
	for _, c := range []struct {
		unit        geometry.Unit
		value, half float64
		want        string
	}{
		{geometry.Degrees, 41.449, 5.9, "  41.4 ± 5.9"},
		{geometry.Centimetres, -0.04, 2.7, "   0.0 ± 2.7"},
		{geometry.Ratio, 0.999, 0.1, "   1.00 ± 0.10"},
		{geometry.Seconds, 0.8, 0.003, "   0.800 ± 0.003"},
	} {
		assert.Equal(t, c.want, Column(c.unit, c.value, c.half))
	}
}

func TestLimits(t *testing.T) {
	low, high := 40.0, 60.5
	assert.Equal(t, []string{"", "from 40", "up to 60.5", "40 to 60.5"}, []string{Limits(nil, nil), Limits(&low, nil), Limits(nil, &high), Limits(&low, &high)})
}

func TestPercent(t *testing.T) {
	assert.Equal(t, []string{"0 %", "73 %", "100 %"}, []string{Percent(0.004), Percent(0.7326), Percent(0.996)})
	assert.Equal(t, "±12 px", Pixels(11.7))
}
