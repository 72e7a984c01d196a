package sheet

import (
	"math"
	"strconv"

	"turngauge/geometry"
)

// notation is how numbers of one unit are written.
type notation struct {
	factor   float64 // from the measure's unit to the shown one
	decimals int
	suffix   string
}

// inch is exact by definition (international yard and pound agreement, 1959).
const inch = 2.54 // cm

func notationOf(u geometry.Unit, imperial bool) notation {
	switch u {
	case geometry.Degrees:
		return notation{1, 1, "°"}
	case geometry.Centimetres:
		if imperial {
			return notation{1 / inch, 1, " in"}
		}
		return notation{1, 1, " cm"}
	case geometry.Percent:
		return notation{1, 0, " %"}
	case geometry.Seconds:
		return notation{1, 2, " s"}
	default:
		return notation{1, 2, ""}
	}
}

// minus is the minus sign, as wide as a digit.
const minus = "−"

func (u notation) digits(v float64) string {
	switch {
	case math.IsNaN(v):
		return "—"
	case math.IsInf(v, 0):
		return "∞"
	}
	return strconv.FormatFloat(math.Abs(v), 'f', u.decimals, 64)
}

// negative reports whether v is still below zero when written.
func (u notation) negative(v float64) bool {
	return math.Round(v*math.Pow10(u.decimals)) < 0
}

func (u notation) bare(v float64) string {
	if u.negative(v) {
		return minus + u.digits(v)
	}
	return u.digits(v)
}

func (u notation) format(v float64) string { return u.bare(v) + u.suffix }

func (u notation) signed(v float64) string {
	if u.negative(v) || u.digits(v) == u.digits(0) {
		return u.format(v)
	}
	return "+" + u.format(v)
}

// plusMinus writes half an interval.
func (u notation) plusMinus(half float64) string { return "± " + u.digits(half) }

func (u notation) between(low, high float64) string {
	switch {
	case math.IsInf(low, -1) && math.IsInf(high, 1):
		return "any"
	case math.IsInf(low, -1):
		return "at most " + u.format(high)
	case math.IsInf(high, 1):
		return "at least " + u.format(low)
	}
	return u.bare(low) + " to " + u.format(high)
}

func percent(p float64) string {
	return strconv.FormatFloat(math.Round(p*100), 'f', 0, 64) + " %"
}
