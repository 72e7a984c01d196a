//go:build unix

package xtest

import (
	"os"
	"syscall"
)

// waitFor locks a file until it is closed.
func waitFor(lock *os.File) error { return syscall.Flock(int(lock.Fd()), syscall.LOCK_EX) }
