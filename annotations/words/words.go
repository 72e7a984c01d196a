// Package words puts what is to be read into plain English.
package words

import (
	"fmt"
	"strconv"
	"time"
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

// Spelled is Count with small numbers in words: "no things", "one thing", "27 things".
func Spelled(n int, one, many string) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
	switch {
	case n == 1:
		return "one " + one
	case n < len(words):
		return words[n] + " " + many
	}
	return Count(n, one, many)
}

// Sentence returns a text with its first letter in upper case.
func Sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// Day writes an ISO 8601 date as it is read, "2 May 2026", and leaves what is
// none as it is.
func Day(date string) string {
	if t, err := time.Parse(time.DateOnly, date); err == nil {
		return t.Format("2 January 2006")
	}
	return date
}

// Ago says how long ago something was, in the roughest words that help.
func Ago(now, then time.Time) string {
	d := now.Sub(then)
	switch days := int(d.Hours() / 24); {
	case d < 5*time.Minute:
		return "just now"
	case d < time.Hour:
		return fmt.Sprintf("%d min ago", int(d.Minutes()))
	case d < 24*time.Hour:
		return fmt.Sprintf("%d h ago", int(d.Hours()))
	case days == 1:
		return "yesterday"
	case days < 60:
		return fmt.Sprintf("%d days ago", days)
	default:
		return then.Format("2006-01-02")
	}
}
