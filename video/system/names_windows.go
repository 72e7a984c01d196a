package system

import (
	"errors"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// patience is how long a file that another program has open is tried again; scanners and
// indexers look into what is new, for a moment.
const patience = 2 * time.Second

// Rename gives a file another name, in place of what has that.
func Rename(from, to string) error {
	until := time.Now().Add(patience)
	for wait := time.Millisecond; ; wait *= 2 {
		err := os.Rename(from, to)
		busy := errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_ACCESS_DENIED)
		if !busy || time.Now().Add(wait).After(until) {
			return err
		}
		time.Sleep(wait)
	}
}

// OpenToSync opens a file or a folder that is to be brought to the disk; nil where the
// system needs no such thing: names are in the journal of NTFS. It takes the right to write.
func OpenToSync(path string) (*os.File, error) {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil, nil
	}
	return os.OpenFile(path, os.O_RDWR, 0)
}
