package sqlite

import (
	"context"
	"errors"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// unsound is what Sound finds where SQLite itself reports no error.
type unsound struct{ finding string }

func (e *unsound) Error() string { return "the index is damaged: " + e.finding }

// Sound makes sure that the whole index is sound; see [Damaged].
func (f *File) Sound(ctx context.Context) error {
	var finding string
	if err := f.db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&finding); err != nil {
		return err
	}
	if finding != "ok" {
		return &unsound{finding}
	}
	return nil
}

// Check makes sure that the index at a path is sound. A connection of its own has nothing
// in its memory yet, and reads the file.
func Check(ctx context.Context, path string, reading bool) error {
	f, err := opened(ctx, path, modeOf(reading), "")
	if err != nil {
		return err
	}
	return errors.Join(f.Sound(ctx), f.Close())
}

// VersionOf returns the version of a sound index that nobody has open, as a backup.
func VersionOf(ctx context.Context, path string) (v int, err error) {
	f, err := opened(ctx, path, "ro", "&immutable=1")
	if err != nil {
		return 0, err
	}
	if err = f.Sound(ctx); err == nil {
		v, err = f.Version(ctx)
	}
	return v, errors.Join(err, f.Close())
}

// codeOf returns SQLite's primary result code of an error, or 0.
func codeOf(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}

// Damaged reports whether an error says that the file is no sound index.
func Damaged(err error) bool {
	var u *unsound
	c := codeOf(err)
	return errors.As(err, &u) || c == sqlite3.SQLITE_CORRUPT || c == sqlite3.SQLITE_NOTADB
}

// readOnly reports whether an error says that the file can't be written.
func readOnly(err error) bool {
	c := codeOf(err)
	return c == sqlite3.SQLITE_READONLY || c == sqlite3.SQLITE_CANTOPEN
}

// ReadOnly reports whether a change failed because the file may not be written.
func ReadOnly(err error) bool { return codeOf(err) == sqlite3.SQLITE_READONLY }

// Why says for the coach what an error of the index means, or "".
func Why(err error) string {
	switch codeOf(err) {
	case sqlite3.SQLITE_FULL:
		return "the disk is full; make room on it"
	case sqlite3.SQLITE_IOERR:
		return "the disk can't be written or reports a fault; see whether it is full"
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return "another window has been writing in it for long; try again"
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return "its file is damaged; start the program again, which opens the newest backup"
	case sqlite3.SQLITE_CANTOPEN:
		return "its folder can't be read or written"
	}
	return ""
}
