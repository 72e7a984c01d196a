//go:build linux

package video

import "syscall"

const (
	hugePage   = 2 << 20
	adviseHuge = 14 // MADV_HUGEPAGE
)

// reserve gets memory outside the Go heap, so that the cache neither delays
// nor is doubled by the garbage collector.
func reserve(size int) ([]byte, error) {
	b, err := syscall.Mmap(-1, 0, size, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_ANON|syscall.MAP_PRIVATE)
	if err == nil && size >= hugePage {
		_ = syscall.Madvise(b, adviseHuge) // only a wish: fewer, larger pages are quicker to fill
	}
	return b, err
}

func unreserve(b []byte) { _ = syscall.Munmap(b) }
