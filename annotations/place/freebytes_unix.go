//go:build linux || darwin

package place

import "syscall"

// FreeBytes returns how much room the disk of a folder has for this user; false where
// that can't be told.
func FreeBytes(dir string) (uint64, bool) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
}
