package moving

import (
	"os"
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/shelf/shelftest"
	"turngauge/ui/shelf/worker"
)

func visit(title string) *annotations.Lesson {
	l := shelftest.Visit("Mara Lindqvist", title, "2026-05-02")
	sw := &l.Swings[0]
	sw.ID = "swing of " + title
	sw.Clips = []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: "face-on.mp4", Width: 1920, Height: 1080}}
	sw.Positions = []annotations.Position{{Name: geometry.Top, Frames: []annotations.FrameRef{{Clip: "fo", Index: 5, PTS: 10}}}}
	sw.Marks = []annotations.Mark{{Clip: "fo", Position: geometry.Top, Point: geometry.LeadHip, At: geometry.ImagePt{X: 900, Y: 500}}}
	return l
}

type test struct {
	*kittest.Window
	r     *Room
	shelf *worker.Client
	paths []string
}

func newTest(t *testing.T) *test {
	t.Helper()
	h := &test{}
	h.Window = kittest.New(t, visit("first"), func(w *kittest.Window) kit.Room {
		h.shelf = shelftest.Client(w)
		h.r = New(w, h.shelf, w.Dirs, func(id string) { w.Open.ShowSwing(id) })
		return h.r
	})
	h.paths = shelftest.Open(t, h.Window, h.shelf, h.Lesson(), visit("second"))
	return h
}

func swings(t *testing.T, path string) (out []string) {
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	for i := range l.Swings {
		out = append(out, l.Swings[i].ID)
	}
	return out
}

// TestASwingIsMovedAndComesBack: with its marks, into the other lesson of the student;
// undo and redo change both documents.
func TestASwingIsMovedAndComesBack(t *testing.T) {
	h := newTest(t)
	h.Key("M", key.ModCtrl|key.ModShift)
	h.Until("the other lesson", func() bool { return len(h.r.choices) >= 2 })
	h.Frame()
	at := h.Open.Path
	row := ""
	for i := range h.r.choices {
		if h.r.choices[i].path == h.paths[1] {
			row = "Move to " + kit.Joined(h.r.choices[i].title, h.r.choices[i].more)
		}
	}
	h.Click(row)
	h.Until("it is moved", func() bool { return !h.r.IsOpen() && h.Lesson().Swing("swing of first") == nil })
	assert.Equal(t, []string{"swing of second", "swing of first"}, swings(t, h.paths[1]))
	require.Len(t, h.Lesson().Swings, 1, "a lesson keeps one, if an empty one")
	moved, _, err := annotations.Load(h.paths[1])
	require.NoError(t, err)
	sw := moved.Swing("swing of first")
	assert.Equal(t, filepath.Join(filepath.Dir(at), "face-on.mp4"), sw.Clips[0].File)
	assert.Len(t, sw.Marks, 1)

	h.Open.Bench.Editor().Undo()
	h.r.Watch()
	h.Until("it is back", func() bool { return len(swings(t, h.paths[1])) == 1 })
	assert.Equal(t, []string{"swing of first"}, swings(t, at), "saved before")
	h.Open.Bench.Editor().Redo()
	h.r.Watch()
	assert.Len(t, swings(t, h.paths[1]), 2, "there before it leaves here")
	h.Open.Save()
	require.NoError(t, h.Open.Flush())
	assert.NotContains(t, swings(t, at), "swing of first")
	assert.Empty(t, h.Alerts)
}

// TestALessonThatIsOpenElsewhereIsLeftAlone, and the swing stays.
func TestALessonThatIsOpenElsewhereIsLeftAlone(t *testing.T) {
	h := newTest(t)
	other, err := saver.Open(h.paths[1], nil)
	require.NoError(t, err)
	t.Cleanup(func() { _ = other.Close() })
	h.Key("M", key.ModCtrl|key.ModShift)
	h.r.moveTo(h.paths[1], false)
	h.Until("it is said", func() bool { return len(h.Alerts) == 1 })
	assert.NotNil(t, h.Lesson().Swing("swing of first"))
	assert.Equal(t, []string{"swing of second"}, swings(t, h.paths[1]))
}

// TestANewLessonOfTheStudent is made for the swing.
func TestANewLessonOfTheStudent(t *testing.T) {
	h := newTest(t)
	h.Key("M", key.ModCtrl|key.ModShift)
	path := h.r.choices[0].path
	require.NoFileExists(t, path)
	h.r.moveTo(path, true)
	h.Until("it is moved", func() bool { return !h.r.IsOpen() })
	assert.Equal(t, []string{"swing of first"}, swings(t, path))
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "Mara Lindqvist", l.Student.Name)

	h.Open.Bench.Editor().Undo()
	h.r.Watch()
	h.Until("the empty lesson is in the trash", func() bool { _, err := os.Stat(path); return err != nil })
	h.Open.Bench.Editor().Redo()
	h.r.Watch()
	assert.Equal(t, []string{"swing of first"}, swings(t, path))
	assert.Empty(t, h.Alerts)
}

// TestPutTwiceIsOnce: a redo of what is there already makes no second copy, and a swing of
// the other lesson that has the same ID is another, which stays.
func TestPutTwiceIsOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "b.json")
	require.NoError(t, annotations.Save(path, visit("second")))
	sw := visit("first").Swings[0]
	sw.ID = "swing of second"
	_, id, err := put(path, nil, sw, "/clips", "")
	require.NoError(t, err)
	assert.NotEqual(t, sw.ID, id)
	_, again, err := put(path, nil, sw, "/clips", id)
	require.NoError(t, err)
	assert.Equal(t, id, again)
	assert.Equal(t, []string{"swing of second", id}, swings(t, path))
	_, err = takeOut(path, id)
	require.NoError(t, err)
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, visit("second").Swings[0].Label, l.Swings[0].Label)
	assert.Equal(t, []string{"swing of second"}, swings(t, path))
	_, _, err = put(filepath.Join(t.TempDir(), "none.json"), nil, sw, "/clips", "")
	require.ErrorIs(t, err, os.ErrNotExist)
}

// TestLessonsWhoseSwingsHaveOneID, as in documents that were written by hand: the other
// lesson's own swing is never touched.
func TestLessonsWhoseSwingsHaveOneID(t *testing.T) {
	h := newTest(t)
	own := visit("second")
	own.Swings[0].ID, own.Swings[0].Label = "swing of first", "their own"
	require.NoError(t, annotations.Save(h.paths[1], own))
	h.Key("M", key.ModCtrl|key.ModShift)
	h.r.moveTo(h.paths[1], false)
	h.Until("it is moved", func() bool { return !h.r.IsOpen() })
	require.Len(t, swings(t, h.paths[1]), 2)
	h.Open.Bench.Editor().Undo()
	h.r.Watch()
	h.Until("it is back", func() bool { return len(swings(t, h.paths[1])) == 1 })
	l, _, err := annotations.Load(h.paths[1])
	require.NoError(t, err)
	assert.Equal(t, "their own", l.Swings[0].Label)
}
