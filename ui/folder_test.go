package ui

import (
	"os"
	"path/filepath"
	"testing"

	"turngauge/annotations"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestADroppedFolderGivesItsClips(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	dir := t.TempDir()
	testClip(t, filepath.Join(dir, "more face-on.MP4"), 8, 64, 48)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("wind from the left"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "settings.json"), []byte(`{"a": 1}`), 0o644))
	h.a.intake.Open([]string{dir})
	h.until("the clip", func() bool { return h.shows("64 × 48, 120 frames a second, 0.1 s, no sound") })
	h.find("more face-on.MP4")
}

// A lesson that comes from its spare copy is saved at its own place.
func TestRestoredLessonIsSavedAtItsPlace(t *testing.T) {
	h := newHarness(t)
	path := filepath.Join(t.TempDir(), "lesson.json")
	l := annotations.NewLesson()
	require.NoError(t, annotations.Save(path, l))
	newer := l.Clone()
	newer.Title = "New"
	require.True(t, h.a.restoreLesson(path, func() (*annotations.Lesson, []string, error) { return newer, nil, nil }))
	require.NotNil(t, h.a.desk)
	h.a.closeLesson()
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "New", l.Title)
}
