package sandbox

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// MakeMemory makes memory of so many bytes, for one user, and the file by which another
// process can map it; close that.
func MakeMemory(size int) (*Memory, *os.File, error) {
	fd, err := unix.MemfdCreate("memory", unix.MFD_CLOEXEC|unix.MFD_ALLOW_SEALING)
	if err != nil {
		return nil, nil, os.NewSyscallError("memfd_create", err)
	}
	f := os.NewFile(uintptr(fd), "memory")
	m := &Memory{}
	m.users.Store(1)
	err = f.Truncate(int64(size))
	if err == nil {
		_, err = unix.FcntlInt(uintptr(fd), unix.F_ADD_SEALS, unix.F_SEAL_SHRINK|unix.F_SEAL_GROW|unix.F_SEAL_SEAL)
	}
	if err == nil {
		m.bytes, err = unix.Mmap(fd, 0, size, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return m, f, nil
}

// MapMemory maps what came as an open file, of at most so many bytes, for one user.
// The file may be closed afterwards.
func MapMemory(f *os.File, most int64) (*Memory, error) {
	raw, err := f.SyscallConn()
	if err != nil {
		return nil, err
	}
	m := &Memory{}
	m.users.Store(1)
	failed := errMemory
	err = raw.Control(func(fd uintptr) {
		// Were it cut off later, reading it would be a bus error.
		seals, err := unix.FcntlInt(fd, unix.F_GET_SEALS, 0)
		if err != nil || seals&unix.F_SEAL_SHRINK == 0 {
			return
		}
		var stat unix.Stat_t
		if err := unix.Fstat(int(fd), &stat); err != nil || stat.Size <= 0 || stat.Size > most {
			return
		}
		m.bytes, failed = unix.Mmap(int(fd), 0, int(stat.Size), unix.PROT_READ, unix.MAP_SHARED)
	})
	return m, errors.Join(err, failed)
}

func unmap(bytes []byte) { _ = unix.Munmap(bytes) } // of a mapping that is there
