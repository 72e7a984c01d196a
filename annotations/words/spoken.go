package words

import (
	"math"
	"strings"

	"turngauge/geometry"
)

// Spoken writes a number with its unit as one says it: "49 degrees".
func Spoken(v float64, u geometry.Unit, imperial bool) string { return Told(u, imperial).Spoken(v) }

// Spoken writes a value as one says it: "49 degrees", "open 40 degrees".
func (n Notation) Spoken(v float64) string { return spoken(n.Value(v)) }

func spoken(s string) string {
	for _, x := range [...][2]string{{"°", " degrees"}, {" cm", " centimetres"}, {" in", " inches"}} {
		rest, ok := strings.CutSuffix(s, x[0])
		switch {
		case ok && rest == "1" && x[0] == " in":
			return "1 inch"
		case ok && rest == "1":
			return "1" + strings.TrimSuffix(x[1], "s")
		case ok:
			return rest + x[1]
		}
	}
	return s
}

// parts of a whole that are said as a word.
var parts = []struct {
	part float64
	word string
}{{0.1, "a tenth"}, {0.2, "a fifth"}, {0.25, "a quarter"}, {1. / 3, "a third"}}

// HowMuch says how much more or less a value is than it was, to be followed by when
// that was: as a part of it where that is near a round one, "a third more than", else
// in its unit, "7 degrees less than".
func HowMuch(old, now float64, u geometry.Unit, imperial bool) string {
	return Told(u, imperial).HowMuch(old, now)
}

// HowMuch is the package's, as it is said of this measure.
func (n Notation) HowMuch(old, now float64) string {
	by := n.plain().Spoken(math.Abs(now - old))
	if old*now <= 0 {
		return "a change of " + by + " since"
	}
	more := "more"
	if math.Abs(now) < math.Abs(old) {
		more = "less"
	}
	const near = 0.035
	ratio := math.Abs(now / old)
	switch {
	case math.Abs(ratio-2) < 0.15:
		return "about twice as much as"
	case math.Abs(ratio-0.5) < near:
		return "about half as much as"
	}
	if more == "more" && math.Abs(ratio-1.5) < near {
		return "half as much again as"
	}
	for _, p := range parts {
		if math.Abs(math.Abs(ratio-1)-p.part) < near {
			return p.word + " " + more + " than"
		}
	}
	return by + " " + more + " than"
}
