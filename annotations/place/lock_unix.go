//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package place

import (
	"errors"
	"os"
	"syscall"
)

// flock locks an open file, and reports whether another has it; the error says that
// there are no locks here.
func flock(f *os.File) (held bool, err error) {
	err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return true, nil
	}
	return false, err
}
