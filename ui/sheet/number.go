package sheet

import (
	"regexp"
	"strconv"
	"strings"
)

// inch is exact by definition (international yard and pound agreement, 1959).
const inch = 2.54 // cm

var halfWidth = regexp.MustCompile(`± ?[0-9.]*[0-9]`)

// reason returns why a measure is missing with its half width as the sheet writes
// it.
func reason(text string, imperial bool) string {
	text = strings.ReplaceAll(text, " deg", "°")
	if !imperial || !strings.Contains(text, " cm") {
		return text
	}
	text = halfWidth.ReplaceAllStringFunc(text, func(s string) string {
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimPrefix(s, "±")), 64)
		if err != nil {
			return s
		}
		return "±" + strconv.FormatFloat(v/inch, 'f', 1, 64)
	})
	return strings.ReplaceAll(text, " cm", " in")
}
