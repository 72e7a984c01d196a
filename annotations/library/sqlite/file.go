// Package sqlite keeps the index of a library in a file of its own.
//
// The driver is modernc.org/sqlite, SQLite in Go: it comes with full text search and
// needs no C compiler settings of its own. Several processes may have the file open: the
// write-ahead log lets them read while one writes, and a change waits for the one before
// for up to five seconds. A change is on the disk when its transaction is committed
// (synchronous = FULL).
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the driver

	"turngauge/annotations/place"
)

const (
	busyWait   = 5 * time.Second
	maxReaders = 4
)

// File is an open index. Its methods are safe for concurrent use.
type File struct {
	path string
	db   *sql.DB
}

// Open opens the index at a path as it is. Where there is none an empty one is made,
// which only its owner may read, unless it is opened for reading alone.
func Open(ctx context.Context, path string, reading bool) (*File, error) {
	if reading {
		if _, err := os.Stat(path); err != nil {
			return nil, err
		}
	} else if err := ownerOnly(path); err != nil {
		return nil, err
	}
	f, err := opened(ctx, path, modeOf(reading), "")
	if reading && readOnly(err) {
		// No shared memory can be made beside it: read what has reached the file itself.
		f, err = opened(ctx, path, "ro", "&immutable=1")
	}
	return f, err
}

func modeOf(reading bool) string {
	if reading {
		return "ro"
	}
	return "rw"
}

func opened(ctx context.Context, path, mode, more string) (*File, error) {
	db, err := sql.Open("sqlite", dsn(path, mode, more))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(maxReaders)
	db.SetMaxIdleConns(maxReaders)
	var n int
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&n); err != nil {
		_ = db.Close()
		return nil, err
	}
	return &File{path, db}, nil
}

// ownerOnly makes an empty index, which only its owner may read, where there is none:
// SQLite gives the files it makes beside an index the same permissions. It follows links:
// one that another user put there is refused, or its target would be made an index.
func ownerOnly(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		_, err = place.Target(path)
		return err
	}
	if err != nil {
		return err
	}
	return f.Close()
}

func dsn(path, mode, more string) string {
	u := url.URL{Scheme: "file", Path: "/" + strings.TrimPrefix(filepath.ToSlash(path), "/")} // also of C:\
	q := fmt.Sprintf("?mode=%s&_txlock=immediate&_pragma=busy_timeout(%d)&_pragma=foreign_keys(1)", mode, busyWait.Milliseconds())
	if mode != "ro" {
		q += "&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)"
	}
	return u.String() + q + more
}

// DB returns the open database.
func (f *File) DB() *sql.DB { return f.db }

// Close closes the file. Its methods must not be called afterwards.
func (f *File) Close() error { return f.db.Close() }

// CopyTo writes a copy of the index, without what was deleted in it, to a path where there
// is no file yet. The copy is on the disk when it returns.
func (f *File) CopyTo(ctx context.Context, path string) error {
	if err := ownerOnly(path); err != nil {
		return err
	}
	if _, err := f.db.ExecContext(ctx, "VACUUM INTO $1", path); err != nil {
		return err
	}
	return place.SyncFile(path)
}

// Matches is the condition on a row of the table search that it has what the parameter says.
func (f *File) Matches(parameter string) string { return "search MATCH " + parameter }

// Match is the parameter that asks for every word as the beginning of one.
func (f *File) Match(words []string) string { return `"` + strings.Join(words, `"* "`) + `"*` }
