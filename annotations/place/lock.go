package place

import (
	"fmt"
	"io"
	"os"
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

// TryLock takes the lock file at path, which is made if need be, without waiting. The
// error is a *HeldError where another has it, else that of making the file. Where the
// file system or the operating system has no locks, the lock is nil, and holds nobody off.
func TryLock(path string) (*Lock, error) {
	for {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return nil, err
		}
		held, err := flock(f)
		switch {
		case held:
			pid, _ := io.ReadAll(io.LimitReader(f, 20))
			_ = f.Close()
			return nil, &HeldError{strings.TrimSpace(string(pid))}
		case err != nil:
			_ = f.Close()
			_ = os.Remove(path)
			return nil, nil
		}
		// The one who had it may have removed the name between our opening
		// and our locking: then this lock holds nobody off.
		ours, err1 := f.Stat()
		named, err2 := os.Stat(path)
		if err1 == nil && err2 == nil && os.SameFile(ours, named) {
			_ = f.Truncate(0)
			_, _ = fmt.Fprintf(f, "%d\n", os.Getpid()) // only for the message of another
			return &Lock{f}, nil
		}
		_ = f.Close()
	}
}

// Unlock gives the lock back and removes its file. A nil lock has none.
func (l *Lock) Unlock() {
	if l != nil {
		_ = os.Remove(l.file.Name())
		_ = l.file.Close()
	}
}
