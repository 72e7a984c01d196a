package intake

import (
	"strconv"
	"strings"
)

// metres reads a stature in centimetres or metres; "" is not known.
func metres(text string) (m float64, problem string) {
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

// feetAndInches reads a stature as 5'8", 5 8 or 68 (inches), in metres; "" is not
// known. An inch is exactly 2.54 cm (international yard and pound agreement, 1959).
func feetAndInches(text string) (m float64, problem string) {
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

func kilograms(text string) (kg float64, problem string) {
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
