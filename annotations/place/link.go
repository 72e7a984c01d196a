package place

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// LinkError says that a name is a link that another user made, or one that leads in a
// circle. What it leads to is left alone.
type LinkError struct{ Path string }

// Error says what to do.
func (e *LinkError) Error() string {
	return fmt.Sprintf("%s is a link that is not your own: it is not followed. Delete it, or choose another name", e.Path)
}

// mostLinks is how many links may lead to one another; Linux follows as many.
const mostLinks = 40

// Target returns where the links at path lead, path itself where it is none. Only links
// that the user made are followed: one that is planted in a folder that others write to
// would have a file of the user's overwritten or read out. The folders on the way are
// not looked at. The error is a *LinkError.
func Target(path string) (string, error) {
	for range mostLinks {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return path, nil // of what can't be looked at, reading or writing says why
		}
		if !ownedByUser(info) {
			return "", &LinkError{path}
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", &LinkError{path}
}

// Errors of [Open] and [Read].
var (
	ErrNotRegular = errors.New("it is not a plain file")
	ErrTooLarge   = errors.New("it is too large")
)

// Open opens a plain file for reading. A pipe or a device, which may keep a reader
// waiting for ever, is refused with an error that wraps [ErrNotRegular].
func Open(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|noWait, 0)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = &fs.PathError{Op: "open", Path: path, Err: ErrNotRegular}
	}
	if err != nil {
		_ = f.Close()
		return nil, err
	}
	return f, nil
}

// Read reads a plain file of at most so many bytes; the error of a longer one wraps
// [ErrTooLarge].
func Read(path string, most int64) ([]byte, error) {
	f, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(data)) > most {
		err = &fs.PathError{Op: "read", Path: path, Err: ErrTooLarge}
	}
	if err != nil {
		return nil, err
	}
	return data, nil
}
