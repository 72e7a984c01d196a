package intake

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/annotations/saver"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/video"
)

// test is a window that takes things in, and what it passed on.
type test struct {
	*kittest.Window
	r       *Room
	student *Student
	opened  []string // lessons
	exports []string
	tables  []string
	visits  [][]string
}

func newTest(t *testing.T, lesson *annotations.Lesson) *test {
	t.Helper()
	h := &test{}
	h.Window = kittest.New(t, lesson, func(w *kittest.Window) kit.Room {
		h.r, h.student = New(w, w.Dirs, Doors{
			Lesson: func(path string) { h.opened = append(h.opened, path) },
			Export: func(path string) bool { h.exports = append(h.exports, path); return true },
			Visit:  func(clips []string) { h.visits = append(h.visits, clips) },
			Table:  func(path string) { h.tables = append(h.tables, path) },
		})
		return h.r
	})
	return h
}

// touched makes empty files in a folder of their own.
func touched(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, n := range names {
		require.NoError(t, os.WriteFile(filepath.Join(dir, n), nil, 0o644))
	}
	return dir
}

func TestEachKindOfFileGoesItsWay(t *testing.T) {
	h := newTest(t, nil)
	h.r.Open([]string{"visit.json", "back.ZIP", "bay 4.csv"})
	assert.Equal(t, []string{"visit.json"}, h.opened)
	assert.Equal(t, []string{"back.ZIP"}, h.exports)
	assert.Empty(t, h.tables)
	require.Len(t, h.Alerts, 1)
	assert.Contains(t, h.Alerts[0], "open the lesson it belongs to")
	h.r.Open([]string{"a.mov", "b.mov"})
	assert.False(t, h.r.IsOpen())
	assert.Equal(t, []string{"a.mov", "b.mov"}, h.student.clips, "of a new student")

	h = newTest(t, &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}})
	h.r.Open([]string{"bay 4.csv", "a.mov"})
	assert.Equal(t, []string{"bay 4.csv"}, h.tables)
	assert.True(t, h.r.IsOpen())
}

func TestTheViewIsGuessedFromTheName(t *testing.T) {
	h := newTest(t, &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}})
	h.r.Open([]string{"x line.mov", "y.mov"})
	h.r.Open([]string{"z front.mov"})
	var got []geometry.View
	for _, c := range h.r.clips {
		got = append(got, c.view)
	}
	assert.Equal(t, []geometry.View{geometry.DownTheLine, geometry.FaceOn, geometry.FaceOn}, got)
}

func TestADroppedFolderGivesItsLesson(t *testing.T) {
	h := newTest(t, nil)
	dir := t.TempDir()
	path := filepath.Join(dir, "visit.json")
	require.NoError(t, annotations.Save(path, annotations.NewLesson()))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "settings.json"), []byte(`{"a": 1}`), 0o644))
	h.r.Open([]string{dir})
	h.Until("the lesson", func() bool { return len(h.opened) > 0 })
	assert.Equal(t, []string{path}, h.opened)
}

// TestManyClipsAreAVisit: swings are looked for in what is more than one swing's, a folder
// of clips or several that are dropped at once.
func TestManyClipsAreAVisit(t *testing.T) {
	h := newTest(t, &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}})
	dir := touched(t, "a.mov", "b.mov", "c.mov", "d.mov", "e.mov")
	h.r.Open([]string{dir})
	h.Until("the visit", func() bool { return len(h.visits) > 0 })
	assert.Len(t, h.visits[0], 5)
	assert.False(t, h.r.IsOpen())

	h.r.Open([]string{"a.mov", "b.mov", "c.mov"})
	require.Len(t, h.visits, 2)
	assert.Equal(t, []string{"a.mov", "b.mov", "c.mov"}, h.visits[1])

	h.r.Open([]string{"a.mov", "b.mov"})
	require.Len(t, h.visits, 2)
	assert.True(t, h.r.IsOpen(), "two may be one swing's")
	long := h.r.clips[1]
	long.info = video.Info{Duration: 60 * time.Second}
	assert.True(t, h.r.visits(long), "but not if one is a minute long")
	require.Len(t, h.visits, 3)
	assert.False(t, h.r.IsOpen())
	slow := &newClip{info: video.Info{Duration: 60 * time.Second, PlaybackFPS: 30, FilmedFPS: 240}}
	h.r.Shown = true
	assert.False(t, h.r.visits(slow), "of which eight seconds are life's")
}

