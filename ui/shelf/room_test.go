package shelf

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"
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

// firstWindow shows the library in place, with the card about a lost document
// over it.
type firstWindow struct{ *Room }

func (f firstWindow) IsOpen() bool { return true }

func (f firstWindow) Update(gtx layout.Context) {
	switch {
	case f.lost.Shown:
		f.lost.Update(gtx)
		return
	case f.consent.Shown:
		f.consent.Update(gtx)
		return
	case f.rights.Shown:
		f.rights.Update(gtx)
		return
	}
	f.Room.Update(gtx)
}

func (f firstWindow) Layout(gtx layout.Context) layout.Dimensions {
	switch {
	case f.lost.Shown:
		return f.lost.Layout(gtx)
	case f.consent.Shown:
		return f.consent.Layout(gtx)
	case f.rights.Shown:
		return f.rights.Layout(gtx)
	}
	return f.Panel(gtx)
}

// test is a room, what it was shown in, and what was opened from it.
type test struct {
	*kittest.Window
	r      *Room
	shelf  *worker.Client
	paths  []string
	opened []string
}

// newTest returns the library of the first window with some lessons.
func newTest(t *testing.T, lessons ...*annotations.Lesson) *test {
	t.Helper()
	h := newClosed(t)
	h.paths = shelftest.Open(t, h.Window, h.shelf, lessons...)
	h.Until("the lessons", func() bool { return h.r.total == len(lessons) && len(h.r.lessons) == len(lessons) })
	return h
}

// newClosed returns the library of the first window before it is opened.
func newClosed(t *testing.T) *test {
	t.Helper()
	h := &test{}
	h.Window = kittest.New(t, nil, func(w *kittest.Window) kit.Room {
		h.shelf = shelftest.Client(w)
		open := func(path string) { h.opened = append(h.opened, path) }
		consent := NewConsent(w)
		h.r = New(w, h.shelf, w.Dirs, NewLost(w, h.shelf, w.Dirs, open), consent, NewRights(w, h.shelf, w.Dirs, consent, func() {}), thumbnail.New(&w.Work, ""), open, Cards{})
		return firstWindow{h.r}
	})
	return h
}

func TestALibraryIsEmptyOnlyOnceItWasRead(t *testing.T) {
	t.Parallel()
	const empty, reading = "No lesson is here yet. Lessons come in by themselves when they are opened.", "The library is being read …"
	h := newClosed(t)
	assert.True(t, h.Shows(reading))
	assert.False(t, h.Shows(empty))
	shelftest.Open(t, h.Window, h.shelf)
	h.Until("what it holds", func() bool { return h.Shows(empty) })
	assert.False(t, h.Shows(reading))
}

func TestLibraryIsSearchedAndOpenedWithTheKeyboard(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"), shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"), shelftest.Visit("Mara Lindqvist", "Second visit", "2026-05-30"))
	r := h.r
	h.Key("L", key.ModCtrl)
	h.Write("mara")
	h.Until("two lessons", func() bool { return len(r.lessons) == 2 && len(r.students) == 1 })
	h.Key(key.NameDownArrow, 0)
	h.Key(key.NameUpArrow, 0)
	h.Key(key.NameDownArrow, key.ModCtrl)
	h.Until("the student's lessons", func() bool { return r.student != 0 && r.lesson != 0 && r.lessons[0].Title == "Second visit" })
	h.Key(key.NameDownArrow, 0)
	assert.Equal(t, "First visit", r.chosen().Title)
	h.Key(key.NameReturn, 0)
	assert.Equal(t, h.paths[:1], h.opened)
}

func TestDeletedLessonComesBackWithAKey(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"), shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"))
	r := h.r
	h.Key("L", key.ModCtrl)
	h.Frame()
	first := r.chosen()
	require.NotNil(t, first)
	gone := first.Path
	h.Key(key.NameDeleteForward, key.ModCtrl)
	h.Until("one lesson", func() bool { return len(r.lessons) == 1 && r.deleted != nil })
	assert.NoFileExists(t, gone)
	h.Key("Z", key.ModCtrl)
	h.Until("both lessons", func() bool { return len(r.lessons) == 2 && r.deleted == nil })
	assert.FileExists(t, gone)
}

