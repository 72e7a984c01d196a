//go:build !linux

package video

func reserve(size int) ([]byte, error) { return make([]byte, size), nil }

func unreserve([]byte) {}
