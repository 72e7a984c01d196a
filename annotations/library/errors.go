package library

import (
	"errors"
	"fmt"

	"turngauge/annotations"
	"turngauge/annotations/library/sqlite"
)

// Errors that callers may match.
var (
	// ErrReadOnly says that the library can be read but not changed.
	ErrReadOnly = errors.New("the library can't be changed: you may not write in its folder. Your lessons are saved all the same")
	// ErrNewer says that a newer version of the program made the library.
	ErrNewer = errors.New("the library was made by a newer version of this program: use that one. Lessons can be opened and saved all the same")
	// ErrNotFound says that a lesson is not in the library any more.
	ErrNotFound = errors.New("it is not in the library any more")
)

// sentence says for the coach why something could not be done with the
// library. The cause stays matchable.
func sentence(what string, err error) error {
	if err == nil || errors.Is(err, ErrReadOnly) || errors.Is(err, ErrNewer) || errors.Is(err, ErrNotFound) {
		return err
	}
	if sqlite.ReadOnly(err) {
		return ErrReadOnly
	}
	if why := sqlite.Why(err); why != "" {
		return fmt.Errorf("%s: %w", what, &reason{why, err})
	}
	return fmt.Errorf("%s: %w", what, annotations.Explain(err))
}

// reason is a sentence in place of an error that it wraps.
type reason struct {
	text  string
	cause error
}

func (r *reason) Error() string { return r.text }
func (r *reason) Unwrap() error { return r.cause }
