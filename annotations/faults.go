package annotations

import (
	"fmt"
	"strings"

	"turngauge/annotations/jsontree"
)

// MaxBytes bounds the size of a document.
const MaxBytes = jsontree.MaxBytes

// Fault is one thing wrong with a document.
type Fault struct {
	Path    string // JSON path such as swings[0].marks[3].point; "" for the document itself
	Problem string // what is wrong and what to do
}

// String returns the fault as one line.
func (f Fault) String() string {
	if f.Path == "" {
		return "document: " + f.Problem
	}
	return f.Path + ": " + f.Problem
}

// Faults is every fault of a document. As an error it has one line each.
type Faults []Fault

// Error lists the faults, one a line.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].String()
	}
	return strings.Join(lines, "\n")
}

func (f *Faults) add(path, format string, args ...any) {
	*f = append(*f, Fault{path, fmt.Sprintf(format, args...)})
}

// NewerError says that a document has a version this program does not know.
type NewerError struct{ Version int64 }

// Error says what to do about it.
func (e *NewerError) Error() string {
	return fmt.Sprintf("this lesson was written by a newer Turngauge (document version %d; this program reads version %d): update the program to open it; the file was not touched", e.Version, Version)
}

// SyntaxError says where a document stops being JSON.
type SyntaxError = jsontree.SyntaxError
