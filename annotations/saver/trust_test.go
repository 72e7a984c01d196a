//go:build unix

package saver

import (
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/annotations/place"
)

// within runs f, which must end.
func within(t *testing.T, f func()) {
	t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	select {
	case <-done:
	case <-time.After(30 * time.Second):
		t.Fatal("it is still waiting")
	}
}

// TestPlantedBesideALesson opens and saves a lesson in a folder where links lie at every
// name that the saver uses.
func TestPlantedBesideALesson(t *testing.T) {
	dir := t.TempDir()
	victim, path := filepath.Join(dir, "victim"), filepath.Join(dir, "lesson.json")
	require.NoError(t, os.WriteFile(victim, []byte("theirs"), 0o600))
	require.NoError(t, annotations.Save(path, annotations.NewLesson()))
	require.NoError(t, os.Symlink(victim, lockName(path)))
	s, err := Open(path, nil)
	require.NoError(t, err, "the lock lies among the spare copies then")
	s.Save(annotations.NewLesson())
	require.NoError(t, s.Close())
	data, err := os.ReadFile(victim)
	require.NoError(t, err)
	assert.Equal(t, "theirs", string(data))

	// A pipe that takes the lesson's place meanwhile is no version to be kept.
	s, err = Open(path, nil)
	require.NoError(t, err)
	require.NoError(t, os.Remove(path))
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	s.Save(annotations.NewLesson())
	within(t, func() { assert.NoError(t, s.Close()) })
	_, _, err = annotations.Load(path)
	assert.NoError(t, err)
}

// TestSpareCopiesAreForTheirOwner: where a lesson can't be written, and where another's
// version is kept, at a umask that forbids nothing.
func TestSpareCopiesAreForTheirOwner(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0))
	state := t.TempDir()
	faultfs.SetBase(t, "XDG_STATE_HOME", filepath.Join(state, "state"))
	path := filepath.Join(t.TempDir(), "folder", "lesson.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(t, annotations.Save(path, annotations.NewLesson()))
	s, err := Open(path, func(error) {})
	require.NoError(t, err)
	require.NoError(t, os.RemoveAll(filepath.Dir(path)))
	l := annotations.NewLesson()
	l.Notes = "ours"
	s.Save(l)
	_ = s.Close()
	// The lock lies among them, too, where it can't lie beside a lesson.
	beside := filepath.Join(t.TempDir(), "lesson.json")
	require.NoError(t, annotations.Save(beside, annotations.NewLesson()))
	require.NoError(t, os.Mkdir(lockName(beside), 0o700))
	faultfs.SetBase(t, "XDG_STATE_HOME", filepath.Join(state, "other state"))
	s, err = Open(beside, nil)
	require.NoError(t, err)
	require.NoError(t, s.Close())
	seen := 0
	require.NoError(t, filepath.WalkDir(state, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		if path == state {
			return nil
		}
		info, err := d.Info()
		require.NoError(t, err)
		seen++
		assert.Zero(t, info.Mode().Perm()&0o077, "%s %s", path, info.Mode())
		return nil
	}))
	assert.Greater(t, seen, 2)
}

// TestLessonThroughALinkOfAnother takes a link that another user made.
func TestLessonThroughALinkOfAnother(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give a link to another user")
	}
	dir := t.TempDir()
	real, link := filepath.Join(dir, "private.json"), filepath.Join(dir, "lesson.json")
	require.NoError(t, annotations.Save(real, annotations.NewLesson()))
	require.NoError(t, os.Symlink(real, link))
	s, err := Open(link, nil)
	require.NoError(t, err, "one's own")
	require.NoError(t, s.Close())
	require.NoError(t, os.Lchown(link, 12345, 12345))
	_, err = Open(link, nil)
	var not *place.LinkError
	require.ErrorAs(t, err, &not)

	// One that is put there while the lesson is open.
	s, err = Open(real, nil)
	require.NoError(t, err)
	other := filepath.Join(dir, "other.json")
	require.NoError(t, os.Rename(real, other))
	require.NoError(t, os.Symlink(other, real))
	require.NoError(t, os.Lchown(real, 12345, 12345))
	before, err := os.ReadFile(other)
	require.NoError(t, err)
	l := annotations.NewLesson()
	l.Notes = "ours"
	s.Save(l)
	require.ErrorAs(t, s.Close(), &not)
	after, err := os.ReadFile(other)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}
