package place

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"
)

// Lock is a file that only one opening at a time holds, in this process or another. The
// system gives it back when the process ends, however it ends.
type Lock struct{ file *os.File }

// HeldError says that another has the lock.
type HeldError struct {
	PID string // of the other process; "" where it can't be told
}

// Error names the other process.
func (e *HeldError) Error() string {
	if e.PID == "" {
		return "it is in use"
	}
	return "it is in use by process " + e.PID
}

// openLock opens the file at path, or makes it. A link that lies there is not followed,
// and a file with another name besides is left alone: what is written to a lock would
// else destroy what they stand for.
func openLock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|noFollow|noWait, 0o600)
	if err != nil {
		if info, statErr := os.Lstat(path); statErr == nil && info.Mode()&fs.ModeSymlink != 0 {
			err = &NotLockError{path}
		}
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && (!info.Mode().IsRegular() || hasOtherNames(info)) {
		err = &NotLockError{path}
	}
	if err != nil {
		_ = f.Close()
		return nil, err
	}
	return f, nil
}

// NotLockError says that what lies at the name of a lock is none: a link, or no plain
// file. It is left alone.
type NotLockError struct{ Path string }

// Error says what to do.
func (e *NotLockError) Error() string {
	return e.Path + " is a link or no plain file, and this program did not make it: delete it"
}

// TryLock takes the lock file at path, which is made if need be, without waiting. The
// error is a *HeldError where another has it, a *NotLockError where something else lies
// there, else that of making the file. Where the file system or the operating system has
// no locks, the lock is nil, and holds nobody off.
func TryLock(path string) (*Lock, error) {
	for {
		f, err := openLock(path)
		if err != nil {
			return nil, err
		}
		held, err := flock(f)
		switch {
		case held:
			pid, _ := io.ReadAll(io.LimitReader(f, 20))
			_ = f.Close()
			return nil, &HeldError{processID(pid)}
		case err != nil:
			_ = f.Close()
			_ = os.Remove(path)
			return nil, nil
		}
		// The one who had it may have removed the name between our opening
		// and our locking: then this lock holds nobody off.
		ours, err1 := f.Stat()
		named, err2 := os.Lstat(path)
		if err1 == nil && err2 == nil && os.SameFile(ours, named) {
			_ = f.Truncate(0)
			_, _ = fmt.Fprintf(f, "%d\n", os.Getpid()) // only for the message of another
			return &Lock{f}, nil
		}
		_ = f.Close()
	}
}

// processID returns the number in the text of a lock, "" where there is none.
func processID(text []byte) string {
	n, err := strconv.ParseUint(strings.TrimSpace(string(text)), 10, 32)
	if err != nil {
		return ""
	}
	return strconv.FormatUint(n, 10)
}

// Unlock gives the lock back and removes its file. A nil lock has none.
func (l *Lock) Unlock() {
	if l != nil {
		_ = os.Remove(l.file.Name())
		_ = l.file.Close()
	}
}
