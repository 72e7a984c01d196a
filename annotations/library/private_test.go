//go:build unix

package library

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/place"
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

// TestIndexThroughALinkOfAnother: another's link to a database of the user's is not made a
// library; the user's own leads to the library as before.
func TestIndexThroughALinkOfAnother(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give a link to another user")
	}
	ctx, dir := context.Background(), t.TempDir()
	victim, folder := filepath.Join(dir, "theirs.db"), filepath.Join(dir, "library")
	require.NoError(t, os.MkdirAll(folder, 0o700))
	db, err := sql.Open("sqlite", victim)
	require.NoError(t, err)
	_, err = db.Exec("CREATE TABLE something (more TEXT)")
	require.NoError(t, errors.Join(err, db.Close()))
	before, err := os.ReadFile(victim)
	require.NoError(t, err)
	index := filepath.Join(folder, indexName)
	require.NoError(t, os.Symlink(victim, index))
	require.NoError(t, os.Lchown(index, 12345, 12345))
	_, err = Open(ctx, folder)
	var link *place.LinkError
	require.ErrorAs(t, err, &link)
	after, err := os.ReadFile(victim)
	require.NoError(t, err)
	assert.Equal(t, before, after)

	require.NoError(t, os.Remove(index))
	elsewhere := openAt(t, filepath.Join(dir, "elsewhere"))
	require.NoError(t, elsewhere.Close())
	require.NoError(t, os.Symlink(elsewhere.index(), index))
	l, err := Open(ctx, folder)
	require.NoError(t, err)
	require.NoError(t, l.Close())
}
