package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/saver"
)

// TrashDays is how long a deleted lesson can be got back.
const TrashDays = 30

// Delete puts a lesson in the trash: its document goes into the library's trash
// folder, where it stays for TrashDays; its clips stay where they are. A lesson
// that is open in a window is not deleted.
func (l *Library) Delete(ctx context.Context, key int64) error {
	const what = "the lesson can't be deleted"
	e, err := l.Lesson(ctx, key)
	if err != nil {
		return err
	}
	if !e.Deleted.IsZero() {
		return nil
	}
	if l.readOnly {
		return ErrReadOnly
	}
	free, err := holdDocument(e.Path)
	if err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	defer free()
	if err := os.MkdirAll(l.trash(), 0o700); err != nil {
		return sentence(what, err)
	}
	to := filepath.Join(l.trash(), e.uid+".json")
	moved, err := moveDocument(e.Path, to)
	if err != nil {
		return sentence(what, err)
	}
	err = l.change(ctx, what, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE lesson SET deleted = $1, origin = path, path = $2 WHERE key = $3", millis(l.sinceBackup()), to, key)
		return err
	})
	if err != nil && moved {
		_, back := moveDocument(to, e.Path)
		return errors.Join(err, back)
	}
	return err
}

// sinceBackup is now, or the day of the newest backup where the clock has gone
// back behind it: the backups made after this have later days.
func (l *Library) sinceBackup() time.Time {
	now := l.now()
	list := l.listBackups()
	if len(list) == 0 {
		return now
	}
	newest, err := time.ParseInLocation(dayFormat, dayOf(list[len(list)-1]), now.Location())
	if err != nil || now.After(newest) {
		return now
	}
	return newest
}

// holdDocument makes sure that no window has a document open, and keeps it so
// until free is called.
func holdDocument(path string) (free func(), err error) {
	if _, err := os.Stat(path); err != nil {
		return func() {}, nil // nothing there that could be open
	}
	s, err := saver.Open(path, nil)
	if err != nil {
		return nil, err
	}
	return func() { _ = s.Close() }, nil
}

// moveDocument moves a document, also to another disk, and reports whether there
// was one to move. Nothing is overwritten.
func moveDocument(from, to string) (moved bool, err error) {
	data, err := place.Read(from, annotations.MaxBytes)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if err := writeNew(to, data); err != nil {
		return false, err
	}
	if err := os.Remove(from); err != nil {
		_ = os.Remove(to)
		return false, err
	}
	return true, nil
}

// Undelete takes a lesson out of the trash and puts its document back where it
// was or, where another one is there now, beside it. It returns where.
func (l *Library) Undelete(ctx context.Context, key int64) (path string, err error) {
	const what = "the lesson can't be got back"
	e, err := l.Lesson(ctx, key)
	if err != nil || e.Deleted.IsZero() {
		return e.Path, err
	}
	if l.readOnly {
		return "", ErrReadOnly
	}
	path = place.FreeName(e.Origin)
	if err := place.Folder(filepath.Dir(path)); err != nil {
		return "", sentence(what, err)
	}
	moved, err := moveDocument(e.Path, path)
	if err == nil && !moved {
		err = l.Restore(ctx, key, path)
	}
	if err != nil {
		return "", sentence(what, err)
	}
	err = l.change(ctx, what, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE lesson SET deleted = NULL, origin = '', path = $1 WHERE key = $2", path, key)
		return err
	})
	if err != nil && moved {
		_, back := moveDocument(path, e.Path)
		return "", errors.Join(err, back)
	}
	return path, err
}

// EmptyTrash removes what has been in the trash for longer than TrashDays, with
// the copies of its document. The clock alone is not believed: there must be
// backups of keptDays days since, which takes as many days of work.
func (l *Library) EmptyTrash(ctx context.Context) (removed int, err error) {
	list, err := l.Lessons(ctx, Query{Trash: true})
	if err != nil {
		return 0, err
	}
	before := l.now().Add(-TrashDays * 24 * time.Hour)
	backups := l.listBackups()
	since := ""
	if len(backups) >= keptDays {
		since = dayOf(backups[len(backups)-keptDays])
	}
	for _, e := range list {
		if e.Deleted.After(before) || e.Deleted.Format(dayFormat) >= since {
			continue
		}
		if err := l.forget(ctx, e); err != nil {
			return removed, err
		}
		removed++
	}
	return removed, l.sweepPhotos(ctx)
}

// forget removes a deleted lesson for good.
func (l *Library) forget(ctx context.Context, e Entry) error {
	const what = "the trash can't be emptied"
	err := l.change(ctx, what, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "DELETE FROM search WHERE rowid = $1", e.Key); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM lesson WHERE key = $1", e.Key); err != nil {
			return err
		}
		return dropIdleStudents(ctx, tx)
	})
	if err != nil {
		return err
	}
	l.forgetReviews(ctx, e)
	if err := os.Remove(filepath.Join(l.trash(), e.uid+".json")); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return sentence(what, err)
	}
	return sentence(what, os.RemoveAll(filepath.Join(l.copies(), e.uid)))
}
