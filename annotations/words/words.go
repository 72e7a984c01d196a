// Package words puts what is to be read into plain English.
package words

import (
	"strconv"
	"unicode"
	"unicode/utf8"
)

// Count returns a number with its noun: "1 lesson", "2 lessons".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// Sentence returns a text with its first letter in upper case.
func Sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
