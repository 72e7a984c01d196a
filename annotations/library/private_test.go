package library

import (
	"context"
	"io/fs"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

// TestLibraryIsForItsOwnerAlone makes every kind of file a library has, at a umask that
// forbids nothing.
func TestLibraryIsForItsOwnerAlone(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0))
	ctx, dir := context.Background(), t.TempDir()
	root := filepath.Join(dir, "data", "library")
	l := openAt(t, root)
	path := filepath.Join(dir, "data", "a.json")
	key := record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02", func(*annotations.Lesson) {}))
	require.NoError(t, l.Backup(ctx))
	zip, _ := exported(t, true)
	_, err := l.ImportZip(ctx, zip, filepath.Join(dir, "data", "lessons"), ImportOptions{})
	require.NoError(t, err)
	require.NoError(t, l.Delete(ctx, key))
	seen := 0
	require.NoError(t, filepath.WalkDir(filepath.Join(dir, "data"), func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := d.Info()
		require.NoError(t, err)
		seen++
		assert.Zero(t, info.Mode().Perm()&0o077, "%s %s", path, info.Mode())
		return nil
	}))
	assert.Greater(t, seen, 12)
}
