package sqlite

import (
	"context"
	"embed"
	"fmt"
)

//go:embed schema/*.sql
var schema embed.FS

// Version returns the version of the schema, which the file keeps as its user_version; 0
// for an empty one.
func (f *File) Version(ctx context.Context) (v int, err error) {
	err = f.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v)
	return v, err
}

// Migrate brings the schema from one version to a later one, in one transaction. Version n
// is made from n-1 by schema/n.sql.
func (f *File) Migrate(ctx context.Context, from, to int) error {
	tx, err := f.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	for n := from + 1; n <= to; n++ {
		script, err := schema.ReadFile(fmt.Sprintf("schema/%d.sql", n))
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, string(script)); err != nil {
			return fmt.Errorf("schema %d: %w", n, err)
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", to)); err != nil {
		return err
	}
	return tx.Commit()
}
