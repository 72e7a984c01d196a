package main

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// oneLine returns a text as it stands in a row of a table: with no end of a line, by
// which it could pass for rows of its own.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// terminal writes text to what may be a terminal: characters that would command it, or
// turn the direction of what follows, are written as escapes. The names in a lesson come
// from anyone. In JSON the escapes mean what they stand for (RFC 8259, section 7).
type terminal struct {
	to   io.Writer
	rest []byte // the beginning of a character whose end is not written yet
}

// Write never holds back more than an incomplete character.
func (t *terminal) Write(p []byte) (int, error) {
	data := append(t.rest, p...)
	out := make([]byte, 0, len(data)+16)
	for len(data) > 0 {
		r, n := utf8.DecodeRune(data)
		switch {
		case !utf8.FullRune(data):
			n = 0
		case r == utf8.RuneError && n == 1:
			out = fmt.Appendf(out, `\x%02x`, data[0])
		case acts(r):
			out = fmt.Appendf(out, `\u%04x`, r)
		default:
			out = append(out, data[:n]...)
		}
		if n == 0 {
			break
		}
		data = data[n:]
	}
	t.rest = append([]byte(nil), data...)
	_, err := t.to.Write(out)
	return len(p), err
}

// acts reports whether a character does something to a terminal other than being
// seen: the control characters but for the end of a line and the tabulator, and those of
// direction (Unicode Standard Annex 9, table 1 and section 2.6).
func acts(r rune) bool {
	switch {
	case r == '\n' || r == '\t':
		return false
	case unicode.IsControl(r), r == 0x061c, r == 0x200e, r == 0x200f, r == 0x2028, r == 0x2029:
		return true
	}
	return 0x202a <= r && r <= 0x202e || 0x2066 <= r && r <= 0x2069
}
