package ui

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/video"
)

// withLibrary is a window's content with its library open.
func withLibrary(t *testing.T) *harness {
	t.Helper()
	h := newHarness(t)
	h.now = time.Date(2026, 6, 1, 12, 0, 0, 0, time.Local)
	h.a.startLibrary()
	t.Cleanup(func() {
		h.a.closeLesson()
		h.a.worker.Close()
	})
	h.until("the library", func() bool { return h.a.library.ready })
	return h
}

// entries lists what the library holds.
func (h *harness) entries(q library.Query) []library.Entry {
	h.t.Helper()
	var got []library.Entry
	done := false
	ask(h.a, "", func(ctx context.Context, l *library.Library) ([]library.Entry, error) { return l.Lessons(ctx, q) },
		func(list []library.Entry, err error) {
			require.NoError(h.t, err)
			got, done = list, true
		})
	h.until("the lessons of the library", func() bool { return done })
	return got
}

// shelved writes lesson documents and takes them in as another window would.
func (h *harness) shelved(lessons ...*annotations.Lesson) []string {
	h.t.Helper()
	dir := h.t.TempDir()
	var paths []string
	for i, l := range lessons {
		path := filepath.Join(dir, string(rune('a'+i))+".json")
		require.NoError(h.t, annotations.Save(path, l))
		paths = append(paths, path)
	}
	h.a.importFiles(paths)
	h.until("the lessons to be shown", func() bool { return h.a.library.total >= len(lessons) && len(h.a.library.lessons) >= len(lessons) })
	return paths
}

func visit(student, title, date string) *annotations.Lesson {
	l := annotations.NewLesson()
	l.Student.Name, l.Title, l.Date = student, title, date
	l.Swings = []annotations.Swing{{ID: "s1", Label: "7-iron"}}
	return l
}

func TestLessonEntersTheLibraryByItself(t *testing.T) {
	h := withLibrary(t)
	h.openMarked(func(map[string]any) {})
	path := h.a.desk.Path
	h.until("the lesson in the library", func() bool { return len(h.entries(library.Query{Text: "lindqvist"})) == 1 })
	kit.Edit(h.a, annotations.SetHeading{Heading: annotations.Title, Text: "Said anew"})
	h.frame()
	h.press("W", key.ModCtrl)
	require.Nil(t, h.a.desk)
	h.until("the closed lesson with its new title", func() bool {
		l := h.entries(library.Query{})
		return len(l) == 1 && l[0].Title == "Said anew" && l[0].Path == path
	})
	pause := 100 * time.Millisecond
	h.until("its measures", func() bool {
		time.Sleep(pause) // a question breaks off the measuring, which has to come to its end
		pause *= 2
		done, n := false, 0
		ask(h.a, "", func(ctx context.Context, l *library.Library) (int, error) {
			list, err := l.Unmeasured(ctx)
			return len(list), err
		},
			func(k int, err error) { done, n = true, k })
		h.until("an answer", func() bool { return done })
		return n == 0
	})
	h.until("the row in the first window", func() bool {
		return h.shows("Lesson Mara Lindqvist, 2026-05-02, Said anew") || h.shows("Student Mara Lindqvist")
	})
}

func TestBrokenLibraryStopsNoLesson(t *testing.T) {
	h := newHarness(t)
	require.NoError(t, os.MkdirAll(h.a.dirs.Data, 0o755))
	require.NoError(t, os.WriteFile(h.a.dirs.Library(), []byte("a file in its place"), 0o600))
	h.a.startLibrary()
	t.Cleanup(h.a.worker.Close)
	h.until("the trouble to be told", func() bool { return h.a.library.trouble != "" })
	assert.Contains(t, h.a.notices.Alerts()[0], "the library in "+h.a.dirs.Library())
	h.openMarked(func(map[string]any) {})
	require.NotNil(t, h.a.desk)
	kit.Edit(h.a, annotations.SetHeading{Heading: annotations.Title, Text: "Saved all the same"})
	h.frame()
	require.NoError(t, h.a.desk.saver.Flush())
	l, _, err := annotations.Load(h.a.desk.Path)
	require.NoError(t, err)
	assert.Equal(t, "Saved all the same", l.Title)
	h.press("L", key.ModCtrl)
	assert.False(t, h.a.library.open)
	assert.Contains(t, h.a.notices.Passing(), "There is no library")
	h.press("P", key.ModCtrl)
	assert.False(t, h.a.overLessons.open)
}

