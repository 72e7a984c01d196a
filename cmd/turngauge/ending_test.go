package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/x11/xtest"
)

// endless is a file that looks like a clip and goes on for 200 GB with nothing.
func endless(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "endless.ts")
	packet := append([]byte{0x47, 0x40, 0x00, 0x10}, make([]byte, 184)...)
	require.NoError(t, os.WriteFile(path, bytes.Repeat(packet, 40), 0o600))
	require.NoError(t, os.Truncate(path, 200<<30))
	return path
}

// ended tells a program to end and waits for it. It has a second; a program that waits
// for the end of the file takes minutes.
func ended(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	start := time.Now()
	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	done := make(chan struct{})
	go func() {
		_ = cmd.Wait()
		close(done)
	}()
	select {
	case <-done:
		t.Logf("ended after %v", time.Since(start).Round(time.Millisecond))
	case <-time.After(40 * time.Second): // a machine may be slow to end a process that reads
		_ = cmd.Process.Kill()
		t.Fatal("it is still running")
	}
}

// TestToldToEndItEnds sends SIGTERM to commands, and to the window, while they read a
// file that has no end.
func TestToldToEndItEnds(t *testing.T) {
	t.Parallel()
	clip := endless(t)
	l, _, err := annotations.Load(marked)
	require.NoError(t, err)
	l = l.Clone()
	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].File = clip
	}
	home := t.TempDir()
	lesson := filepath.Join(home, "lesson.json")
	require.NoError(t, annotations.Save(lesson, l))
	begin := func(env []string, args ...string) *exec.Cmd {
		cmd := exec.Command(os.Args[0], args...)
		cmd.Env = append(append(os.Environ(), "TURNGAUGE_TEST_RUN=1", "XDG_DATA_HOME="+home, "XDG_STATE_HOME="+home, "XDG_CONFIG_HOME="+home), env...)
		require.NoError(t, cmd.Start())
		t.Cleanup(func() { _ = cmd.Process.Kill() })
		return cmd
	}
	for _, args := range [][]string{
		{"probe", clip}, {"curves", lesson}, {"export", lesson, "--clips", "--out", filepath.Join(home, "x.zip")},
	} {
		cmd := begin(nil, args...)
		time.Sleep(time.Second)
		require.NoError(t, cmd.Process.Signal(syscall.Signal(0)), "%s is at it", args[0])
		ended(t, cmd)
	}
	display := xtest.Start(t, 1600, 1000)
	cmd := begin([]string{"DISPLAY=" + display}, lesson)
	lock := filepath.Join(home, ".lesson.json.lock")
	require.Eventually(t, func() bool { _, err := os.Stat(lock); return err == nil }, 30*time.Second, 50*time.Millisecond)
	time.Sleep(2 * time.Second)
	ended(t, cmd)
	_, _, err = annotations.Load(lesson)
	assert.NoError(t, err)
}
