package library

import (
	"context"
	"errors"
	"fmt"
	"os"

	"turngauge/annotations/library/sqlite"
)

// Version is the version of the library's schema.
const Version = 7

// migrate brings the index to Version, in one transaction, after a backup.
func (l *Library) migrate(ctx context.Context) error {
	v, err := l.store.Version(ctx)
	if err != nil {
		return err
	}
	switch {
	case v > Version:
		return ErrNewer
	case v == Version:
		return nil
	case v == 0 && !l.mending && l.lost():
		return errEmptied
	case l.readOnly:
		return fmt.Errorf("an older version of the program made it, and it can't be brought up to date: %w", ErrReadOnly)
	}
	if v > 0 {
		if err := l.backupAs(ctx, fmt.Sprintf("library %s before version %d.db", l.now().Format(dayFormat), Version)); err != nil {
			return fmt.Errorf("it can't be backed up before it is brought up to date: %w", err)
		}
	}
	return l.store.Migrate(ctx, v, Version)
}

// errEmptied says that the index is not the one that was here.
var errEmptied = errors.New("the index is empty, though there are backups or copies of lessons")

// isDamage reports whether an index must be replaced.
func isDamage(err error) bool { return errors.Is(err, errEmptied) || sqlite.Damaged(err) }

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
