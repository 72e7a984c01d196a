package words

import (
	"regexp"
	"strconv"
	"strings"
)

// handicaps are how golfers write a Handicap Index: with one decimal or none, one better
// than scratch with a plus before it (Rules of Handicapping, USGA and The R&A; from memory).
var handicaps = regexp.MustCompile(`^\+?[0-9]{1,2}(\.[0-9])?$`)

// mostHandicap is the largest Handicap Index there is (rule 5.3 there).
const mostHandicap = 54

// Handicap reports whether a text is a handicap, or empty.
func Handicap(text string) bool {
	if text == "" {
		return true
	}
	v, err := strconv.ParseFloat(strings.TrimPrefix(text, "+"), 64)
	return handicaps.MatchString(text) && err == nil && v <= mostHandicap
}
