package curves

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// TestTableOfCurves writes a table by hand: fields with a comma are quoted (RFC 4180, 2.6),
// each number under its own heading, nothing where nothing is known, and no minus before a
// zero.
func TestTableOfCurves(t *testing.T) {
	c := &motion.Curves{
		Seconds: []float64{-0.25, 0, 0.00416}, Positions: []float64{math.NaN(), -0.25, 0.00004},
		Curves: []motion.Curve{
			{Name: "pelvis turn", Unit: geometry.Degrees, Values: []motion.Value{
				{Known: true, Value: 40.1234, Sigma: 2.5, Rate: -300.5, RateSigma: 20, Low95: 35.2234, High95: 45.0234, RateLow95: -339.7, RateHigh95: -261.3},
				{Known: false, Value: 7, Sigma: 7},
				{Known: true, Value: -0.0001, Sigma: 1, Low95: -2, High95: 2.0006, Rate: 0.0004, RateLow95: -1, RateHigh95: 1},
			}},
			{Name: "sway", Unit: geometry.Centimetres, Values: make([]motion.Value, 3)},
		},
	}
	var b strings.Builder
	require.NoError(t, WriteCSV(&b, c, []geometry.PositionName{"lost", geometry.Top, geometry.Impact}))
	head := `seconds from impact,key position`
	for _, c := range [][2]string{{"pelvis turn@, deg", " (positive: away from the target)"}, {"sway@, cm", " (positive: toward the target)"}} {
		u := c[0]
		for _, what := range []string{c[1], " low 95 %", " high 95 %", " standard deviation"} {
			head += `,"` + strings.Replace(u, "@, ", what+", ", 1) + `"`
		}
		for _, what := range []string{" per second", " per second low 95 %", " per second high 95 %"} {
			head += `,"` + strings.Replace(u, "@, ", what+", ", 1) + `/s"`
		}
	}
	empty := strings.Repeat(",", 7)
	assert.Equal(t, strings.Join([]string{
		head,
		"-0.2500,top,40.123,35.223,45.023,2.500,-300.500,-339.700,-261.300" + empty,
		"0.0000,impact" + empty + empty,
		"0.0042,,0.000,-2.000,2.001,1.000,0.000,-1.000,1.000" + empty,
		"",
	}, "\n"), b.String())
	for n := range 5 {
		assert.Error(t, WriteCSV(&short{n}, c, nil), "a disk that is full after %d bytes", n)
	}
}

// short is a writer that takes so many bytes.
type short struct{ left int }

func (s *short) Write(p []byte) (int, error) {
	if len(p) > s.left {
		return 0, errors.New("full")
	}
	s.left -= len(p)
	return len(p), nil
}
