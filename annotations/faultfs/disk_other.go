//go:build !linux

package faultfs

import "testing"

// Mounted skips the test: a disk of its own is for Linux.
func Mounted(t *testing.T, _, _ string, _ ...string) string {
	t.Skip("a disk that is mounted for a test is for Linux")
	return ""
}

// Fill is for such a disk.
func Fill(string, int) error { panic("no disk was mounted") }
