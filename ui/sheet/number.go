package sheet

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"turngauge/geometry"
)

// notation is how numbers of one unit are written.
type notation struct {
	factor   float64 // from the measure's unit to the shown one
	decimals int
	suffix   string
	trailing bool // the suffix follows the half width: "47.3 ± 1.6 cm", but "38.2° ± 5.7"
}

// inch is exact by definition (international yard and pound agreement, 1959).
const inch = 2.54 // cm

func notationOf(u geometry.Unit, imperial bool) notation {
	switch u {
	case geometry.Degrees:
		return notation{1, 1, "°", false}
	case geometry.Centimetres:
		if imperial {
			return notation{1 / inch, 1, " in", true}
		}
		return notation{1, 1, " cm", true}
	case geometry.Percent:
		return notation{1, 0, " %", true}
	case geometry.Seconds:
		return notation{1, 3, " s", true}
	default:
		return notation{1, 2, "", false}
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

// signed writes a change that plusMinus follows.
func (u notation) signed(v float64) string {
	if u.negative(v) || u.digits(v) == u.digits(0) {
		return u.number(v)
	}
	return "+" + u.number(v)
}

// number writes a value that plusMinus follows.
func (u notation) number(v float64) string {
	if u.trailing {
		return u.bare(v)
	}
	return u.format(v)
}

// plusMinus writes half an interval.
func (u notation) plusMinus(half float64) string {
	s := "± " + u.digits(half)
	if u.trailing {
		s += u.suffix
	}
	return s
}

// between writes an interval.
func (u notation) between(low, high float64) string {
	return u.bare(low) + " to " + u.format(high)
}

// target writes a target range, without decimals it does not need.
func (u notation) target(low, high float64) string {
	full := u
	for u.decimals > 0 {
		short := u
		short.decimals--
		if !short.exact(low, full) || !short.exact(high, full) {
			break
		}
		u = short
	}
	switch {
	case math.IsInf(low, -1) && math.IsInf(high, 1):
		return "any"
	case math.IsInf(low, -1):
		return "at most " + u.format(high)
	case math.IsInf(high, 1):
		return "at least " + u.format(low)
	}
	return u.between(low, high)
}

// exact reports whether v is the same number written either way.
func (u notation) exact(v float64, full notation) bool {
	a, b := math.Pow10(u.decimals), math.Pow10(full.decimals)
	return math.IsInf(v, 0) || math.Round(v*a)/a == math.Round(v*b)/b
}

var halfWidth = regexp.MustCompile(`± ?[0-9.]*[0-9]`)

// convert returns advice with its half widths ("±5.7") in the shown unit.
func (u notation) convert(advice string) string {
	if u.factor == 1 {
		return advice
	}
	return halfWidth.ReplaceAllStringFunc(advice, func(s string) string {
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimPrefix(s, "±")), 64)
		if err != nil {
			return s
		}
		return "±" + u.digits(v*u.factor)
	})
}

// reason returns why a measure is missing with its half width as the sheet writes
// it.
func reason(text string, imperial bool) string {
	text = strings.ReplaceAll(text, " deg", "°")
	if imperial && strings.Contains(text, " cm") {
		return strings.ReplaceAll(notationOf(geometry.Centimetres, true).convert(text), " cm", " in")
	}
	return text
}

func percent(p float64) string {
	return strconv.FormatFloat(math.Round(p*100), 'f', 0, 64) + " %"
}

// Number writes a value in a measure's unit as the sheet does: "38.2°".
func Number(u geometry.Unit, v float64, imperial bool) string {
	n := notationOf(u, imperial)
	return n.format(v * n.factor)
}

// PlusMinus writes half an interval in a measure's unit as the sheet does.
func PlusMinus(u geometry.Unit, half float64, imperial bool) string {
	n := notationOf(u, imperial)
	return n.plusMinus(half * n.factor)
}

// Written returns a measure as the sheet writes it, with half its 95 % interval:
// "38.2° ± 5.7".
func Written(m *geometry.Measure, imperial bool) string {
	u := notationOf(m.Unit, imperial)
	return u.number(m.Value*u.factor) + " " + u.plusMinus((m.High95-m.Low95)/2*u.factor)
}
