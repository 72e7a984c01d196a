package students

import (
	"context"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/shelf/shelftest"
	"turngauge/ui/shelf/worker"
	"turngauge/ui/thumbnail"
)

// test is a card, the window that it is in, and the documents of some lessons.
type test struct {
	*kittest.Window
	r     *Room
	shelf *worker.Client
	paths []string
}

// newTest opens the first of the lessons.
func newTest(t *testing.T, lessons ...*annotations.Lesson) *test {
	t.Helper()
	h := &test{}
	h.Window = kittest.New(t, lessons[0], func(w *kittest.Window) kit.Room {
		h.shelf = shelftest.Client(w)
		h.r = New(w, h.shelf, thumbnail.New(&w.Work, ""))
		return h.r
	})
	h.paths = shelftest.Open(t, h.Window, h.shelf, lessons...)
	h.Open.Path = h.paths[0]
	return h
}

func (h *test) openCard() {
	h.Key("S", key.ModCtrl|key.ModShift)
	h.Until("the card", h.r.IsOpen)
	h.Frame()
}

func (h *test) loaded(t *testing.T, i int) *annotations.Lesson {
	l, _, err := annotations.Load(h.paths[i])
	require.NoError(t, err)
	return l
}

// TestTheCardIsKept: the name goes into all lessons, the rest into the open one, and Undo
// takes both back.
func TestTheCardIsKept(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindquist", "Second visit", "2026-05-30"), shelftest.Visit("Mara Lindquist", "First visit", "2026-05-02"), shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"))
	h.openCard()
	require.NotZero(t, h.r.was.Student)
	h.r.name.SetText(" Mara  Lindqvist ")
	h.r.stature.SetText("172")
	h.r.handicap.SetText("scratch")
	h.Click("Keep the card")
	h.Frame()
	assert.Contains(t, h.r.problem, "12.4")
	h.r.handicap.SetText("12,4")
	h.r.injuries.SetText("lead knee")
	h.r.contact.SetText("mara@fjordholm.example")
	h.Click("left-handed")
	h.Click("Keep the card")
	h.Until("it is kept", func() bool { return !h.r.busy && h.r.undo != nil })
	assert.Equal(t, "Kept. The new name stands in 2 lessons.", h.r.done)
	now := h.Lesson().Student
	assert.Equal(t, "Mara Lindqvist", now.Name)
	assert.Equal(t, []any{geometry.LeftHanded, 1.72, kit.StatureSD, "12.4", "lead knee"}, []any{now.Handed, now.StatureM, now.StatureSDM, now.Handicap, now.Injuries})
	other := h.loaded(t, 1).Student
	assert.Equal(t, annotations.Student{ID: now.ID, Name: "Mara Lindqvist"}, annotations.Student{ID: other.ID, Name: other.Name})
	assert.Equal(t, geometry.RightHanded, other.Handed, "as that lesson was filmed")
	assert.Equal(t, "Bjørn Håland", h.loaded(t, 2).Student.Name)

	h.Click("Undo")
	h.Until("it is back", func() bool { return !h.r.busy && h.r.undo == nil })
	assert.Equal(t, "Mara Lindquist", h.Lesson().Student.Name)
	assert.Equal(t, geometry.RightHanded, h.Lesson().Student.Handed)
	assert.Equal(t, "Mara Lindquist", h.loaded(t, 1).Student.Name)
	assert.Empty(t, h.r.contact.Text())
	h.Key(key.NameEscape, 0)
	assert.False(t, h.r.IsOpen())
}

// TestAPhotoOfAPictureFile: upright, cut to the card's shape, kept for the user alone.
func TestAPhotoOfAPictureFile(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "Visit", "2026-05-30"))
	path := filepath.Join(t.TempDir(), "mara.jpg")
	f, err := os.Create(path)
	require.NoError(t, err)
	im := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for i := range im.Pix {
		im.Pix[i] = 200
	}
	require.NoError(t, jpeg.Encode(f, im, nil))
	require.NoError(t, f.Close())
	h.openCard()
	h.Click("Choose a photo")
	h.Answer(path)
	h.Until("the picture", func() bool { return h.r.photo.jpeg != nil })
	h.Frame()
	h.Click("Keep the card")
	h.Until("it is kept", func() bool { return !h.r.busy && h.r.undo != nil })
	kept, err := os.Open(h.r.was.Photo)
	require.NoError(t, err)
	got, err := jpeg.Decode(kept)
	require.NoError(t, err)
	require.NoError(t, kept.Close())
	assert.Equal(t, photoSize, got.Bounds().Size())
	r, _, _, _ := got.At(10, 10).RGBA()
	assert.InDelta(t, 200, float64(r>>8), 3)
	h.Click("Choose a photo")
	h.Answer(filepath.Join(t.TempDir(), "none.png"))
	h.Until("it is said", func() bool { return h.r.problem != "" })
	assert.False(t, h.r.photo.changed, "the photo that is kept stays")
}

// TestJoiningIsAskedForAndTakenApart: two of a name are kept apart until they are joined.
func TestJoiningIsAskedForAndTakenApart(t *testing.T) {
	one, two := shelftest.Visit("Mara Lindqvist", "one", "2026-05-30"), shelftest.Visit("Mara Lindqvist", "two", "2026-05-02")
	one.Student.ID, two.Student.ID = "one", "two"
	h := newTest(t, one, two)
	h.openCard()
	require.Len(t, h.r.was.Others, 1)
	h.Click("Join: Another Mara Lindqvist, kept apart: 1 lesson, last 2 May 2026")
	h.Until("they are joined", func() bool { return !h.r.busy && len(h.r.was.Joined) == 1 })
	assert.Empty(t, h.r.was.Others)
	h.Frame()
	h.Click("Take apart: Joined: Mara Lindqvist, 1 lesson, last 2 May 2026")
	h.Until("they are apart", func() bool { return !h.r.busy && len(h.r.was.Others) == 1 })
}

// TestALessonWithoutANameGetsOne, which makes its student known.
func TestALessonWithoutANameGetsOne(t *testing.T) {
	h := newTest(t, shelftest.Visit("", "Visit", "2026-05-30"))
	h.openCard()
	assert.Zero(t, h.r.was.Student)
	h.r.name.SetText("Bjørn Håland")
	h.Click("Keep the card")
	h.Frame()
	assert.Equal(t, "Bjørn Håland", h.Lesson().Student.Name)
	assert.NotEmpty(t, h.Lesson().Student.ID)
	h.openCard()
	assert.NotZero(t, h.r.was.Student)
	done := false
	worker.Ask(h.shelf, "", func(ctx context.Context, l *library.Library) (int64, error) {
		return l.StudentNamed(ctx, "Bjørn Håland")
	},
		func(key int64, err error) { done = key == h.r.was.Student && err == nil })
	h.Until("asked", func() bool { return done })
}
