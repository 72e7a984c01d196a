package library

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"turngauge/annotations/library/sqlite"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
)

// Check makes sure that the whole index is sound, which Open does by itself only
// for a small one, and replaces it if it is damaged. It reports whether it did;
// Notices then says so.
func (l *Library) Check(ctx context.Context) (replaced bool, err error) {
	const what = "the library can't be checked"
	err = sqlite.Check(ctx, l.index(), l.readOnly)
	if !isDamage(err) || l.readOnly {
		return false, sentence(what, err)
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	unlock, lockErr := lockFolder(ctx, l.folder)
	if lockErr != nil {
		return false, sentence(what, lockErr)
	}
	defer unlock()
	if err := l.repair(ctx); err != nil {
		return false, sentence("the library is damaged and no backup could be opened", err)
	}
	return true, nil
}

// repair puts the damaged index aside and opens the newest good backup in its
// place, or an empty index where there is none; then it reads lessons that are
// newer from their copies. The folder is locked.
func (l *Library) repair(ctx context.Context) error {
	if l.store != nil {
		_ = l.store.Close()
	}
	aside := place.FreeName(filepath.Join(l.folder, "library damaged "+l.now().Format("2006-01-02 15.04.05")+".db"))
	for _, tail := range []string{"", "-wal", "-shm"} {
		if err := place.Rename(l.index()+tail, aside+tail); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	from := l.newestGoodBackup(ctx)
	if from != "" {
		if err := copyFile(from, l.index()); err != nil {
			return err
		}
	}
	l.mending = true
	defer func() { l.mending = false }()
	if err := l.connect(ctx); err != nil {
		return err
	}
	if err := l.migrate(ctx); err != nil {
		return err
	}
	read, lost := l.readCopies(ctx)
	what := "There was no backup to open"
	if from != "" {
		what = "The backup " + filepath.Base(from) + " was opened in its place"
	}
	n := fmt.Sprintf("The library was damaged. %s, and %s read from the copies of their documents. The damaged file is kept as %s.", what, words.Count(read, "lesson was", "lessons were"), aside)
	if lost > 0 {
		n += fmt.Sprintf(" Copies that can't be read: %d, in %s.", lost, l.copies())
	}
	l.notices = append(l.notices, n)
	return nil
}

// newestGoodBackup returns the path of the newest backup that is sound, or "".
func (l *Library) newestGoodBackup(ctx context.Context) string {
	list := l.listBackups()
	for _, b := range slices.Backward(list) {
		if v, err := sqlite.VersionOf(ctx, b); err == nil && v > 0 && v <= Version {
			return b
		}
	}
	return ""
}

const dayFormat = time.DateOnly

// backupHead and backupTail stand around the day in a backup's name.
const backupHead, backupTail = "library ", ".db"

// How many backups are kept: of the last days, and of the months before.
const (
	keptDays   = 7
	keptMonths = 12
)

// listBackups lists the paths of the backups, oldest first.
func (l *Library) listBackups() []string {
	entries, err := os.ReadDir(l.backups())
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		if e.Type().IsRegular() && strings.HasPrefix(e.Name(), backupHead+"2") && strings.HasSuffix(e.Name(), backupTail) && len(e.Name()) >= len(backupHead+dayFormat+backupTail) {
			out = append(out, filepath.Join(l.backups(), e.Name()))
		}
	}
	return out // by name, and so by date
}

// dayOf returns the day in a backup's name.
func dayOf(backup string) string {
	return strings.TrimPrefix(filepath.Base(backup), backupHead)[:len(dayFormat)]
}

// Backup makes today's backup, unless there is one, and removes those that are
// out of the rotation: the last seven days and the first of each of the twelve
// months before stay. Where the newest one has a later day, because the clock
// was ahead when it was made, today's takes its place: the newest by name is the
// newest.
func (l *Library) Backup(ctx context.Context) error {
	if l.readOnly {
		return ErrReadOnly
	}
	unlock, err := lockFolder(ctx, l.folder)
	if err != nil {
		return err
	}
	defer unlock()
	now := l.now()
	day := now.Format(dayFormat)
	if list := l.listBackups(); len(list) > 0 {
		day = max(day, dayOf(list[len(list)-1]))
	}
	name := backupHead + day + backupTail
	if info, err := os.Stat(filepath.Join(l.backups(), name)); err == nil && info.ModTime().In(now.Location()).Format(dayFormat) == now.Format(dayFormat) {
		return nil
	}
	l.mu.RLock()
	err = l.backupAs(ctx, name)
	l.mu.RUnlock()
	if err != nil {
		return sentence("the library can't be backed up", err)
	}
	l.rotate()
	return nil
}

// backupAs writes a backup under a name, which it gets when it is whole.
func (l *Library) backupAs(ctx context.Context, name string) error {
	if err := os.MkdirAll(l.backups(), 0o700); err != nil {
		return err
	}
	temp := filepath.Join(l.backups(), ".making.db")
	if err := os.Remove(temp); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	err := l.store.CopyTo(ctx, temp)
	if err == nil {
		err = os.Chtimes(temp, l.now(), l.now()) // the day it was made
	}
	if err == nil {
		err = place.Rename(temp, filepath.Join(l.backups(), name))
	}
	if err != nil {
		_ = os.Remove(temp)
		return err
	}
	return place.SyncFolder(l.backups())
}

// rotate removes backups that are out of the rotation. They are counted, not
// compared with today, so that a clock that is wrong takes none of them. One that
// can't be removed is tried again the next day.
func (l *Library) rotate() {
	list := l.listBackups()
	older := list[:max(len(list)-keptDays, 0)]
	months := make(map[string]bool)
	var firsts []string
	for _, b := range older {
		month := dayOf(b)[:len("2006-01")]
		if months[month] {
			_ = os.Remove(b)
			continue
		}
		months[month] = true
		firsts = append(firsts, b)
	}
	for _, b := range firsts[:max(len(firsts)-keptMonths, 0)] {
		_ = os.Remove(b)
	}
}
