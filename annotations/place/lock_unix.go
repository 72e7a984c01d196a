//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package place

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// noFollow has the opening of a link fail; noWait has that of a pipe not wait for its
// other end.
const noFollow, noWait = syscall.O_NOFOLLOW, syscall.O_NONBLOCK

// ownedByUser reports whether a file, or a link itself, is the user's.
func ownedByUser(info fs.FileInfo) bool {
	s, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(s.Uid) == os.Geteuid()
}

// hasOtherNames reports whether a file lies elsewhere, too.
func hasOtherNames(info fs.FileInfo) bool {
	s, ok := info.Sys().(*syscall.Stat_t)
	return ok && s.Nlink > 1
}

// flock locks an open file, and reports whether another has it; the error says that
// there are no locks here.
func flock(f *os.File) (held bool, err error) {
	err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return true, nil
	}
	return false, err
}
