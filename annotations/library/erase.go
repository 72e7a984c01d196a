package library

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library/sqlite"
	"turngauge/annotations/place"
	"turngauge/annotations/saver"
)

// Erased says what came of erasing a student.
type Erased struct {
	Lessons int
	Removed []string // files that are gone
	// Left are files that still hold something, or could not be looked into.
	Left []Left
}

// Left is a file that was not erased, and why.
type Left struct{ File, Why string }

// BeyondReach is what no program can erase, for whoever is told that a student is erased.
const BeyondReach = "What was handed on, what lies on other computers and in backups of this one, and what the disk has not written over yet is out of reach: ask for it there, and encrypt the disk."

// EraseStudent removes everything of a student: the documents of all lessons, wherever
// they lie, with their copies and spare copies; the rows in the index and in its backups,
// which are rewritten so that freed pages hold nothing; and of the files that [HeldOf]
// lists those that are named. A lesson that is open in a window stops it before anything
// is removed. also are folders in which the program keeps things; what in them, or in the
// library, still holds the student's name is told.
func (l *Library) EraseStudent(ctx context.Context, student int64, h Held, files []string, also ...string) (out Erased, err error) {
	const what = "the student can't be erased"
	if l.readOnly {
		return out, ErrReadOnly
	}
	for _, f := range files {
		if !slices.Contains(h.Clips, f) && !slices.Contains(h.Exported, f) {
			return out, fmt.Errorf("%s: %s is none of the files that are kept of the student", what, f)
		}
	}
	for _, e := range h.Lessons {
		free, err := holdDocument(e.Path)
		if err != nil {
			return out, fmt.Errorf("%s: %w", what, err)
		}
		defer free()
	}
	var folders []string
	x := eraser{name: h.Name, out: &out, needles: needles(h)}
	for _, e := range h.Lessons {
		for _, f := range reviewFiles(e) {
			x.remove(f)
			_ = os.Remove(filepath.Dir(f)) // the folder for reviews, where nothing is left in it
		}
		x.remove(e.Path)
		for _, path := range []string{e.Path, e.Origin} {
			if path != "" {
				for _, f := range saver.SpareCopies(path) {
					x.remove(f)
				}
			}
		}
		x.removeAll(filepath.Join(l.copies(), e.uid))
		if dir := filepath.Dir(e.Path); carries(filepath.Base(dir), h.Name) {
			folders = append(folders, dir)
		}
		out.Lessons++
	}
	for _, f := range files {
		x.remove(f)
	}
	for _, dir := range folders {
		_ = os.Remove(dir) // one that an import made for the lesson, where nothing is left in it
	}
	for _, f := range l.photosOf(h.ids) {
		x.remove(f)
	}
	l.eraseCopies(h, &x)
	if err := l.eraseRows(ctx, h); err != nil {
		return out, sentence(what, err)
	}
	for _, b := range l.listBackups() {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		if err := eraseBackup(ctx, b, h); err != nil {
			out.Left = append(out.Left, Left{b, "it could not be rewritten: " + err.Error()})
		}
	}
	for _, dir := range append([]string{l.folder}, also...) {
		x.look(dir)
	}
	return out, ctx.Err()
}

// eraser removes files and looks for what is left.
type eraser struct {
	name    string
	out     *Erased
	needles [][]byte
}

// needles are the texts that must not be found any more.
func needles(h Held) (out [][]byte) {
	names := []string{h.Name}
	for _, o := range h.Card.Joined {
		names = append(names, o.Name)
	}
	for _, s := range names {
		names = append(names, strings.ToLower(s), fold(s))
	}
	for _, s := range names {
		if s = strings.TrimSpace(s); s != "" && !slices.ContainsFunc(out, func(b []byte) bool { return string(b) == s }) {
			out = append(out, []byte(s))
		}
	}
	return out
}

func (x *eraser) remove(path string) {
	err := os.Remove(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		x.out.Left = append(x.out.Left, Left{path, "it could not be removed: " + err.Error()})
	default:
		x.out.Removed = append(x.out.Removed, path)
	}
}

