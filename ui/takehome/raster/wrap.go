package raster

import "strings"

// Wrapped breaks a text into lines of a width.
func Wrapped(text string, width float64, measure func(string) float64) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		joined := word
		if line != "" {
			joined = line + " " + word
		}
		if measure(joined) <= width {
			line = joined
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = ""
		for _, r := range word { // a word too long for a line, or a script without spaces
			if line != "" && measure(line+string(r)) > width {
				lines = append(lines, line)
				line = ""
			}
			line += string(r)
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
