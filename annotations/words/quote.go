package words

import (
	"strings"
	"unicode"
)

// Or joins alternatives: "a", "a or b", "a, b or c".
func Or(items []string) string {
	if n := len(items); n > 1 {
		return strings.Join(items[:n-1], ", ") + " or " + items[n-1]
	}
	return strings.Join(items, "")
}

// Quote puts a name from a document into a message: short, on one line.
func Quote(s string) string { return `"` + Shortened(s) + `"` }

// Shortened is a text from a document as it may stand in a message: nothing in it turns
// a line, moves the cursor or changes the direction of writing.
func Shortened(s string) string {
	const limit = 60
	s = s[:min(len(s), 8*limit)]
	r := []rune(s)
	if len(r) > limit {
		r = append(r[:limit], '…')
	}
	for i, c := range r {
		if unicode.IsControl(c) || unicode.In(c, unicode.Cf, unicode.Zl, unicode.Zp) {
			r[i] = '�'
		}
	}
	return string(r)
}