func TestLibraryIsSearchedAndOpenedWithTheKeyboard(t *testing.T) {
	h := withLibrary(t)
	paths := h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"), visit("Bjørn Håland", "Driver", "2026-05-09"), visit("Mara Lindqvist", "Second visit", "2026-05-30"))
	p := &h.a.library
	h.press("L", key.ModCtrl)
	h.write("mara")
	h.until("two lessons", func() bool { return len(p.lessons) == 2 && len(p.students) == 1 })
	h.press(key.NameDownArrow, 0)
	h.press(key.NameUpArrow, 0)
	h.press(key.NameDownArrow, key.ModCtrl)
	h.until("the student's lessons", func() bool { return p.student != 0 && p.lesson != 0 && p.lessons[0].Title == "Second visit" })
	h.press(key.NameDownArrow, 0)
	assert.Equal(t, "First visit", p.chosen().Title)
	h.press(key.NameReturn, 0)
	require.NotNil(t, h.a.desk)
	assert.Equal(t, paths[0], h.a.desk.Path)

	// Over the open lesson, with letters going into the search alone.
	h.press("L", key.ModCtrl)
	require.True(t, p.open)
	h.frame()
	h.press("E", 0)
	assert.False(t, h.a.explains())
	h.press(key.NameEscape, 0)
	assert.False(t, p.open)
}

func TestDeletedLessonComesBackWithAKey(t *testing.T) {
	h := withLibrary(t)
	paths := h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"), visit("Bjørn Håland", "Driver", "2026-05-09"))
	p := &h.a.library
	h.press("L", key.ModCtrl)
	h.frame()
	first := p.chosen()
	require.NotNil(t, first)
	gone := first.Path
	h.press(key.NameDeleteForward, key.ModCtrl)
	h.until("one lesson", func() bool { return len(p.lessons) == 1 && p.deleted != nil })
	assert.NoFileExists(t, gone)
	h.press("Z", key.ModCtrl)
	h.until("both lessons", func() bool { return len(p.lessons) == 2 && p.deleted == nil })
	assert.FileExists(t, gone)

	// That on the bench is not deleted from under the coach.
	h.a.openLesson(paths[1])
	h.press("L", key.ModCtrl)
	h.frame()
	p.lesson = func() int64 {
		for _, e := range p.lessons {
			if e.Path == paths[1] {
				return e.Key
			}
		}
		return 0
	}()
	h.click("Delete the lesson")
	assert.FileExists(t, paths[1])
	require.NotEmpty(t, h.a.notices.Alerts())
	assert.Contains(t, h.a.notices.Alerts()[0], "on the bench")
}

func TestLostDocumentIsGotBackFromTheLibrary(t *testing.T) {
	h := withLibrary(t)
	paths := h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"))
	require.NoError(t, os.Remove(paths[0]))
	h.a.libraryChanged()
	h.until("the missing document to be seen", func() bool { return h.a.library.missing[h.a.library.lesson] })
	h.click("Open the lesson")
	require.True(t, h.a.lost.open)
	h.frame()
	h.click("Open the copy")
	h.until("the lesson", func() bool { return h.a.desk != nil })
	assert.Equal(t, paths[0], h.a.desk.Path)
	assert.Equal(t, "First visit", h.a.desk.Bench.Lesson().Title)
}

func TestTagsOfALesson(t *testing.T) {
	h := withLibrary(t)
	h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"), visit("Bjørn Håland", "Driver", "2026-05-09"))
	p := &h.a.library
	h.click("Tags of the lesson")
	h.frame()
	h.write("junior squad, driver")
	h.press(key.NameReturn, 0)
	h.until("the tags", func() bool { return len(p.allTags) == 2 })
	h.frame()
	h.click("Lessons tagged junior squad")
	h.until("the tagged lesson alone", func() bool { return len(p.lessons) == 1 })
	h.press(key.NameEscape, 0)
	h.until("all lessons", func() bool { return len(p.lessons) == 2 && p.tag == "" })
}

