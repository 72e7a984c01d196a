package saver

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
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
