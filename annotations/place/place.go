// Package place puts files into their place in one step. A reader, or a machine
// that loses its power, finds either what was there or what is new, never a part:
// the content goes to a temporary file in the same folder, to the disk, and then
// takes the name.
//
// Errors are those of the file system.
package place

import (
	"bytes"
	"crypto/rand"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"unicode/utf8"
)

// access is who may do what with a new file.
type access struct {
	mode  fs.FileMode
	exact bool // at any umask
}

// Personal files are for their owner alone, at any umask; what is made to be handed on
// is as open as the umask lets it be.
var personal, shared = access{0o600, true}, access{0o644, false}

// File makes what r holds the content of path, for its owner alone. The permissions of
// a file that is there are kept, and of a link that is the user's own its target is
// replaced, not the link; any other link is left alone, with a [*LinkError].
func File(path string, r io.Reader) error { return replace(path, personal, r) }

// Bytes is [File] of what is in memory.
func Bytes(path string, data []byte) error { return File(path, bytes.NewReader(data)) }

// Shared is [File] of what is made for others to read, such as an export.
func Shared(path string, r io.Reader) error { return replace(path, shared, r) }

// New is [File] where nothing may be replaced: a file that is there already is
// left alone, and the error is [fs.ErrExist].
func New(path string, r io.Reader) error { return put(path, personal, r, link) }

// NewShared is [New] of what is made for others to read.
func NewShared(path string, r io.Reader) error { return put(path, shared, r, link) }

// Folder makes a folder, and those above it, for the user alone. Those that are there
// stay as they are.
func Folder(path string) error { return os.MkdirAll(path, 0o700) }

func replace(path string, a access, r io.Reader) error {
	if _, err := Target(path); err != nil {
		return err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() {
		a = access{info.Mode().Perm(), true}
	}
	return put(path, a, r, Rename)
}

// link gives a file another name that must be free. A link never takes the place
// of another file. Some memory cards know no links: there the name is taken first.
func link(temp, path string) error {
	err := os.Link(temp, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, personal.mode)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Close(), Rename(temp, path)); err != nil {
		_ = os.Remove(path) // the empty one
		return err
	}
	return nil
}

func put(path string, a access, r io.Reader, name func(temp, path string) error) error {
	dir := filepath.Dir(path)
	f, err := temporary(dir, prefix(path), a.mode)
	if err != nil {
		return err
	}
	defer func() { _ = os.Remove(f.Name()) }() // gone already where all went well
	if a.exact {
		err = f.Chmod(a.mode)
	}
	if errors.Is(err, syscall.ENOTSUP) || errors.Is(err, fs.ErrPermission) {
		err = nil // file systems without modes refuse with one of these two
	}
	if err == nil {
		_, err = io.Copy(f, r)
	}
	if err == nil {
		err = Finish(f)
	} else {
		_ = f.Close() // it did not become whole
	}
	if err != nil {
		return err
	}
	if err := name(f.Name(), path); err != nil {
		return err
	}
	return SyncFolder(dir)
}

// fsync brings a file to the disk; tests put a failing disk in its place.
var fsync = (*os.File).Sync

func syncOpened(f *os.File, err error) error {
	if err != nil {
		return err
	}
	return Finish(f)
}

// Finish brings a file to the disk and closes it. A file system of a network may tell only
// at the end that what was written did not arrive (close(2)).
func Finish(f *os.File) error { return errors.Join(fsync(f), f.Close()) }

// chance is a text that nobody can foresee; tests put one in its place that they can.
var chance = rand.Text

// temporary makes a file of a name that nobody can foresee and that must be free, so
// that no link can lie in wait there.
func temporary(dir, prefix string, mode fs.FileMode) (*os.File, error) {
	for tries := 0; ; tries++ {
		path := filepath.Join(dir, prefix+chance()+suffix)
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, mode)
		if !errors.Is(err, fs.ErrExist) || tries == 100 {
			return f, err
		}
	}
}

// A temporary file is called .NAME.number.tmp; of a long name only the beginning.
const (
	suffix   = ".tmp"
	longName = 100 // bytes; names of files have at most 255
)

func prefix(path string) string {
	return "." + cut(filepath.Base(path), longName) + "."
}

// cut returns as many whole characters of s as fit into so many bytes.
func cut(s string, most int) string {
	if len(s) <= most {
		return s
	}
	for most > 0 && !utf8.RuneStart(s[most]) {
		most--
	}
	return s[:most]
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