// A lesson that is open is not deleted from under the coach.
func TestOpenLessonIsNotDeleted(t *testing.T) {
	var r *Room
	var c *worker.Client
	w := kittest.New(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"), func(w *kittest.Window) kit.Room {
		c = shelftest.Client(w)
		open := func(string) {}
		consent := NewConsent(w)
		r = New(w, c, w.Dirs, NewLost(w, c, w.Dirs, open), consent, NewRights(w, c, w.Dirs, consent, func() {}), thumbnail.New(&w.Work, ""), open, Cards{})
		return r
	})
	w.Open.Path = shelftest.Open(t, w, c, w.Lesson())[0]
	w.Key("L", key.ModCtrl)
	require.True(t, r.IsOpen())
	w.Until("the lesson", func() bool { return len(r.lessons) == 1 })
	w.Frame()
	w.Click("Delete the lesson")
	assert.FileExists(t, w.Open.Path)
	require.NotEmpty(t, w.Alerts)
	assert.Contains(t, w.Alerts[0], "on the bench")
	w.Key(key.NameEscape, 0)
	assert.False(t, r.IsOpen())
}

func TestLostDocumentIsGotBackFromTheLibrary(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"))
	require.NoError(t, os.Remove(h.paths[0]))
	h.shelf.Changed()
	h.Until("the missing document to be seen", func() bool { return h.r.missing[h.r.lesson] })
	h.Click("Open the lesson")
	require.True(t, h.r.lost.IsOpen())
	h.Frame()
	h.Click("Open the copy")
	h.Until("the lesson", func() bool { return len(h.opened) > 0 })
	assert.Equal(t, h.paths, h.opened)
	l, _, err := annotations.Load(h.paths[0])
	require.NoError(t, err)
	assert.Equal(t, "First visit", l.Title)
}

// A document that was moved is looked for, and opened where it is found.
func TestLostDocumentIsFound(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"))
	moved := filepath.Join(t.TempDir(), "moved.json")
	require.NoError(t, os.Rename(h.paths[0], moved))
	h.Click("Open the lesson")
	h.Frame()
	h.Click("Find it …")
	require.Len(t, h.Asked, 1)
	assert.Equal(t, filepath.Dir(h.paths[0]), h.Asked[0].Dir)
	h.Answer(moved)
	assert.Equal(t, []string{moved}, h.opened)
	assert.False(t, h.r.lost.IsOpen())
}

func TestTagsOfALesson(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"), shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"))
	r := h.r
	h.Click("Tags of the lesson")
	h.Frame()
	h.Write("junior squad, driver")
	assert.True(t, r.HoldsKeys())
	h.Key(key.NameReturn, 0)
	h.Until("the tags", func() bool { return len(r.allTags) == 2 })
	h.Frame()
	h.Click("Lessons tagged junior squad")
	h.Until("the tagged lesson alone", func() bool { return len(r.lessons) == 1 })
	h.Key(key.NameEscape, 0)
	h.Until("all lessons", func() bool { return len(r.lessons) == 2 && r.tag == "" })
}

func TestExportAndImport(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"), shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"))
	r := h.r
	h.Frame()
	h.Click("Student Mara Lindqvist")
	h.Until("her lessons", func() bool { return len(r.lessons) == 1 && r.lesson != 0 })
	h.Click("Export student")
	h.Until("the export", func() bool { return r.exporting == nil && r.exported != "" })
	file := filepath.Join(h.Dirs.Data, "exports", "Mara Lindqvist.zip")
	assert.FileExists(t, file)
	h.Frame()
	h.Click("Close this message")
	assert.Empty(t, r.exported)

	h.Notes = nil
	h.Click("Import …")
	h.Answer(file)
	h.Until("the outcome", func() bool { return len(h.Notes) == 2 })
	assert.EqualValues(t, "0 lessons were imported. 1 lesson was here already.", h.Notes[1])
	r.Import([]string{filepath.Join(t.TempDir(), "none.zip")})
	h.Until("the trouble", func() bool { return len(h.Alerts) > 0 })
	assert.Contains(t, h.Alerts[0], "none.zip can't be imported")
}

// withClips is a lesson with a document in a folder of its own, and what it names as its
// clips.
func withClips(t *testing.T, files ...string) *annotations.Lesson {
	l := shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02")
	for i, f := range files {
		l.Swings[0].Clips = append(l.Swings[0].Clips, annotations.Clip{ID: string(rune('a' + i)), View: geometry.FaceOn, File: f, Width: 1920, Height: 1080})
	}
	return l
}

