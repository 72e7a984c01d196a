package annotations

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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

// TestLessonThatIsNoFile loads what would keep a reader waiting, or reading, for ever.
func TestLessonThatIsNoFile(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "lesson.json")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for _, path := range []string{pipe, "/dev/zero"} {
		within(t, func() {
			_, _, err := Load(path)
			assert.ErrorContains(t, err, "not a lesson document")
			assert.False(t, IsDocument(path))
		})
	}
}

// TestPlantedBesideALesson opens and saves a lesson in a folder where links lie at every
// name that the saver uses.
func TestPlantedBesideALesson(t *testing.T) {
	dir := t.TempDir()
	victim, path := filepath.Join(dir, "victim"), filepath.Join(dir, "lesson.json")
	require.NoError(t, os.WriteFile(victim, []byte("theirs"), 0o600))
	require.NoError(t, Save(path, NewLesson()))
	require.NoError(t, os.Symlink(victim, lockName(path)))
	s, err := OpenSaver(path, nil)
	require.NoError(t, err, "the lock lies among the spare copies then")
	s.Save(NewLesson())
	require.NoError(t, s.Close())
	data, err := os.ReadFile(victim)
	require.NoError(t, err)
	assert.Equal(t, "theirs", string(data))

	// A pipe that takes the lesson's place meanwhile is no version to be kept.
	s, err = OpenSaver(path, nil)
	require.NoError(t, err)
	require.NoError(t, os.Remove(path))
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	s.Save(NewLesson())
	within(t, func() { assert.NoError(t, s.Close()) })
	_, _, err = Load(path)
	assert.NoError(t, err)
}

// TestLessonThroughALinkOfAnother takes a link that another user made.
func TestLessonThroughALinkOfAnother(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give a link to another user")
	}
	dir := t.TempDir()
	real, link := filepath.Join(dir, "private.json"), filepath.Join(dir, "lesson.json")
	require.NoError(t, Save(real, NewLesson()))
	require.NoError(t, os.Symlink(real, link))
	s, err := OpenSaver(link, nil)
	require.NoError(t, err, "one's own")
	require.NoError(t, s.Close())
	require.NoError(t, os.Lchown(link, 12345, 12345))
	_, err = OpenSaver(link, nil)
	var not *place.LinkError
	require.ErrorAs(t, err, &not)

	// One that is put there while the lesson is open.
	s, err = OpenSaver(real, nil)
	require.NoError(t, err)
	other := filepath.Join(dir, "other.json")
	require.NoError(t, os.Rename(real, other))
	require.NoError(t, os.Symlink(other, real))
	require.NoError(t, os.Lchown(real, 12345, 12345))
	before, err := os.ReadFile(other)
	require.NoError(t, err)
	l := NewLesson()
	l.Notes = "ours"
	s.Save(l)
	require.ErrorAs(t, s.Close(), &not)
	after, err := os.ReadFile(other)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}