func TestProgressSaysWhatIsRealAndWhatIsNoise(t *testing.T) {
	h := withLibrary(t)
	source, _, err := annotations.Load("../testdata/lessons/marked.json")
	require.NoError(t, err)
	later := source.Clone()
	later.ID, later.Title, later.Date = "01LATER", "Later", "2026-05-30"
	h.shelved(source, later)
	h.until("all to be measured", func() bool {
		h.a.library.student = 0
		return len(h.a.library.students) == 1 && h.a.library.students[0].Compared
	})
	h.click("Progress")
	c := &h.a.overLessons
	h.until("the plots", func() bool { return len(c.shown) == mostPlots && len(c.series[c.shown[0]]) == 2 })
	v := c.series[c.shown[0]][1]
	require.NotNil(t, v.Change)
	assert.InDelta(t, 0, v.Change.Value, 1e-6, "the same marks give the same number")
	assert.False(t, v.Change.Real)
	h.frame()
	assert.Contains(t, h.labelled("Progress of "+kit.Joined(c.shown[0].name, string(c.shown[0].position))), "within the noise")

	// With the keyboard: one measure alone, then another with it, then the card away.
	h.frame()
	h.press(key.NameDownArrow, 0)
	h.press(key.NameReturn, 0)
	require.Len(t, c.shown, 1)
	assert.Equal(t, c.measures[1].Name, c.shown[0].name)
	h.press(key.NameDownArrow, 0)
	h.press(key.NameSpace, 0)
	assert.Len(t, c.shown, 2)
	h.press(key.NameSpace, 0)
	assert.Len(t, c.shown, 1)
	h.press(key.NameEscape, 0)
	assert.False(t, c.open)
}

func TestMostTellingComeFirst(t *testing.T) {
	m := []library.Measure{{Name: "a"}, {Name: "b", Target: true}, {Name: "c"}, {Name: "d", Target: true}, {Name: "e", Target: true}}
	change := func(z float64) []library.Value {
		return []library.Value{{}, {Change: &geometry.Change{Value: z, Sigma: 1}}}
	}
	got := mostTelling(m, map[measureAt][]library.Value{{name: "c"}: change(-4), {name: "e"}: change(3), {name: "b"}: change(0.1)})
	assert.Equal(t, []measureAt{{name: "b"}, {name: "c"}, {name: "d"}, {name: "e"}}, got)
}

func TestLastPrescriptionIsCheckedAtTheNextLesson(t *testing.T) {
	h := withLibrary(t)
	source, _, err := annotations.Load("../testdata/lessons/marked.json")
	require.NoError(t, err)
	before := source.Clone()
	before.ID, before.Title, before.Date = "01BEFORE", "Before", "2026-04-01"
	before.Prescription = annotations.Prescription{SetUp: []string{"Flare the lead foot."}, Drill: "Chair"}
	report, err := annotations.Measure(context.Background(), before, nil, annotations.DefaultTargets())
	require.NoError(t, err)
	m := report.Swings[0].Measures[0]
	before.Swings[0].Findings = []annotations.Finding{
		{ID: "same", Text: "As it is.", Measure: m.Name, Position: m.Position, Value: m.Value, Low95: m.Low95, High95: m.High95, Unit: m.Unit, Verdict: geometry.Below},
		{ID: "far", Text: "Far off.", Measure: m.Name, Position: m.Position, Value: m.Value - 100, Low95: m.Low95 - 100, High95: m.High95 - 100, Unit: m.Unit, Verdict: geometry.Below},
		{ID: "words", Text: "In words."},
	}
	h.shelved(before)
	path := filepath.Join(t.TempDir(), "now.json")
	require.NoError(t, annotations.Save(path, source))
	h.a.openLesson(path)
	h.until("the prescription to be told", func() bool { return h.a.check.earlier != nil && len(h.a.desk.result.measures) > 0 })
	assert.Contains(t, h.a.notices.Passing(), "Prescribed on 1 April 2026: Flare the lead foot.")
	list := h.a.checkedFindings()
	require.Len(t, list, 2)
	assert.False(t, list[0].change.Real)
	assert.Equal(t, "within the noise", list[0].word)
	assert.True(t, list[1].change.Real)
	h.press("K", 0)
	h.frame()
	h.find("Prescribed on 1 April 2026: has it changed?")
	h.click("Prescribe the same again")
	p := &h.a.desk.Bench.Lesson().Prescription
	assert.Equal(t, before.Prescription.SetUp, p.SetUp)
	assert.Equal(t, "Chair", p.Drill)
	h.press("Z", key.ModCtrl)
	assert.True(t, h.a.desk.Bench.Lesson().Prescription.Empty())
}

