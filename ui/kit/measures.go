package kit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Metres reads a stature in centimetres or metres; "" is not known.
func Metres(text string) (m float64, problem string) {
	text = strings.TrimSpace(strings.ReplaceAll(text, ",", "."))
	if text == "" {
		return 0, ""
	}
	v, err := strconv.ParseFloat(text, 64)
	if err == nil && v > 3 {
		v /= 100
	}
	if err != nil || v < 0.8 || v > 2.5 {
		return 0, "A height in cm, such as 172, or leave it empty."
	}
	return v, ""
}

// FeetAndInches reads a stature as 5'8", 5 8 or 68 (inches), in metres; "" is not
// known. An inch is exactly 2.54 cm (international yard and pound agreement, 1959).
func FeetAndInches(text string) (m float64, problem string) {
	parts := strings.Fields(strings.NewReplacer("'", " ", "’", " ", `"`, " ", "”", " ", "ft", " ", "in", " ", ",", ".").Replace(text))
	if len(parts) == 0 {
		return 0, ""
	}
	inches, bad := 0.0, len(parts) > 2
	for _, p := range parts {
		v, err := strconv.ParseFloat(p, 64)
		bad = bad || err != nil || v < 0
		inches = 12*inches + v
	}
	if len(parts) == 1 && inches < 9 { // feet alone
		inches *= 12
	}
	if m = inches * 0.0254; bad || !(m >= 0.8 && m <= 2.5) {
		return 0, "A height such as 5 8 (feet and inches) or 68 (inches), or leave it empty."
	}
	return m, ""
}

// Kilograms reads a mass; "" is not known.
func Kilograms(text string) (kg float64, problem string) {
	text = strings.TrimSpace(strings.ReplaceAll(text, ",", "."))
	if text == "" {
		return 0, ""
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v < 20 || v > 250 {
		return 0, "A mass in kg, such as 66, or leave it empty."
	}
	return v, ""
}

// Stature reads a stature as it is written here: in centimetres, or in feet and inches.
func Stature(text string, imperial bool) (m float64, problem string) {
	if imperial {
		return FeetAndInches(text)
	}
	return Metres(text)
}

// StatureText writes a stature as Stature reads it; "" where it is not known.
func StatureText(m float64, imperial bool) string {
	switch {
	case m <= 0:
		return ""
	case imperial:
		inches := math.Round(m / 0.0254)
		return fmt.Sprintf("%.0f %.0f", math.Floor(inches/12), math.Mod(inches, 12))
	}
	return fmt.Sprintf("%.0f", 100*m)
}

// SameStature reports whether a stature is one that was written with StatureText and read
// again.
func SameStature(a, b float64) bool { return math.Abs(a-b) < 0.013 }

// StatureSD is the standard deviation given to a stature that was told, in metres: people
// are measured in shoes, or remember (common practice, no source).
const StatureSD = 0.02
