package sqlite

import (
	"context"
	"errors"
	"os"
	"time"
)

// Erase removes lessons, by their uids, and students, by what stands for them in folded,
// with all their lessons, from an index of any version, and rewrites the file. secure_delete
// writes zeros over what is deleted, merging the search index drops the words that only
// deleted rows had, VACUUM writes the file anew, and the log is cut to nothing.
func (f *File) Erase(ctx context.Context, uids, handles []string) (err error) {
	conn, err := f.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close() }()
	do := func(q string, args ...any) {
		if err == nil {
			_, err = conn.ExecContext(ctx, q, args...)
		}
	}
	const whose = "FROM lesson WHERE student IN (SELECT key FROM student WHERE folded = $1)"
	do("PRAGMA secure_delete = ON")
	do("BEGIN IMMEDIATE")
	do("PRAGMA defer_foreign_keys = ON")
	// Whoever had these lessons goes with the last of them: a student was called
	// something else in an older index, or was not joined yet.
	do("CREATE TEMP TABLE erased (student INTEGER)")
	for _, uid := range uids {
		do("INSERT INTO erased SELECT student FROM lesson WHERE uid = $1", uid)
		do("DELETE FROM search WHERE rowid IN (SELECT key FROM lesson WHERE uid = $1)", uid)
		do("DELETE FROM lesson WHERE uid = $1", uid)
	}
	for _, handle := range handles {
		do("INSERT INTO erased SELECT key FROM student WHERE folded = $1", handle)
		do("DELETE FROM search WHERE rowid IN (SELECT key "+whose+")", handle)
		do("DELETE "+whose, handle)
	}
	do("DELETE FROM student WHERE key IN (SELECT student FROM erased) AND NOT EXISTS (SELECT 1 FROM lesson WHERE lesson.student = student.key)")
	do("DROP TABLE erased")
	do("INSERT INTO search (search) VALUES ('optimize')")
	do("COMMIT")
	if err != nil {
		_, _ = conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
		return err
	}
	do("VACUUM")
	for tries := 0; err == nil; tries++ {
		// A reader in another window keeps the log; its old pages hold what was deleted.
		var busy, pages, moved int
		err = conn.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &pages, &moved)
		if busy == 0 {
			break
		}
		if tries == 50 {
			return errors.New("another window is reading the library, so its log can't be cut: close it and erase again")
		}
		select {
		case <-ctx.Done():
		case <-time.After(100 * time.Millisecond):
		}
	}
	do("PRAGMA secure_delete = OFF")
	return err
}

// EraseFrom erases as Erase does from an index that nobody has open, as a backup, which is
// one file again afterwards.
func EraseFrom(ctx context.Context, path string, uids, handles []string) error {
	defer func() {
		for _, tail := range []string{"-journal", "-wal", "-shm"} {
			_ = os.Remove(path + tail)
		}
	}()
	f, err := opened(ctx, path, "rw", "")
	if err != nil {
		return err
	}
	err = f.Erase(ctx, uids, handles)
	if err == nil {
		_, err = f.db.ExecContext(ctx, "PRAGMA journal_mode = DELETE")
	}
	return errors.Join(err, f.Close())
}
