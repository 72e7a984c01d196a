package session

import (
	"fmt"
	"image"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/bench"
	"turngauge/video"
)

// decoding finds the processes that decode for this one (proc(5): /proc/PID/stat names
// the parent, /proc/PID/cmdline how a process was called).
func decoding(t *testing.T) (pids []int) {
	t.Helper()
	all, err := filepath.Glob("/proc/[0-9]*")
	require.NoError(t, err)
	for _, dir := range all {
		stat, err := os.ReadFile(filepath.Join(dir, "stat"))
		if err != nil {
			continue // it has ended meanwhile
		}
		name, _ := os.ReadFile(filepath.Join(dir, "cmdline"))
		var pid, parent int
		_, _ = fmt.Sscan(string(stat), &pid)
		_, rest, _ := strings.Cut(string(stat), ") ")
		_, _ = fmt.Sscan(rest[1:], &parent)
		if parent == os.Getpid() && strings.HasPrefix(string(name), "turngauge-apart-decoder") {
			pids = append(pids, pid)
		}
	}
	return pids
}

// TestTheCoachIsToldOfARestart kills the process that decodes an open clip: the frame that
// is asked for comes, and one sentence says why it came late.
func TestTheCoachIsToldOfARestart(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clip.mp4")
	w, err := video.Create(path, video.WriterOptions{Width: 320, Height: 180, RateNum: 120})
	require.NoError(t, err)
	for range 90 {
		require.NoError(t, w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 320, 180))))
	}
	require.NoError(t, w.Close())
	b := newBed(t)
	var warned []string
	b.env.Warn = func(n bench.Note) { warned = append(warned, string(n)) }
	src, err := video.Open(path)
	require.NoError(t, err)
	f := b.env.newFilm(src)
	defer f.close()
	s := b.open(marked(t))
	shown := func(n int) func() bool {
		return func() bool {
			f.Want(n)
			frame, err := f.Reader.Frame(n)
			require.NoError(t, err)
			if frame == nil {
				return false
			}
			frame.Release()
			return true
		}
	}
	b.until("the first frame", s, shown(0))
	pids := decoding(t)
	require.NotEmpty(t, pids)
	for _, pid := range pids {
		require.NoError(t, syscall.Kill(pid, syscall.SIGSEGV))
	}
	b.until("a frame that was not decoded yet", s, shown(89))
	b.until("the coach to be told", s, func() bool { return len(warned) > 0 })
	assert.Contains(t, warned[0], "stopped and was started again")
	assert.Empty(t, b.alerts)
}
