package saver

import (
	"errors"
	"fmt"
	"path/filepath"

	"turngauge/annotations/place"
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

// lockFile takes the lock file at name for this process. It returns nil, nil where the
// file system has no locks.
func lockFile(name, document string) (*place.Lock, error) {
	lock, err := place.TryLock(name)
	var held *place.HeldError
	if errors.As(err, &held) {
		return nil, &InUseError{document, held.PID}
	}
	return lock, err
}

func lockName(path string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".lock")
}
