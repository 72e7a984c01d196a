package annotations

import (
	"fmt"

	"turngauge/annotations/place"
)

// Save writes the document of l to path, in one step (see package place). The
// error is a sentence for the coach.
func Save(path string, l *Lesson) error {
	data, err := l.Encode()
	if err != nil {
		return err
	}
	if err := place.Bytes(path, data); err != nil {
		return fmt.Errorf("the lesson can't be saved as %s: %w", path, Explain(err))
	}
	return nil
}

// plainError is a sentence in place of an error of the file system, which it
// still wraps.
type plainError struct {
	text  string
	cause error
}

func (e *plainError) Error() string { return e.text }
func (e *plainError) Unwrap() error { return e.cause }

// Explain puts the usual reasons why a file can't be written into words.
func Explain(err error) error {
	if text := place.Reason(err); text != "" {
		return &plainError{text, err}
	}
	return err
}
