package jsontree

import "fmt"

// SyntaxError says where a document stops being JSON.
type SyntaxError struct {
	Line, Column int // from 1; the column counts characters
	Problem      string
}

// Error gives the place and the problem.
func (e *SyntaxError) Error() string {
	return fmt.Sprintf("not valid JSON at line %d, column %d: %s", e.Line, e.Column, e.Problem)
}
