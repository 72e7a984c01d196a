package place

import (
	"errors"
	"io/fs"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// ErrNoRoom says that a disk is full.
var ErrNoRoom error = windows.ERROR_DISK_FULL

// reasons are the usual ones why a file can't be written, as the coach is told.
var reasons = []reason{
	{windows.ERROR_DISK_FULL, full},
	{windows.ERROR_HANDLE_DISK_FULL, full},
	{windows.ERROR_DISK_QUOTA_EXCEEDED, quota},
	{windows.ERROR_WRITE_PROTECT, readOnly},
	{windows.ERROR_SHARING_VIOLATION, busy},
	{windows.ERROR_LOCK_VIOLATION, busy},
	{windows.ERROR_NOT_READY, gone},
	{windows.ERROR_BAD_NETPATH, gone},
	{windows.ERROR_NETNAME_DELETED, gone},
	{windows.ERROR_DIRECTORY, gone},
	{windows.ERROR_IO_DEVICE, faulty},
	{windows.ERROR_CRC, faulty},
	{fs.ErrPermission, notAllowed},
	{fs.ErrNotExist, gone},
}

const busy = "another program holds the file open; close it there and try again"

// Who owns a link is not asked here: making one is a right that accounts of coaches and of
// strangers don't have.
func ownedByUser(fs.FileInfo) bool { return true }

// noWait is nothing here: what lies in a folder keeps no reader waiting.
const noWait = 0

// patience is how long a file that another program has open is tried again; scanners and
// indexers look into what is new, for a moment.
const patience = 2 * time.Second

// Rename gives a file another name, in place of what has that.
func Rename(from, to string) error {
	until := time.Now().Add(patience)
	for wait := time.Millisecond; ; wait *= 2 {
		err := os.Rename(from, to)
		if err == nil || !isBusy(err) || IsFolder(to) || time.Now().Add(wait).After(until) {
			return err
		}
		time.Sleep(wait)
	}
}

func isBusy(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION) ||
		errors.Is(err, windows.ERROR_ACCESS_DENIED)
}

// SyncFile brings a file to the disk, which takes the right to write it.
func SyncFile(path string) error { return syncOpened(os.OpenFile(path, os.O_RDWR, 0)) }

// OpenCanGo: a file that a program has open can be neither removed nor given another name.
const OpenCanGo = false

// SyncFolder makes new names in dir survive a loss of power. The journal of NTFS has them,
// and there is no call for it.
func SyncFolder(string) error { return nil }

// FreeBytes returns how much room the disk of a folder has for this user; false where
// that can't be told.
func FreeBytes(dir string) (uint64, bool) {
	name, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, false
	}
	var free uint64
	err = windows.GetDiskFreeSpaceEx(name, &free, nil, nil)
	return free, err == nil
}
