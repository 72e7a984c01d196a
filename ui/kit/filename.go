package kit

import (
	"cmp"
	"strings"

	"turngauge/annotations/place"
)

// FileName joins words to a file name, without an ending, that every usual file
// system takes.
func FileName(words ...string) string {
	return cmp.Or(place.SafeName(strings.Join(words, " ")), "Turngauge")
}
