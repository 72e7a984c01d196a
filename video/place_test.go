package video

import (
	"errors"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAFinishedClipReachesTheDisk looks at what a clip's writer brings to the
// disk, and when: the content before the clip has its name, the folder after.
// A name whose content was not written yet is an empty file after a loss of power
// (ext4(5), auto_da_alloc; rename(2) itself promises nothing).
func TestAFinishedClipReachesTheDisk(t *testing.T) {
	defer func(f func(*os.File) error) { fsync = f }(fsync)
	dir := t.TempDir()
	path := filepath.Join(dir, "clip.mp4")
	write := func() error {
		w, err := Create(path, WriterOptions{Width: 64, Height: 48, RateNum: 60})
		require.NoError(t, err)
		require.NoError(t, w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 64, 48))))
		return w.Close()
	}
	exists := func() bool { _, err := os.Stat(path); return err == nil }

	var synced []string
	fsync = func(f *os.File) error {
		synced = append(synced, f.Name())
		assert.Equal(t, f.Name() == dir, exists(), "the clip has its name while %s is brought to the disk", f.Name())
		return f.Sync()
	}
	require.NoError(t, write())
	assert.Equal(t, []string{path + ".part", dir}, synced)

	// A disk that fails only now must not cost the clip that was there.
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	failing := errors.New("input/output error")
	fsync = func(*os.File) error { return failing }
	require.ErrorIs(t, write(), failing)
	// Some tell only when a file is closed (close(2)); closed before, it can't be once more.
	fsync = (*os.File).Close
	require.ErrorIs(t, write(), os.ErrClosed)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	require.NoFileExists(t, path+".part")
}

// A link that lies at the name under which a clip grows is not written through.
func TestClipIsNotWrittenThroughALink(t *testing.T) {
	dir := t.TempDir()
	path, victim := filepath.Join(dir, "clip.mp4"), filepath.Join(dir, "victim")
	require.NoError(t, os.WriteFile(victim, []byte("theirs"), 0o600))
	require.NoError(t, os.Symlink(victim, path+".part"))
	w, err := Create(path, WriterOptions{Width: 64, Height: 48, RateNum: 60})
	require.NoError(t, err)
	require.NoError(t, w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 64, 48))))
	require.NoError(t, w.Close())
	data, err := os.ReadFile(victim)
	require.NoError(t, err)
	assert.Equal(t, "theirs", string(data))
	assert.FileExists(t, path)
}
