//go:build !unix

package video

func reserve(size int) ([]byte, error) { return make([]byte, size), nil }

func unreserve([]byte) {}