func TestDrillFromTheShelf(t *testing.T) {
	h := withLibrary(t)
	h.openMarked(func(map[string]any) {})
	h.a.findings.open = true
	h.a.syncFindings()
	h.frame()
	h.a.openDrills()
	h.frame()
	h.frame()
	h.write("Chair")
	h.click("Put it on the shelf")
	h.until("the drill", func() bool { return len(h.a.drills.list) == 1 })
	h.frame()
	h.click("Prescribe Chair")
	assert.Equal(t, "Chair", h.a.desk.Bench.Lesson().Prescription.Drill)
	assert.False(t, h.a.drills.open)
	h.a.openDrills()
	h.until("it to be counted", func() bool { return len(h.a.drills.list) == 1 && h.a.drills.list[0].Used == 1 })
	h.frame()
	h.click("Take Chair off the shelf")
	h.until("an empty shelf", func() bool { return len(h.a.drills.list) == 0 })
	h.frame()
	h.click("Put the drill back")
	h.until("it to be back", func() bool { return len(h.a.drills.list) == 1 })
}

func TestRangesOfTheCoachAndForTheStudent(t *testing.T) {
	h := withLibrary(t)
	h.openMarked(func(map[string]any) {})
	h.until("the sheet", func() bool { return h.a.desk.result.sheet != nil })
	c := &h.a.ranges
	rangeOf := func() geometry.Range {
		x, ok := h.a.targets.Find("pelvis turn", geometry.Top, annotations.MidIron, geometry.SexUnset)
		require.True(t, ok)
		return x.Range
	}
	set := func(low, high string) {
		h.until("the ranges", func() bool { return c.known && len(c.rows) > 0 })
		h.frame()
		for i := range c.rows {
			if c.rows[i].measure == "pelvis turn" && c.rows[i].position == geometry.Top {
				c.rows[i].low.SetText(low)
				c.rows[i].high.SetText(high)
			}
		}
	}
	h.press("T", key.ModCtrl)
	set("60", "40")
	h.click("Done")
	require.True(t, c.open, "the lower end first")
	assert.Contains(t, c.problem, "the lower first")
	set("35", "55,5")
	h.frame()
	h.click("Done")
	require.False(t, c.open)
	h.until("the coach's own", func() bool { return rangeOf() == geometry.Range{Low: 35, High: 55.5} })
	h.until("the sheet anew", func() bool {
		r, ok := h.a.desk.result.sheet.Find("pelvis turn @ top")
		return ok && r.Missing == "" && r.TargetHigh == 55.5
	})

	h.press("T", key.ModCtrl)
	h.until("the ranges", func() bool { return c.known && c.student != 0 })
	h.frame()
	h.click("for Mara Lindqvist")
	h.frame()
	require.Equal(t, 1, c.of)
	set("30", "")
	h.click("Done")
	h.until("the student's", func() bool { return rangeOf().Low == 30 })
	h.press("W", key.ModCtrl)
	h.a.openLesson(h.shelved(visit("Bjørn Håland", "Driver", "2026-05-09"))[0])
	h.until("another student's", func() bool { return rangeOf() == geometry.Range{Low: 35, High: 55.5} })
}