// TestExportAsksByName exports a lesson that names a private file, and a note beside
// itself, as clips.
func TestExportAsksByName(t *testing.T) {
	secret := filepath.Join(t.TempDir(), "id_rsa")
	require.NoError(t, os.WriteFile(secret, []byte("PRIVATE KEY"), 0o600))
	other := filepath.Join(t.TempDir(), "note.txt")
	require.NoError(t, os.WriteFile(other, []byte("PRIVATE NOTE"), 0o600))
	h := newTest(t, withClips(t, secret, other))
	file := func(name string) string {
		data, err := os.ReadFile(filepath.Join(h.Dirs.Data, "exports", name))
		require.NoError(t, err)
		return string(data)
	}
	export := func() {
		h.Frame()
		h.Click("Export student")
		h.Until("the question", func() bool { return h.r.consent.Shown })
		h.Frame()
	}
	export()
	h.Click("Export without them")
	h.Until("the export", func() bool { return h.r.exporting == nil && h.r.exported != "" })
	assert.NotContains(t, file("Mara Lindqvist.zip"), "PRIVATE")
	assert.Contains(t, h.r.exported, "without 2 files")

	export()
	h.r.consent.Escape()
	h.Frame()
	export()
	h.Click("note.txt")
	h.Frame()
	h.Click("Export with 1 of these 2")
	h.Until("the export", func() bool { return h.r.exporting == nil && strings.Contains(h.r.exported, "(2)") })
	assert.Contains(t, file("Mara Lindqvist (2).zip"), "PRIVATE NOTE")
	assert.NotContains(t, file("Mara Lindqvist (2).zip"), "PRIVATE KEY")
	assert.NoFileExists(t, filepath.Join(h.Dirs.Data, "exports", "Mara Lindqvist (3).zip"), "Esc exports nothing")
}

