package place

import (
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
func TryLock(path string) (*Lock, error) { return tryLock(path) }

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
		l.release()
	}
}
