// Package faultfs gives tests a file system of their own that fails when they want
// it to, and shows what a piece of the program had it write for good. Nothing but
// tests imports it.
package faultfs

import (
	"errors"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// asked names the variable that tells a test run where to mount its disk.
const asked = "TURNGAUGE_TEST_DISK"

// Mounted returns the folder of a disk of a size in words of tmpfs(5), such as
// "256k". It can be had in a name space of its own only, for which the calling
// test is run again by another process: there Mounted returns the folder, and
// here "" once that has passed and said what it found with the word in found.
// Where the system does not let programs mount, the test is skipped.
func Mounted(t *testing.T, size, found string, flags ...string) string {
	t.Helper()
	if disk := os.Getenv(asked); disk != "" {
		require.NoError(t, syscall.Mount("none", disk, "tmpfs", 0, "size="+size))
		return disk
	}
	cmd := exec.Command(os.Args[0], append([]string{"-test.run", "^" + t.Name() + "$", "-test.v"}, flags...)...)
	cmd.Env = append(os.Environ(), asked+"="+t.TempDir())
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	out, err := cmd.CombinedOutput()
	if errors.Is(err, syscall.EPERM) || errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EINVAL) || strings.Contains(string(out), syscall.EPERM.Error()) {
		t.Skip("this system does not let programs mount a disk of their own")
	}
	require.NoError(t, err, "%s", out)
	said := false
	for line := range strings.Lines(string(out)) {
		if strings.Contains(line, found) {
			t.Log(strings.TrimSpace(line))
			said = true
		}
	}
	require.True(t, said, "%s", out)
	return ""
}

// Fill writes a file until only so many bytes of its disk are free.
func Fill(ballast string, leave int) error {
	f, err := os.Create(ballast)
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }()
	block := make([]byte, 4096)
	size := int64(0)
	for {
		n, err := f.Write(block)
		size += int64(n)
		if errors.Is(err, syscall.ENOSPC) {
			return f.Truncate(max(size-int64(leave), 0))
		}
		if err != nil {
			return err
		}
	}
}
