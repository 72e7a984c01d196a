package annotations

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// Save writes the document of l to path. A reader, or a machine that loses
// its power, finds either the document that was there or the new one, never a
// part: the document goes to a temporary file in the same folder, to the disk,
// and then takes the name. The error is a sentence for the coach.
func Save(path string, l *Lesson) error {
	data, err := l.Encode()
	if err != nil {
		return err
	}
	if err := replaceFile(path, data); err != nil {
		return fmt.Errorf("the lesson can't be saved as %s: %w", path, Explain(err))
	}
	return nil
}

// replaceFile makes data the content of path in one step.
func replaceFile(path string, data []byte) (err error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // replace the document, not the link to it
	}
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, tempPrefix(path)+"*"+tempSuffix)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = f.Close()
			_ = os.Remove(f.Name())
		}
	}()
	mode := fs.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	if err := f.Chmod(mode); err != nil && !errors.Is(err, syscall.ENOTSUP) && !errors.Is(err, fs.ErrPermission) {
		return err // file systems without modes refuse with one of these two
	}
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncFolder(dir)
}

// syncFolder makes a rename in dir survive a loss of power.
func syncFolder(dir string) error {
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

const tempSuffix = ".tmp"

func tempPrefix(path string) string { return "." + filepath.Base(path) + "." }

// removeTemps deletes temporary files that a killed program left beside path.
func removeTemps(path string) {
	dir := filepath.Dir(path)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return // then nothing can be left there that could be removed
	}
	for _, e := range entries {
		if n := e.Name(); e.Type().IsRegular() && strings.HasPrefix(n, tempPrefix(path)) && strings.HasSuffix(n, tempSuffix) {
			_ = os.Remove(filepath.Join(dir, n))
		}
	}
}

// plainError is a sentence in place of an error of the file system, which it
// still wraps.
type plainError struct {
	text  string
	cause error
}

func (e *plainError) Error() string { return e.text }
func (e *plainError) Unwrap() error { return e.cause }

// Explain puts the usual reasons why a file can't be written into words.
func Explain(err error) error {
	for _, r := range []struct {
		is   error
		text string
	}{
		{syscall.ENOSPC, "the disk is full; make room on it"},
		{syscall.EDQUOT, "your share of the disk is used up; make room on it"},
		{syscall.EROFS, "the disk is read-only; choose another folder"},
		{syscall.EACCES, "you may not write in this folder; choose another one"},
		{syscall.EPERM, "you may not write in this folder; choose another one"},
		{syscall.ENOENT, "the folder is not there any more"},
		{syscall.ENOTDIR, "the folder is not there any more"},
		{syscall.EIO, "the disk reports a fault; save to another one"},
	} {
		if errors.Is(err, r.is) {
			return &plainError{r.text, err}
		}
	}
	return err
}
