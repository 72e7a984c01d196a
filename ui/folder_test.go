package ui

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

func TestADroppedFolderGivesItsClips(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	dir := t.TempDir()
	testClip(t, filepath.Join(dir, "more face-on.MP4"), 8, 64, 48)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("wind from the left"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "settings.json"), []byte(`{"a": 1}`), 0o644))
	h.a.openPaths([]string{dir})
	h.until("the clip", func() bool { return h.a.intake.open && h.a.intake.clips[0].ready })
	require.Len(t, h.a.intake.clips, 1)
	assert.Equal(t, "more face-on.MP4", filepath.Base(h.a.intake.clips[0].path))
}

func TestADroppedFolderGivesItsLesson(t *testing.T) {
	h := newHarness(t)
	dir := t.TempDir()
	l := annotations.NewLesson()
	l.Student.Name = "Odd Bø"
	require.NoError(t, annotations.Save(filepath.Join(dir, "visit.json"), l))
	h.a.openPaths([]string{dir})
	h.until("the lesson", func() bool { return h.a.desk != nil })
	assert.Equal(t, "Odd Bø", h.a.desk.Bench.Lesson().Student.Name)
}

func TestADroppedFolderWithTooManySaysSo(t *testing.T) {
	h := newHarness(t)
	dir := t.TempDir()
	for _, n := range []string{"a", "b", "c", "d", "e"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, n+".mov"), nil, 0o644))
	}
	h.a.openPaths([]string{dir})
	h.until("the panel", func() bool { return h.a.chooser.Visible() })
}

func TestADroppedFolderWithNothingInItIsToldSo(t *testing.T) {
	h := newHarness(t)
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "inner"), 0o755))
	h.a.openPaths([]string{dir})
	h.until("the message", func() bool { return len(h.a.notices.Alerts()) > 0 })
	assert.Contains(t, h.a.notices.Alerts()[0], "no clip and no lesson")
}

// spareOf keeps newer work of a lesson as the saver does where the lesson's
// place can't be written, and returns the lesson's path and that of the copy.
func spareOf(t *testing.T, h *harness) (path, spare string) {
	t.Helper()
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	dir := t.TempDir()
	path = filepath.Join(dir, "lesson.json")
	l := annotations.NewLesson()
	l.Title = "Old"
	require.NoError(t, annotations.Save(path, l))
	long := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(path, long, long))
	saver, err := annotations.OpenSaver(path, func(error) {})
	require.NoError(t, err)
	newer := l.Clone()
	newer.Title = "New"
	// A folder in the way of the temporary file makes saving fail for root too.
	require.NoError(t, os.Rename(path, path+".away"))
	require.NoError(t, os.Mkdir(path, 0o755))
	saver.Save(newer)
	require.Error(t, saver.Close())
	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Rename(path+".away", path))
	spare, _, ok := annotations.SpareCopy(path)
	require.True(t, ok)
	return path, spare
}

func TestANewerCopyIsOffered(t *testing.T) {
	h := newHarness(t)
	path, spare := spareOf(t, h)
	h.a.openLesson(path)
	h.frame()
	h.frame()
	require.Nil(t, h.a.desk)
	h.click("Open the newer copy")
	require.NotNil(t, h.a.desk)
	assert.Equal(t, "New", h.a.desk.Bench.Lesson().Title)
	h.a.closeLesson()
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "New", l.Title, "it is saved at the lesson's place")
	kept, err := filepath.Glob(filepath.Join(filepath.Dir(spare), "*-older-*.json"))
	require.NoError(t, err)
	require.Len(t, kept, 1, "and the older version is kept")
	l, _, err = annotations.Load(kept[0])
	require.NoError(t, err)
	assert.Equal(t, "Old", l.Title)
}

func TestTheOlderVersionCanBeOpenedAndTheNewerStays(t *testing.T) {
	h := newHarness(t)
	path, spare := spareOf(t, h)
	h.a.openLesson(path)
	h.frame()
	h.frame()
	h.click("Open the lesson as it is")
	require.NotNil(t, h.a.desk)
	assert.Equal(t, "Old", h.a.desk.Bench.Lesson().Title)
	kept, err := filepath.Glob(filepath.Join(filepath.Dir(spare), "*-newer-*.json"))
	require.NoError(t, err)
	require.Len(t, kept, 1)
	l, _, err := annotations.Load(kept[0])
	require.NoError(t, err)
	assert.Equal(t, "New", l.Title)
}
