package compare

import (
	"image"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/shelf/worker"
)

// marked is a lesson of one marked swing, of which no clip has a file.
func marked(t *testing.T) *annotations.Lesson {
	t.Helper()
	data, err := os.ReadFile("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].File = ""
	}
	return l
}

type room struct {
	*Room
	*kittest.Window
	changes bool
}

func newRoom(t *testing.T) *room {
	t.Helper()
	r := &room{}
	r.Window = kittest.New(t, marked(t), func(w *kittest.Window) kit.Room {
		r.Room = New(w, worker.NewClient(&w.Work, w.Alert), w.Dirs, Doors{
			Changes: func(on bool) { r.changes = on }, Begun: func() {}, Picture: func(layout.Context, string, image.Point) {},
			Buttons: func(layout.Context, []kit.GuideButton) (d layout.Dimensions) { return d },
		})
		return r.Card()
	})
	return r
}

// beside saves a lesson beside the open one.
func (r *room) beside(t *testing.T, name string, l *annotations.Lesson) string {
	t.Helper()
	path := filepath.Join(filepath.Dir(r.Open.Path), name)
	require.NoError(t, annotations.Save(path, l))
	return path
}

func TestLessonsBesideThisOneAreOffered(t *testing.T) {
	r := newRoom(t)
	other := marked(t)
	other.ID, other.Title, other.Date = annotations.NewID(), "Before", "2026-04-01"
	r.beside(t, "before.json", other)
	r.beside(t, "copy.json", marked(t))
	bare := marked(t)
	bare.ID, bare.Swings[0].Marks = annotations.NewID(), nil
	r.beside(t, "bare.json", bare)
	r.Card().Choose()
	name := "Compare with " + kit.Joined(other.Student.Name, "Before", "2026-04-01")
	r.Until("the lesson beside", func() bool { return r.Shows(name) })
	assert.Len(t, r.card.choices, 1, "neither a copy of this lesson, nor one without marks")
	r.Click(name)
	assert.False(t, r.Card().IsOpen())
	require.NotNil(t, r.Open.Comparing)
	assert.True(t, r.changes)
	assert.Equal(t, "Before", r.Open.Other.Lesson.Title)
	r.Until("it to be measured", func() bool { return r.Open.Other.Measured })

	require.True(t, r.Room.Escape())
	assert.Nil(t, r.Open.Comparing)
	r.Card().Choose()
	r.Frame()
	r.Click("Compare with nothing")
	assert.Nil(t, r.Open.Other)
	assert.False(t, r.changes)
}

// A document that can't be read now, as on a network that is away, must not keep
// the window: here one that nobody writes to.
func TestTheWindowDoesNotWaitForLessonsBesideThisOne(t *testing.T) {
	r := newRoom(t)
	pipe := filepath.Join(filepath.Dir(r.Open.Path), "away.json")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	r.Card().Choose()
	r.Frame()
	assert.True(t, r.Shows("Another lesson …"))
	r.Key(key.NameEscape, 0)
	assert.False(t, r.Card().IsOpen())
	r.WithFile(pipe)
	r.Frame()
	assert.Empty(t, r.Alerts)
	r.Until("it to be told, once the readers are let go", func() bool {
		if f, err := os.OpenFile(pipe, os.O_WRONLY|syscall.O_NONBLOCK, 0); err == nil {
			assert.NoError(t, f.Close())
		}
		return len(r.Alerts) > 0
	})
	assert.Nil(t, r.Open.Comparing)
}

func TestWhatIsReadForALessonThatWasClosedIsDropped(t *testing.T) {
	r := newRoom(t)
	other := marked(t)
	other.ID = annotations.NewID()
	path := r.beside(t, "before.json", other)
	r.Card().Choose()
	r.WithFile(path)
	r.OpenLesson(t, marked(t))
	r.Card().LessonClosed()
	r.LessonClosed()
	r.Card().Choose()
	for range 40 { // long enough to read it
		time.Sleep(5 * time.Millisecond)
		r.Frame()
	}
	assert.Nil(t, r.Open.Comparing)
	assert.Nil(t, r.Open.Other)
}

func TestTheSwingOnTheBenchIsNoneToCompareWith(t *testing.T) {
	r := newRoom(t)
	r.withLesson(r.Open, r.Open.Path, marked(t))
	require.Len(t, r.Alerts, 1)
	assert.Contains(t, r.Alerts[0], "on the bench itself")
	bare := marked(t)
	bare.Swings[0].Marks = nil
	r.withLesson(r.Open, "elsewhere.json", bare)
	assert.Contains(t, r.Alerts[1], "no marked swing")
}
