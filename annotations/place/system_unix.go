//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package place

import (
	"errors"
	"os"
	"syscall"
)

// ErrNoRoom says that a disk is full.
var ErrNoRoom error = syscall.ENOSPC

// reasons are the usual ones why a file can't be written, as the coach is told.
var reasons = []reason{
	{syscall.ENOSPC, full},
	{syscall.EDQUOT, quota},
	{syscall.EROFS, readOnly},
	{syscall.EACCES, notAllowed},
	{syscall.EPERM, notAllowed},
	{syscall.ENOENT, gone},
	{syscall.ENOTDIR, gone},
	{syscall.EIO, faulty},
}

// Rename gives a file another name, in place of what has that.
func Rename(from, to string) error { return os.Rename(from, to) }

// SyncFile brings a file to the disk.
func SyncFile(path string) error { return syncOpened(os.Open(path)) }

// OpenCanGo: a file that a program has open can be removed, and given another name.
const OpenCanGo = true

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