// TestImportAsksAboutRanges imports a lesson with ranges for its student: they are taken
// only when ticked.
func TestImportAsksAboutRanges(t *testing.T) {
	h := newTest(t, shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"))
	other, err := library.Open(context.Background(), t.TempDir())
	require.NoError(t, err)
	defer func() { _ = other.Close() }()
	path := filepath.Join(t.TempDir(), "lesson.json")
	l := shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02")
	require.NoError(t, annotations.Save(path, l))
	key, err := other.Record(context.Background(), path, l, false)
	require.NoError(t, err)
	student, err := other.StudentNamed(context.Background(), "Mara Lindqvist")
	require.NoError(t, err)
	require.NoError(t, other.SetTargets(context.Background(), student, annotations.Targets{{Measure: "tempo", Range: geometry.Range{Low: 2, High: 3}, Source: "theirs"}}))
	file := filepath.Join(t.TempDir(), "from them.zip")
	_, err = other.Export(context.Background(), file, []int64{key}, library.ExportOptions{})
	require.NoError(t, err)
	have := func() bool {
		return shelftest.Ask(t, h.Window, h.shelf, func(ctx context.Context, lib *library.Library) (bool, error) {
			key, err := lib.StudentNamed(ctx, "Mara Lindqvist")
			if err != nil || key == 0 {
				return false, err
			}
			_, ok, err := lib.TargetSet(ctx, key)
			return ok, err
		})
	}
	ask := func() {
		h.r.Import([]string{file})
		h.Until("the question", func() bool { return h.r.consent.Shown })
		h.Frame()
		assert.Contains(t, h.r.consent.rows[0].more[0], "2 to 3")
	}
	ask()
	h.Click("Import the lessons alone")
	h.Until("the lesson", func() bool { return h.r.total == 2 })
	assert.False(t, have())
	ask()
	h.Click("Target ranges for Mara Lindqvist (1)")
	h.Frame()
	h.Click("Import, with 1 of these 1")
	h.Until("the ranges", have)
}

// TestWhatIsHeldIsCopiedAndErased records the consent for a minor, copies everything for
// the student and erases her, with the clip that was ticked.
func TestWhatIsHeldIsCopiedAndErased(t *testing.T) {
	clip := filepath.Join(t.TempDir(), "face-on.mp4")
	require.NoError(t, os.WriteFile(clip, []byte("film"), 0o600))
	h := newTest(t, withClips(t, clip), shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"))
	r := h.r.rights
	h.Frame()
	h.Click("Student Mara Lindqvist")
	h.Until("her lesson", func() bool { return len(h.r.lessons) == 1 && h.r.lesson != 0 })
	h.Frame()
	h.Click("What is held …")
	h.Until("the card", func() bool { return r.Shown })
	h.Frame()
	assert.Equal(t, []string{clip}, r.held.Clips)
	h.Click("The student is a minor")
	h.Click("Films may be kept")
	h.Frame()
	r.by.SetText("Anna Lindqvist")
	h.Click("Keep the consent")
	h.Until("what is missing", func() bool { return len(h.Alerts) > 0 })
	assert.Contains(t, h.Alerts[0], "until which day")
	r.until.SetText("2027-05-02")
	h.Click("Keep the consent")
	h.Until("the consent", func() bool { return r.held.Consent.By != "" })
	r.until.SetText("2020-05-02")
	h.Click("Keep the consent")
	h.Until("the other consent", func() bool { return r.held.Consent.Until == "2020-05-02" })
	h.Alerts = nil
	h.r.Seed()
	h.Until("who is due", func() bool { return len(h.Alerts) > 0 })
	assert.Contains(t, h.Alerts[0], "is over for Mara Lindqvist (2 May 2020)")

	h.Click("Copy everything")
	h.Until("the question", func() bool { return h.r.consent.Shown })
	h.Frame()
	h.Click("Export without them")
	copied := filepath.Join(h.Dirs.Data, "exports", "Mara Lindqvist, all that is held")
	h.Until("the copy", func() bool { _, err := os.Stat(filepath.Join(copied, "README.txt")); return err == nil && r.busy == "" })
	require.NoError(t, os.RemoveAll(copied))

	h.Frame()
	h.Alerts = nil
	h.Click("Erase …")
	h.Until("the question", func() bool { return h.r.consent.Shown })
	h.Frame()
	h.Click("face-on.mp4")
	h.Frame()
	h.Click("Erase the lessons and 1 of these 1")
	h.Until("the outcome", func() bool { return len(h.Alerts) > 0 })
	assert.Contains(t, h.Alerts[0], "Mara Lindqvist is erased, with 1 lesson. What was handed on")
	assert.NoFileExists(t, clip)
	assert.NoFileExists(t, h.paths[0])
	h.Until("the other's lesson alone", func() bool { return h.r.total == 1 })
}

// TestANewMinorIsAskedForOnce: with the first lesson of a minor the card asks who consents
// and until when; it says so where the coach leaves it, and asks no more once it is known.
func TestANewMinorIsAskedForOnce(t *testing.T) {
	h := newTest(t, shelftest.Visit("Bjørn Håland", "Driver", "2026-05-09"))
	r := h.r.rights
	lesson := shelftest.Visit("Ida Solberg", "First visit", "2026-05-09")
	lesson.Student.ID = annotations.NewID()
	path := filepath.Join(t.TempDir(), "ida.json")
	require.NoError(t, annotations.Save(path, lesson))
	ask := func() {
		r.OpenForMinor(path, lesson)
		shelftest.Ask(t, h.Window, h.shelf, func(context.Context, *library.Library) (int, error) { return 0, nil }) // behind it
		h.Frame()
	}
	ask()
	require.True(t, r.Shown)
	assert.True(t, r.agreed.Minor)
	h.Click("Done")
	assert.False(t, r.Shown)
	require.NotEmpty(t, h.Notes)
	assert.Contains(t, h.Notes[len(h.Notes)-1], "No consent is recorded for Ida Solberg")

	ask()
	require.True(t, r.Shown)
	assert.Equal(t, library.Consent{Minor: true}, r.agreed, "nothing is agreed on before somebody says so")
	h.Click("Films may be kept")
	r.by.SetText("Siri Solberg")
	h.Click("Keep the consent")
	h.Until("what is missing", func() bool { return len(h.Alerts) > 0 })
	assert.Contains(t, h.Alerts[0], "until which day the films of a minor")
	r.until.SetText("2027-05-02")
	h.Click("Keep the consent")
	h.Until("the consent", func() bool { return r.held.Consent.By != "" })
	h.Click("Done")
	assert.NotContains(t, h.Notes[len(h.Notes)-1], "No consent")
	c := shelftest.Ask(t, h.Window, h.shelf, func(ctx context.Context, l *library.Library) (library.Consent, error) {
		key, err := l.StudentOf(ctx, &lesson.Student)
		if err != nil {
			return library.Consent{}, err
		}
		c, _, err := l.ConsentOf(ctx, key)
		return c, err
	})
	assert.Equal(t, [3]any{true, "Siri Solberg", "2027-05-02"}, [3]any{c.Minor, c.By, c.Until})
	assert.True(t, c.Keep)
	assert.False(t, c.Show || c.Share)
	ask()
	assert.False(t, r.Shown, "it is asked for once")
}

func TestTheOnlyLessonDeletedCanBeGotBack(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"))
	h.Click("Delete the lesson")
	h.Until("it to be gone", func() bool { return h.r.total == 0 && h.r.deleted != nil })
	require.True(t, h.r.Shown(), "the place to undo it stays")
	h.Frame()
	h.Click("Get back what was deleted")
	h.Until("it to be back", func() bool { return h.r.total == 1 })
}
