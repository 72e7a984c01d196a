package video

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
)

// fsync brings what a file or folder holds to the disk; tests put a failing disk
// in its place.
var fsync = (*os.File).Sync

// putInPlace gives a finished file in the same folder the name path, in place of
// what has it. The content is on the disk before the name is, and the name before
// putInPlace returns: a file system may otherwise keep the new name and lose the
// content it stands for when the power goes (rename(2) promises no order). The
// errors are those of the file system.
func putInPlace(finished, path string) error {
	if err := syncPath(finished); err != nil {
		return err
	}
	if err := os.Rename(finished, path); err != nil {
		return err
	}
	err := syncPath(filepath.Dir(path))
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		return nil // a file system whose folders can't be synced
	}
	return err
}

func syncPath(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(fsync(f), f.Close())
}
