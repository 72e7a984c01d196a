package saver

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"turngauge/annotations"
	"turngauge/annotations/place"
)

// Where a lesson can't be saved at its place, a spare copy is kept in the
// user's own state folder (XDG Base Directory Specification, XDG_STATE_HOME)
// until saving works again.

// SparePath returns where the spare copy of the lesson at path is kept.
func SparePath(path string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256([]byte(abs))
	base := strings.TrimSuffix(filepath.Base(abs), filepath.Ext(abs))
	return filepath.Join(xdg.StateHome, "turngauge", "unsaved", base+"-"+hex.EncodeToString(sum[:4])+".json"), nil
}

// SpareCopy returns the spare copy of the lesson at path, kept because it
// could not be saved there, and when it was written. ok is false where there
// is none, or none newer than the lesson.
func SpareCopy(path string) (spare string, written time.Time, ok bool) {
	spare, err := SparePath(path)
	if err != nil {
		return "", time.Time{}, false
	}
	info, err := os.Stat(spare)
	if err != nil {
		return "", time.Time{}, false
	}
	if l, err := os.Stat(path); err == nil && !info.ModTime().After(l.ModTime()) {
		return "", time.Time{}, false
	}
	return spare, info.ModTime(), true
}

// SpareCopies lists every spare copy of the lesson at path, and every version of it that
// was put aside among them.
func SpareCopies(path string) (out []string) {
	spare, err := SparePath(path)
	if err != nil {
		return nil
	}
	entries, err := os.ReadDir(filepath.Dir(spare))
	if err != nil {
		return nil
	}
	stem := strings.TrimSuffix(filepath.Base(spare), filepath.Ext(spare))
	for _, e := range entries {
		if e.Type().IsRegular() && (e.Name() == stem+".json" || strings.HasPrefix(e.Name(), stem+"-")) {
			out = append(out, filepath.Join(filepath.Dir(spare), e.Name()))
		}
	}
	return out
}

// KeepOlder copies the lesson at path, if there is one, beside its spare copy, before
// that takes its place. It is on the disk when KeepOlder returns nil.
func KeepOlder(path, spare string, written time.Time) error {
	old, err := place.Read(path, annotations.MaxBytes)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return place.New(versionBeside(spare, "older", written), bytes.NewReader(old))
}

// KeepNewer puts a spare copy where the next saving does not remove it, and returns
// that path. It is on the disk when the error is nil.
func KeepNewer(spare string, written time.Time) (kept string, err error) {
	kept = versionBeside(spare, "newer", written)
	if err := place.Rename(spare, kept); err != nil {
		return "", err
	}
	return kept, place.SyncFolder(filepath.Dir(kept))
}

// versionBeside returns a free path for a version of a lesson that is not opened.
func versionBeside(spare, which string, written time.Time) string {
	stem := strings.TrimSuffix(spare, filepath.Ext(spare))
	return place.FreeName(stem + "-" + which + written.Format("-2006-01-02-150405") + ".json")
}

// keepSpare writes the spare copy and returns its path.
func keepSpare(path string, data []byte) (string, error) {
	spare, err := SparePath(path)
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(filepath.Dir(spare), 0o700); err != nil {
		return "", err
	}
	if err := place.Bytes(spare, data); err != nil {
		return "", err
	}
	return spare, laterThan(spare, path)
}

// laterThan makes a spare copy later than the lesson, also where the clock has
// gone back since that was saved: SpareCopy goes by their times.
func laterThan(spare, path string) error {
	const tick = 2 * time.Second // of file systems with the coarsest times
	lesson, err := os.Stat(path)
	if err != nil {
		return nil // not there, and nothing to be later than
	}
	info, err := os.Stat(spare)
	if err != nil || info.ModTime().After(lesson.ModTime()) {
		return err
	}
	at := lesson.ModTime().Add(tick)
	return os.Chtimes(spare, at, at)
}

// removeSpare removes the spare copy, once the lesson is safe at its place. One
// that stays is older than the lesson, and so is not offered by SpareCopy.
func removeSpare(path string) {
	if spare, err := SparePath(path); err == nil {
		_ = os.Remove(spare)
	}
}
