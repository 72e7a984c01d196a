package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"turngauge/geometry"
)

// Notation says how numbers of one unit are written. Its methods take values in
// the measure's own unit.
type Notation struct {
	factor   float64 // from the measure's unit to the one shown
	decimals int
	unit     string
	place    place
	spare    bool // a range is written without decimals that it does not need
	sides    sides
}

// place says where the unit stands in a number with half its interval.
type place uint8

const (
	onBoth   place = iota // "+9° ± 7°"
	onNumber              // "38.2° ± 5.7"
	onHalf                // "47.3 ± 1.6 cm"
)

// inch is exact by definition (international yard and pound agreement, 1959).
const inch = 2.54 // cm

// Exact returns how a coach reads numbers of a unit: with a digit more than can
// be seen. imperial writes lengths in inches.
func Exact(u geometry.Unit, imperial bool) Notation {
	n := Notation{factor: 1, decimals: 1, place: onHalf, spare: true}
	switch u {
	case geometry.Degrees:
		n.unit, n.place = "°", onNumber
	case geometry.Centimetres:
		n.unit = " cm"
		if imperial {
			n.factor, n.unit = 1/inch, " in"
		}
	case geometry.Percent:
		n.unit, n.decimals = " %", 0
	case geometry.Seconds:
		n.unit, n.decimals = " s", 3
	default:
		n.decimals = 2
	}
	return n
}

// Told returns how a student is told numbers of a unit: rounded to what can be
// seen. imperial writes lengths in inches.
func Told(u geometry.Unit, imperial bool) Notation {
	n := Exact(u, imperial)
	n.place, n.spare = onBoth, false
	switch {
	case u == geometry.Degrees, u == geometry.Centimetres && !imperial:
		n.decimals = 0
	case u == geometry.Seconds:
		n.decimals = 2
	}
	return n
}

// Whole returns a notation without decimals.
func (n Notation) Whole() Notation {
	n.decimals = 0
	return n
}

// Speed returns how what a measure changes by in a second is written: "120°/s ±
// 15".
func Speed(u geometry.Unit, imperial bool) Notation {
	n := Exact(u, imperial).Whole()
	n.unit += "/s"
	n.place = onNumber
	return n
}

// Shown returns a value in the unit that is shown.
func (n Notation) Shown(v float64) float64 { return v * n.factor }

// minus is the minus sign, as wide as a digit.
const minus = "−"

