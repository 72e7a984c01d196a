package words

import (
	"math"
	"strconv"
	"strings"

	"turngauge/geometry"
)

// numerals are numbers as they are said of swings.
var numerals = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}

func numeral(n int) string {
	if n >= 0 && n < len(numerals) {
		return numerals[n]
	}
	return strconv.Itoa(n)
}

// Swings says how many swings a number is of: "three swings".
func Swings(n int) string {
	if n == 1 {
		return "one swing"
	}
	return numeral(n) + " swings"
}

// SwingsOf says how many swings are compared: "three swings each", "one swing, then
// three".
func SwingsOf(c *geometry.Change) string {
	if a, b := c.Earlier.N, c.Later.N; a != b {
		return Swings(a) + ", then " + numeral(b)
	}
	return Swings(c.Later.N) + " each"
}

// turned are the measures that are said as what the golfer did.
var turned = map[string]string{"pelvis turn": "the pelvis turned", "torso turn": "the torso turned"}

// few is what a change of a length, in its unit, is below where whole ones hide it.
const few = 5

// HowFar says by how much a measure has become more or less, with the interval of that:
// "the pelvis turned 12 degrees more at the top (5 to 19)".
func HowFar(c *geometry.Change, name string, position geometry.PositionName, u geometry.Unit, imperial bool) string {
	said, ok := turned[name]
	if !ok || c.Earlier.Value < 0 || c.Later.Value < 0 {
		said = "the " + name + " was"
	}
	down, direction := Exact(u, imperial).Of(name, position).more(c.Earlier.Value, c.Later.Value)
	low, high := c.Low95, c.High95
	if c.Value < 0 {
		direction, low, high = down, -c.High95, -c.Low95
	}
	n := Told(u, imperial)
	if u != geometry.Degrees && math.Abs(c.Value) < few {
		n = Exact(u, imperial)
	}
	said += " " + spoken(n.Value(math.Abs(c.Value))) + " " + direction
	if position != "" {
		said += " at " + the(position)
	}
	return said + " (" + n.Bounds(low, high) + ")"
}

// Changed says what became of a measure, of how many swings that is, and how sure:
// "the pelvis turned 12 degrees more at the top (5 to 19), three swings each: real".
func Changed(c *geometry.Change, name string, position geometry.PositionName, u geometry.Unit, imperial bool, decided float64) string {
	return HowFar(c, name, position, u, imperial) + ", " + SwingsOf(c) + ": " + Sure(c, decided)
}

// Sure says how sure a change is: "real", its 95 % interval leaving out zero; "likely",
// "very likely"; or that it can't be told, and how many swings would tell.
func Sure(c *geometry.Change, decided float64) string {
	switch {
	case c.Real:
		return "real"
	case c.Told(decided) && Likelihood(c.Probability) != "":
		return Likelihood(c.Probability)
	}
	if n := c.Settled(); n > 0 {
		return CantTell + "; " + Film(n)
	}
	return CantTell
}

// Film says how many swings would settle a change.
func Film(n int) string { return "if it stays so, " + Swings(n) + " would tell" }

// bodily are first words of what was tried that want an article.
var bodily = map[string]bool{"lead": true, "trail": true, "ball": true, "grip": true, "head": true, "stance": true, "weight": true, "hips": true, "hands": true,
	"chin": true, "feet": true, "knees": true, "shoulders": true, "pelvis": true, "handle": true}

// WithTried says a sentence of what was tried: "With the lead foot turned in the pelvis
// turned …".
func WithTried(tried, said string) string {
	first, _, _ := strings.Cut(tried, " ")
	if bodily[strings.ToLower(first)] {
		tried = "the " + tried
	}
	return "With " + tried + " " + said
}
