package video

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"turngauge/video/system"
)

// fsync brings what a file or folder holds to the disk; tests put a failing disk
// in its place.
var fsync = (*os.File).Sync

// claim makes an empty file at path, in place of one that was left there, and no link
// that another user put there is written through. Tests put something else in its place.
var claim = func(path string) (*os.File, error) {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
}

// putInPlace gives a finished file in the same folder the name path, in place of
// what has it. The content is on the disk before the name is, and the name before
// putInPlace returns: a file system may otherwise keep the new name and lose the
// content it stands for when the power goes (rename(2) promises no order). The
// errors are those of the file system.
func putInPlace(finished, path string) error {
	if err := syncPath(finished); err != nil {
		return err
	}
	if err := system.Rename(finished, path); err != nil {
		return err
	}
	err := syncPath(filepath.Dir(path))
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		return nil // a file system whose folders can't be synced
	}
	return err
}

func syncPath(path string) error {
	f, err := system.OpenToSync(path)
	if err != nil || f == nil {
		return err
	}
	return errors.Join(fsync(f), f.Close())
}