// digits writes a number in the unit shown; one that is written as nought has no
// sign.
func digits(v float64, decimals int) string {
	switch {
	case math.IsNaN(v):
		return "—"
	case math.IsInf(v, 0):
		return "∞"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if positive, ok := strings.CutPrefix(s, "-"); ok {
		if strings.Trim(positive, "0.") == "" {
			return positive
		}
		return minus + positive
	}
	return s
}

// Bare writes a value without its unit.
func (n Notation) Bare(v float64) string { return digits(n.Shown(v), n.decimals) }

// Value writes a value with its unit: "38.2°".
func (n Notation) Value(v float64) string {
	return n.sided(v, func(n Notation, v float64) string { return n.Bare(v) + n.unit })
}

// Number writes a value that PlusMinus follows.
func (n Notation) Number(v float64) string {
	if n.place == onHalf {
		return n.sided(v, Notation.Bare)
	}
	return n.Value(v)
}

// PlusMinus writes half an interval after its number: "± 5.7".
func (n Notation) PlusMinus(half float64) string {
	n = n.plain()
	if n.place == onNumber {
		return PlusMinus(n.Bare(half))
	}
	return PlusMinus(n.Value(half))
}

// PlusMinus writes half an interval, whose digits are given.
func PlusMinus(half string) string { return "± " + half }

// With writes a number, whose digits are given, with half its interval.
func With(number, half string) string { return number + " " + PlusMinus(half) }

// With writes a value with half its 95 % interval: "38.2° ± 5.7".
func (n Notation) With(v, half float64) string {
	return n.Number(v) + " " + n.PlusMinus(half)
}

// Written writes a measure with half its 95 % interval.
func (n Notation) Written(m *geometry.Measure) string { return n.With(m.Value, (m.High95-m.Low95)/2) }

// Grown writes by how much a measure changed from before to now, without a sign, and the
// words for the direction: "7.0°", "more"; the words are "" where it is written as nought.
func (n Notation) Grown(change, before, now float64) (number, direction string) {
	down, up := n.more(before, now)
	n = n.plain()
	number = n.Number(math.Abs(change))
	switch {
	case n.Bare(math.Abs(change)) == n.Bare(0):
		return number, ""
	case change < 0:
		return number, down
	}
	return number, up
}

// Apart is the unit that stands behind a number without half an interval, where Number
// writes none.
func (n Notation) Apart() string {
	if n.place == onHalf {
		return strings.TrimSpace(n.unit)
	}
	return ""
}

// Change writes by how much a measure changed from before to now, with half the 95 % interval
// of that and the words for the direction: "7.2° ± 7.7 more".
func (n Notation) Change(c *geometry.Change, before, now float64) string {
	number, direction := n.Grown(c.Value, before, now)
	return strings.TrimSpace(number + " " + n.PlusMinus((c.High95-c.Low95)/2) + " " + direction)
}

// Bounds writes an interval without its unit: "32.5 to 43.9".
func (n Notation) Bounds(low, high float64) string { return n.between(low, high, "") }

// Interval writes an interval: "32.5 to 43.9°".
func (n Notation) Interval(low, high float64) string { return n.between(low, high, n.unit) }

// WithInterval writes a value with its interval: "31° (25 to 37°)".
func (n Notation) WithInterval(v, low, high float64) string {
	return n.Value(v) + " (" + n.Interval(low, high) + ")"
}

// Range writes a target range, of which an end may be infinite: "40 to 60°", "at
// most 3 cm".
func (n Notation) Range(r geometry.Range) string {
	for n.spare && n.decimals > 0 && n.short(r.Low) && n.short(r.High) {
		n.decimals--
	}
	switch low, high := math.IsInf(r.Low, -1), math.IsInf(r.High, 1); {
	case low && high:
		return "any"
	case low, high:
		return n.bound(r)
	}
	return n.Interval(r.Low, r.High)
}

// short reports whether a value needs one decimal less than n has.
func (n Notation) short(v float64) bool {
	if math.IsInf(v, 0) {
		return true
	}
	a, b := math.Pow10(n.decimals-1), math.Pow10(n.decimals)
	v = n.Shown(v)
	return math.Round(v*a)/a == math.Round(v*b)/b
}

// Narrower writes what half an interval is and what it becomes: "±5.7 becomes
// ±3.8". It has a decimal at least, to tell the two apart.
func (n Notation) Narrower(now, then float64) string {
	d := max(n.decimals, 1)
	return "±" + digits(n.Shown(now), d) + " becomes ±" + digits(n.Shown(then), d)
}

// Percent writes a probability.
func Percent(p float64) string { return digits(math.Round(p*100), 0) + " %" }

// Pixels writes how far a mark may be off: "±12 px".
func Pixels(half float64) string { return "±" + digits(half, 0) + " px" }

// Column writes a number with half its interval for a column of a table that is
// read in a terminal, under each other by their decimal points, the unit standing
// in a column of its own.
func Column(u geometry.Unit, v, half float64) string {
	decimals := 1
	switch u {
	case geometry.Ratio:
		decimals = 2
	case geometry.Seconds:
		decimals = 3
	}
	step := math.Pow10(-decimals)
	v = math.Round(v/step)*step + 0 // no negative zero
	return fmt.Sprintf("%*.*f ± %.*f", 5+decimals, decimals, v, decimals, half)
}

// Limits writes a target range for such a column: "40 to 60", "from 40", "up to
// 60". An end that is nil is open.
func Limits(low, high *float64) string {
	switch {
	case low == nil && high == nil:
		return ""
	case high == nil:
		return fmt.Sprintf("from %g", *low)
	case low == nil:
		return fmt.Sprintf("up to %g", *high)
	}
	return fmt.Sprintf("%g to %g", *low, *high)
}