func TestMovedClipIsFoundAgain(t *testing.T) {
	h := withLibrary(t)
	dir := t.TempDir()
	old, moved := filepath.Join(dir, "fo.mp4"), filepath.Join(dir, "archive", "elsewhere.mp4")
	testClip(t, old, 12, 64, 48)
	l := visit("Mara Lindqvist", "First visit", "2026-05-02")
	sum, err := video.Fingerprint(old)
	require.NoError(t, err)
	l.Swings[0].Clips = []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: "fo.mp4", SHA256: sum, Width: 64, Height: 48}}
	path := filepath.Join(dir, "lesson.json")
	require.NoError(t, annotations.Save(path, l))
	require.NoError(t, os.MkdirAll(filepath.Dir(moved), 0o755))
	require.NoError(t, os.Rename(old, moved))
	h.a.openLesson(path)
	h.until("the clip", func() bool { return h.a.desk.films[0] != nil })
	assert.Equal(t, "archive/elsewhere.mp4", h.a.desk.Bench.Swing().Clips[0].File)
	assert.Contains(t, h.a.notices.Passing(), "was found again")
}

func TestLibraryIsMovedInThePreferences(t *testing.T) {
	h := withLibrary(t)
	h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"))
	to := filepath.Join(t.TempDir(), "on another disk")
	h.press(",", key.ModCtrl)
	h.frame()
	h.a.preferences.library.SetText("nowhere")
	h.frame()
	h.click("Move the library there")
	assert.Contains(t, h.a.notices.Alerts()[0], "whole path")
	h.a.preferences.library.SetText(to)
	h.frame()
	h.click("Move the library there")
	h.until("the move", func() bool { return h.a.dirs.Library() == to })
	assert.FileExists(t, filepath.Join(to, "library.db"))
	assert.Len(t, h.entries(library.Query{}), 1)
}

func TestExportAndImportInTheWindow(t *testing.T) {
	h := withLibrary(t)
	paths := h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"), visit("Bjørn Håland", "Driver", "2026-05-09"))
	p := &h.a.library
	h.click("Student Mara Lindqvist")
	h.until("her lessons", func() bool { return len(p.lessons) == 1 && p.lesson != 0 })
	h.click("Export student")
	h.until("the export", func() bool { return p.exporting == nil && p.exported != "" })
	file := filepath.Join(h.a.dirs.Data, "exports", "Mara Lindqvist.zip")
	assert.FileExists(t, file)
	h.frame()
	h.click("Close this message")
	assert.Empty(t, p.exported)

	h.a.openPaths([]string{file}) // dropped on the window
	h.until("the outcome", func() bool { return h.a.notices.Passing() != "" && h.a.notices.Passing() != "Importing …" })
	assert.Equal(t, "0 lessons were imported. 1 lesson was here already.", h.a.notices.Passing())
	require.NoError(t, os.Remove(paths[0]))
	h.a.importFiles([]string{filepath.Join(t.TempDir(), "none.zip")})
	h.until("the trouble", func() bool { return len(h.a.notices.Alerts()) > 0 })
	assert.Contains(t, h.a.notices.Alerts()[0], "none.zip can't be imported")
}

func TestComparingOffersTheStudentsLessonsOfTheLibrary(t *testing.T) {
	h := withLibrary(t)
	source, _, err := annotations.Load("../testdata/lessons/marked.json")
	require.NoError(t, err)
	before := source.Clone()
	before.ID, before.Title, before.Date = "01BEFORE", "Long before", "2025-04-01"
	h.shelved(before)
	path := filepath.Join(t.TempDir(), "now.json")
	require.NoError(t, annotations.Save(path, source))
	h.a.openLesson(path)
	h.until("the lesson before to be compared with", func() bool { return h.a.desk.other != nil && h.a.desk.other.measured })
	assert.Equal(t, "Long before", h.a.desk.other.lesson.Title)
	h.press("V", key.ModShift)
	h.until("the choice", func() bool { return len(h.a.compare.choices) == 1 })
	h.frame()
	h.find("Compare with " + kit.Joined("Mara Lindqvist", "Long before", "2025-04-01"))
}

func TestTheOnlyLessonDeletedCanBeGotBack(t *testing.T) {
	h := withLibrary(t)
	h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"))
	h.a.deleteLesson()
	h.until("it to be gone", func() bool { return h.a.library.total == 0 && h.a.library.deleted != nil })
	require.True(t, h.a.showsLibrary(), "the place to undo it stays")
	h.a.undeleteLesson(*h.a.library.deleted)
	h.until("it to be back", func() bool { return h.a.library.total == 1 })
}