func (x *eraser) removeAll(dir string) {
	for _, name := range daysOf(dir) {
		x.remove(filepath.Join(dir, name))
	}
	if err := os.RemoveAll(dir); err != nil {
		x.out.Left = append(x.out.Left, Left{dir, "it could not be removed: " + err.Error()})
	}
}

// eraseCopies removes copies of other lessons from a time when they were the student's.
func (l *Library) eraseCopies(h Held, x *eraser) {
	uids, _ := os.ReadDir(l.copies())
	for _, uid := range uids {
		dir := filepath.Join(l.copies(), uid.Name())
		for _, day := range daysOf(dir) {
			file := filepath.Join(dir, day)
			data, _, err := readCopy(file)
			if err != nil {
				x.out.Left = append(x.out.Left, Left{file, "it can't be read, so it may hold something"})
				continue
			}
			lesson, _, err := annotations.Decode(data)
			if err != nil {
				continue
			}
			// A name that another student has is no proof.
			s := &lesson.Student
			if slices.Contains(h.ids, s.ID) || s.ID == "" && !h.shared && nameKey(s.Name) == nameKey(h.Name) {
				x.remove(file)
			}
		}
	}
}

// mostLooked bounds how much of a file is looked through.
const mostLooked = 1 << 30

// look tells of files under a folder that still hold the student's name.
func (x *eraser) look(dir string) {
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == dir {
			return nil // what can't be listed can't be told of
		}
		if carries(d.Name(), x.name) {
			x.out.Left = append(x.out.Left, Left{path, "its name says the student's"})
			return nil
		}
		if !d.Type().IsRegular() {
			return nil
		}
		if slices.ContainsFunc(x.out.Left, func(l Left) bool { return l.File == path }) {
			return nil
		}
		switch found, err := x.holds(path); {
		case err != nil:
			x.out.Left = append(x.out.Left, Left{path, "it could not be looked into: " + err.Error()})
		case found:
			x.out.Left = append(x.out.Left, Left{path, "it still holds the name"})
		}
		return nil
	})
}

func (x *eraser) holds(path string) (bool, error) {
	if strings.HasSuffix(path, copySuffix) {
		data, _, err := readCopy(path)
		return x.in(data), err
	}
	data, err := place.Read(path, mostLooked)
	if errors.Is(err, place.ErrTooLarge) {
		return false, nil // film
	}
	return x.in(data), err
}

func (x *eraser) in(data []byte) bool {
	return slices.ContainsFunc(x.needles, func(n []byte) bool { return bytes.Contains(data, n) })
}

// eraseRows removes a student from the index, and rewrites it.
func (l *Library) eraseRows(ctx context.Context, h Held) error {
	if err := l.follow(ctx); err != nil {
		return err
	}
	l.mu.RLock()
	defer l.mu.RUnlock()
	if err := l.inPlace(l.file); err != nil {
		return err
	}
	uids, handles := h.rows()
	return l.store.Erase(ctx, uids, handles)
}

// eraseBackup removes a student from a backup, whose place the rewritten one takes.
func eraseBackup(ctx context.Context, path string, h Held) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	temp := path + ".erasing"
	defer func() { _ = os.Remove(temp) }()
	if err := copyFile(path, temp); err != nil {
		return err
	}
	uids, handles := h.rows()
	if err := sqlite.EraseFrom(ctx, temp, uids, handles); err != nil {
		return err
	}
	if err := errors.Join(place.SyncFile(temp), os.Chtimes(temp, info.ModTime(), info.ModTime())); err != nil {
		return err
	}
	if err := place.Rename(temp, path); err != nil {
		return err
	}
	return place.SyncFolder(filepath.Dir(path))
}

// rows are what of the index is erased, as [Store] names it.
func (h *Held) rows() (uids, handles []string) {
	for _, e := range h.Lessons {
		uids = append(uids, e.uid)
	}
	return uids, h.handles
}
