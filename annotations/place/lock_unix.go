//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package place

import (
	"errors"
	"fmt"
	"io"
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

func tryLock(path string) (*Lock, error) {
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

func (l *Lock) release() {
	_ = os.Remove(l.file.Name())
	_ = l.file.Close()
}
