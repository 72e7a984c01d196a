// Package place puts files into their place in one step. A reader, or a machine
// that loses its power, finds either what was there or what is new, never a part:
// the content goes to a temporary file in the same folder, to the disk, and then
// takes the name.
//
// Errors are those of the file system.
package place

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"unicode"
)

// File makes what r holds the content of path. The permissions of a file that is
// there are kept, and of a link its target is replaced, not the link.
func File(path string, r io.Reader) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mode := fs.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	return put(path, mode, r, os.Rename)
}

// Bytes is [File] of what is in memory.
func Bytes(path string, data []byte) error { return File(path, bytes.NewReader(data)) }

// New is [File] where nothing may be replaced: a file that is there already is
// left alone, and the error is [fs.ErrExist].
func New(path string, r io.Reader) error { return put(path, 0o644, r, link) }

// link gives a file another name that must be free. A link never takes the place
// of another file. Some memory cards know no links: there the name is taken first.
func link(temp, path string) error {
	err := os.Link(temp, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Close(), os.Rename(temp, path)); err != nil {
		_ = os.Remove(path) // the empty one
		return err
	}
	return nil
}

func put(path string, mode fs.FileMode, r io.Reader, name func(temp, path string) error) error {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, prefix(path)+"*"+suffix)
	if err != nil {
		return err
	}
	defer func() { _ = os.Remove(f.Name()) }() // gone already where all went well
	err = f.Chmod(mode)
	if errors.Is(err, syscall.ENOTSUP) || errors.Is(err, fs.ErrPermission) {
		err = nil // file systems without modes refuse with one of these two
	}
	if err == nil {
		_, err = io.Copy(f, r)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	if err := name(f.Name(), path); err != nil {
		return err
	}
	return SyncFolder(dir)
}

// SyncFolder makes new names in dir survive a loss of power.
func SyncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		err = nil // a file system that has no such thing
	}
	return errors.Join(err, d.Close())
}

// A temporary file is called .NAME.number.tmp; of a long name only the beginning.
const (
	suffix   = ".tmp"
	longName = 100 // bytes; names of files have at most 255
)

func prefix(path string) string {
	name := filepath.Base(path)
	return "." + name[:min(len(name), longName)] + "."
}

// Sweep deletes the temporary files that a killed program left beside path.
func Sweep(path string) {
	dir := filepath.Dir(path)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return // then nothing can be left there that could be removed
	}
	for _, e := range entries {
		if n := e.Name(); e.Type().IsRegular() && strings.HasPrefix(n, prefix(path)) && strings.HasSuffix(n, suffix) {
			_ = os.Remove(filepath.Join(dir, n))
		}
	}
}

// IsFolder reports whether a path is a folder; what can't be looked at is taken for a
// file, whose opening then says why.
func IsFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// FreeName returns path or, where that is taken, one beside it with a number
// behind its name. Taken is also a name under which a file with one of the other
// endings lies, such as ".pdf", so that what belongs together gets one name.
func FreeName(path string, endings ...string) string {
	ext := filepath.Ext(path)
	stem := strings.TrimSuffix(path, ext)
	endings = append(endings, ext)
	taken := func(stem string) bool {
		return slices.ContainsFunc(endings, func(e string) bool {
			_, err := os.Lstat(stem + e)
			return err == nil // of a folder that can't be read, writing says why
		})
	}
	free := stem
	for n := 2; taken(free); n++ {
		free = fmt.Sprintf("%s (%d)", stem, n)
	}
	return free + ext
}

const longestSafe = 80 // characters

// SafeName returns a text as a file may be named on all systems, "" where nothing
// is left of it.
func SafeName(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, s)
	r := []rune(strings.Trim(strings.Join(strings.Fields(s), " "), " ."))
	return strings.Trim(string(r[:min(len(r), longestSafe)]), " .")
}

// Missing reports whether nothing lies at a path; what can't be looked at is
// taken to be there.
func Missing(path string) bool {
	_, err := os.Stat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// NearestFolder is the folder that a path lies in, or the nearest above it that
// is there.
func NearestFolder(path string) string {
	dir := filepath.Dir(path)
	for Missing(dir) && dir != filepath.Dir(dir) {
		dir = filepath.Dir(dir)
	}
	return dir
}
