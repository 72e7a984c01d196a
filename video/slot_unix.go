//go:build unix

package video

import "syscall"

// reserve gets memory outside the Go heap, so that the cache neither delays
// nor is doubled by the garbage collector.
func reserve(size int) ([]byte, error) {
	return syscall.Mmap(-1, 0, size, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_ANON|syscall.MAP_PRIVATE)
}

func unreserve(b []byte) { _ = syscall.Munmap(b) }
