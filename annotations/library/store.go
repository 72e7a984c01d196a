package library

import (
	"context"
	"database/sql"

	"turngauge/annotations/library/sqlite"
)

// Store is a database that keeps a library's index. What it is asked in SQL is written
// once, in this package, in words that SQLite (from 3.44) and PostgreSQL (from 15) both take
// and mean alike: parameters are $1, $2; CASE, coalesce, string_agg, CROSS JOIN with WHERE,
// ON CONFLICT with all its columns, RETURNING; a parameter that may be absent and whose type
// nothing beside it tells is cast. What the engines say differently is asked here.
type Store interface {
	// DB is the open database. Of its transactions that write, one runs at a time.
	DB() *sql.DB
	Close() error

	// Version is that of the schema, 0 for an empty database. Versions are numbered alike
	// in all engines, and mean the same tables and columns.
	Version(ctx context.Context) (int, error)
	// Migrate brings the schema from one version to a later one, or fails and changes nothing.
	Migrate(ctx context.Context, from, to int) error

	// Matches is a condition on the rows of the table search; its parameter is what Match
	// makes of folded words, of which there is one at least: that each is the beginning of
	// a word of the row.
	Matches(parameter string) string
	Match(words []string) string

	// Sound makes sure that what is kept can be read.
	Sound(ctx context.Context) error
	// CopyTo writes an index in a file of its own, as [sqlite.Open] opens it, to a path where
	// there is none yet.
	CopyTo(ctx context.Context, path string) error
	// Erase removes lessons, by their uids, and students with all their lessons, by what
	// stands for them in folded, so that nothing in the database's files still says it.
	Erase(ctx context.Context, uids, handles []string) error
}

var _ Store = (*sqlite.File)(nil)
