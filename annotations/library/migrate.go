package library

import (
	"context"
	"embed"
	"fmt"
	"os"
)

//go:embed schema/*.sql
var schema embed.FS

// Version is the version of the library's schema, which the index keeps as its
// user_version. Version n is made from n-1 by schema/n.sql.
const Version = 7

// migrate brings the index to Version, in one transaction, after a backup.
func (l *Library) migrate(ctx context.Context) error {
	var v int
	if err := l.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v); err != nil {
		return err
	}
	switch {
	case v > Version:
		return ErrNewer
	case v == Version:
		return nil
	case v == 0 && !l.mending && l.lost():
		return &errUnsound{"it is empty, though there are backups or copies of lessons"}
	case l.readOnly:
		return fmt.Errorf("an older version of the program made it, and it can't be brought up to date: %w", ErrReadOnly)
	}
	if v > 0 {
		if err := l.backupAs(ctx, fmt.Sprintf("library %s before version %d.db", l.now().Format(dayFormat), Version)); err != nil {
			return fmt.Errorf("it can't be backed up before it is brought up to date: %w", err)
		}
	}
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	for n := v + 1; n <= Version; n++ {
		script, err := schema.ReadFile(fmt.Sprintf("schema/%d.sql", n))
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, string(script)); err != nil {
			return fmt.Errorf("schema %d: %w", n, err)
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", Version)); err != nil {
		return err
	}
	return tx.Commit()
}

// lost reports whether there has been an index here before.
func (l *Library) lost() bool {
	entries, _ := os.ReadDir(l.copies())
	return len(entries) > 0 || len(l.listBackups()) > 0
}

// smallBytes is up to which size the whole index is checked at each opening:
// that takes some tens of milliseconds.
const smallBytes = 16 << 20

func (l *Library) small() bool {
	info, err := os.Stat(l.index())
	return err == nil && info.Size() <= smallBytes
}
