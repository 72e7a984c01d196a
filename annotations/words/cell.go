package words

import "regexp"

// begins finds where a text, in a cell of a table or in one that a spreadsheet of another
// land makes of it, would begin as a formula: = + - @ and their wide forms, at its start
// or behind a separator. Source: OWASP, "CSV Injection".
var begins = regexp.MustCompile(`(^|[;\t\r\n])([\s"']*)([=+\-@＝＋－＠])`)

// Cell returns a text as it may stand in a table that is opened with a spreadsheet: never
// a formula. Numbers are not texts; they are written as they are.
func Cell(s string) string { return begins.ReplaceAllString(s, "$1$2'$3") }
