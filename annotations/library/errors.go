package library

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"turngauge/annotations"
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

// codeOf returns SQLite's primary result code of an error, or 0.
func codeOf(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}

// damaged reports whether an error says that the file is no sound database.
func damaged(err error) bool {
	c := codeOf(err)
	return c == sqlite3.SQLITE_CORRUPT || c == sqlite3.SQLITE_NOTADB
}

// readOnly reports whether an error says that the file can't be written.
func readOnly(err error) bool {
	c := codeOf(err)
	return c == sqlite3.SQLITE_READONLY || c == sqlite3.SQLITE_CANTOPEN
}

// sentence says for the coach why something could not be done with the
// library. The cause stays matchable.
func sentence(what string, err error) error {
	if err == nil || errors.Is(err, ErrReadOnly) || errors.Is(err, ErrNewer) || errors.Is(err, ErrNotFound) {
		return err
	}
	why := ""
	switch codeOf(err) {
	case sqlite3.SQLITE_FULL:
		why = "the disk is full; make room on it"
	case sqlite3.SQLITE_IOERR:
		why = "the disk can't be written or reports a fault; see whether it is full"
	case sqlite3.SQLITE_READONLY:
		return ErrReadOnly
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		why = "another window has been writing in it for long; try again"
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		why = "its file is damaged; start the program again, which opens the newest backup"
	case sqlite3.SQLITE_CANTOPEN:
		why = "its folder can't be read or written"
	}
	if why != "" {
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
