package annotations

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// InUseError says that another window has a lesson open for changing.
type InUseError struct {
	Path string
	PID  string // of the other process; "" where it can't be told
}

// Error says what to do.
func (e *InUseError) Error() string {
	who := ""
	if e.PID != "" {
		who = " (process " + e.PID + ")"
	}
	return fmt.Sprintf("%s is open in another Turngauge window%s: close it there, then open it here", e.Path, who)
}

// lockFile takes the lock file at name for this process. The system gives it
// back when the process ends, however it ends. It returns nil, nil where the
// file system has no locks.
func lockFile(name, document string) (*os.File, error) {
	for {
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return nil, err
		}
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EWOULDBLOCK):
			pid, _ := io.ReadAll(io.LimitReader(f, 20))
			_ = f.Close()
			return nil, &InUseError{document, strings.TrimSpace(string(pid))}
		case err != nil:
			_ = f.Close()
			_ = os.Remove(name)
			return nil, nil
		}
		// The one who had it may have removed the name between our opening
		// and our locking: then this lock holds nobody off.
		held, err1 := f.Stat()
		named, err2 := os.Stat(name)
		if err1 == nil && err2 == nil && os.SameFile(held, named) {
			_ = f.Truncate(0)
			_, _ = fmt.Fprintf(f, "%d\n", os.Getpid()) // only for the message of another
			return f, nil
		}
		_ = f.Close()
	}
}

// unlockFile gives the lock back and removes its file.
func unlockFile(f *os.File) {
	if f != nil {
		_ = os.Remove(f.Name())
		_ = f.Close()
	}
}

func lockName(path string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".lock")
}
