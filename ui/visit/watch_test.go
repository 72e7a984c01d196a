package visit

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWatcher: what was there before is left alone, what grows is waited for, two clips
// go together, and one goes alone once no other has come for a while.
func TestWatcher(t *testing.T) {
	dir := t.TempDir()
	put := func(name string, bytes int) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, make([]byte, bytes), 0o600))
		return path
	}
	put("old.mp4", 10)
	before, err := Clips(dir)
	require.NoError(t, err)
	w := NewWatcher(dir, before)
	now := time.Date(2026, 11, 30, 12, 0, 0, 0, time.UTC)
	poll := func(after time.Duration) []string {
		now = now.Add(after)
		ready, err := w.Poll(now)
		require.NoError(t, err)
		return ready
	}
	assert.Empty(t, poll(0))
	a := put("a.mov", 0)
	put("notes.txt", 5)
	assert.Empty(t, poll(time.Second))
	assert.Empty(t, poll(time.Hour), "an empty file is one that is still to be written")
	put("a.mov", 100)
	assert.Empty(t, poll(time.Second))
	b := put("b.MP4", 50)
	assert.Empty(t, poll(settledFor), "the second one has only just come")
	put("b.MP4", 80)
	assert.Empty(t, poll(settledFor), "it grows")
	assert.Equal(t, []string{a, b}, poll(settledFor))
	assert.Empty(t, poll(time.Hour), "each once")
	c := put("c.mp4", 7)
	assert.Empty(t, poll(time.Second))
	assert.Empty(t, poll(settledFor), "the other view may be on its way")
	assert.Equal(t, []string{c}, poll(aloneFor))
	require.NoError(t, os.RemoveAll(dir))
	_, err = w.Poll(now)
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// TestWatcherStops ends with its context, and tells of a folder that has gone once.
func TestWatcherStops(t *testing.T) {
	w := NewWatcher(t.TempDir(), nil)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	w.Run(ctx, func([]string) { t.Error("nothing has come") }, func(err error) { t.Error(errors.Unwrap(err)) })
}