func TestADroppedFolderWithNothingInItIsToldSo(t *testing.T) {
	h := newTest(t, nil)
	dir := touched(t)
	require.NoError(t, os.Mkdir(filepath.Join(dir, "inner"), 0o755))
	h.r.Open([]string{dir})
	h.Until("the message", func() bool { return len(h.Alerts) > 0 })
	assert.Contains(t, h.Alerts[0], "no clip and no lesson")
}

func newVersions(t *testing.T) (v *Versions, w *kittest.Window, loaded, restored *[]string) {
	t.Helper()
	loaded, restored = new([]string), new([]string)
	w = kittest.New(t, nil, func(w *kittest.Window) kit.Room {
		v = NewVersions(w, func(path string) { *loaded = append(*loaded, path) },
			func(path string, read func() (*annotations.Lesson, []string, error)) bool {
				l, _, err := read()
				if err != nil {
					w.Alert(err.Error())
					return false
				}
				*restored = append(*restored, path, l.Title)
				return true
			})
		return v
	})
	return v, w, loaded, restored
}

// spareOf keeps newer work of a lesson as the saver does where the lesson's
// place can't be written, and returns the lesson's path and that of the copy.
func spareOf(t *testing.T) (path, spare string) {
	t.Helper()
	faultfs.SetBase(t, "XDG_STATE_HOME", t.TempDir())
	dir := t.TempDir()
	path = filepath.Join(dir, "lesson.json")
	l := annotations.NewLesson()
	l.Title = "Old"
	require.NoError(t, annotations.Save(path, l))
	long := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(path, long, long))
	s, err := saver.Open(path, func(error) {})
	require.NoError(t, err)
	newer := l.Clone()
	newer.Title = "New"
	// A folder in the way of the temporary file makes saving fail for root too.
	require.NoError(t, os.Rename(path, path+".away"))
	require.NoError(t, os.Mkdir(path, 0o755))
	s.Save(newer)
	require.Error(t, s.Close())
	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Rename(path+".away", path))
	spare, _, ok := saver.SpareCopy(path)
	require.True(t, ok)
	return path, spare
}

func TestANewerCopyIsOffered(t *testing.T) {
	v, w, loaded, restored := newVersions(t)
	path, spare := spareOf(t)
	require.True(t, v.Ask(path))
	w.Frame()
	w.Click("Open the newer copy")
	assert.False(t, v.IsOpen())
	assert.Equal(t, []string{path, "New"}, *restored)
	assert.Empty(t, *loaded)
	kept, err := filepath.Glob(filepath.Join(filepath.Dir(spare), "*-older-*.json"))
	require.NoError(t, err)
	require.Len(t, kept, 1, "the older version is kept")
	l, _, err := annotations.Load(kept[0])
	require.NoError(t, err)
	assert.Equal(t, "Old", l.Title)
}

func TestTheOlderVersionCanBeOpenedAndTheNewerStays(t *testing.T) {
	v, w, loaded, restored := newVersions(t)
	path, spare := spareOf(t)
	require.True(t, v.Ask(path))
	w.Frame()
	w.Click("Open the lesson as it is")
	assert.Equal(t, []string{path}, *loaded)
	assert.Empty(t, *restored)
	kept, err := filepath.Glob(filepath.Join(filepath.Dir(spare), "*-newer-*.json"))
	require.NoError(t, err)
	require.Len(t, kept, 1)
	l, _, err := annotations.Load(kept[0])
	require.NoError(t, err)
	assert.Equal(t, "New", l.Title)
	assert.False(t, v.Ask(path), "once only")
}
