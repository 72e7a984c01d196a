package ui

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/shelf/worker"
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
		h.a.shelf.Close()
	})
	h.until("the library", func() bool { return h.a.shelf.Ready() })
	return h
}

// entries lists what the library holds.
func (h *harness) entries(q library.Query) []library.Entry {
	h.t.Helper()
	var got []library.Entry
	done := false
	worker.Ask(h.a.shelf, "", func(ctx context.Context, l *library.Library) ([]library.Entry, error) { return l.Lessons(ctx, q) },
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
	h.a.library.Import(paths)
	h.until("the lessons in the library", func() bool { return len(h.entries(library.Query{})) >= len(lessons) })
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
		worker.Ask(h.a.shelf, "", func(ctx context.Context, l *library.Library) (int, error) {
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
	t.Cleanup(h.a.shelf.Close)
	h.until("the trouble to be told", func() bool { return h.a.shelf.Trouble() != "" })
	assert.Contains(t, h.a.notices.Alerts()[0], "the library in "+h.a.dirs.Library())
	h.openMarked(func(map[string]any) {})
	require.NotNil(t, h.a.desk)
	kit.Edit(h.a, annotations.SetHeading{Heading: annotations.Title, Text: "Saved all the same"})
	h.frame()
	require.NoError(t, h.a.desk.Flush())
	l, _, err := annotations.Load(h.a.desk.Path)
	require.NoError(t, err)
	assert.Equal(t, "Saved all the same", l.Title)
	h.press("L", key.ModCtrl)
	assert.False(t, h.a.library.IsOpen())
	assert.Contains(t, h.a.notices.Passing(), "There is no library")
	h.press("P", key.ModCtrl)
	assert.False(t, h.a.modal())
}

func TestLastPrescriptionIsCheckedAtTheNextLesson(t *testing.T) {
	h := withLibrary(t)
	source, _, err := annotations.Load("../testdata/lessons/marked.json")
	require.NoError(t, err)
	before := source.Clone()
	before.ID, before.Title, before.Date = "01BEFORE", "Before", "2026-04-01"
	before.Prescription = annotations.Prescription{SetUp: []string{"Flare the lead foot."}, Drill: "Chair"}
	result, err := annotations.Evaluate(context.Background(), before, 0, annotations.Options{Targets: annotations.DefaultTargets()})
	require.NoError(t, err)
	m := result.Measures[0].Rounded()
	before.Swings[0].Findings = []annotations.Finding{
		{ID: "same", Text: "As it is.", Measure: m.Name, Position: m.Position, Value: m.Value, Low95: m.Low95, High95: m.High95, Unit: m.Unit, Verdict: geometry.Below},
		{ID: "far", Text: "Far off.", Measure: m.Name, Position: m.Position, Value: m.Value - 100, Low95: m.Low95 - 100, High95: m.High95 - 100, Unit: m.Unit, Verdict: geometry.Below},
		{ID: "words", Text: "In words."},
	}
	before.Swings[0].Marks = nil // so that the findings' own numbers are held against today's
	h.shelved(before)
	path := filepath.Join(t.TempDir(), "now.json")
	require.NoError(t, annotations.Save(path, source))
	h.a.openLesson(path)
	h.until("the prescription to be told", func() bool {
		return strings.HasPrefix(h.a.notices.Passing(), "Prescribed on 1 April 2026: Flare the lead foot.") && len(h.a.desk.Result.Measures) > 0
	})
	h.press("K", 0)
	h.frame()
	h.find("Prescribed on 1 April 2026: has it changed?")
	measure := words.Sentence(kit.Joined(m.Name, string(m.Position)))
	var told []string
	for _, l := range h.labels() {
		if strings.HasPrefix(l, measure+": ") && strings.Contains(l, " then, ") && !slices.Contains(told, l) {
			told = append(told, l)
		}
	}
	require.Len(t, told, 2)
	assert.Contains(t, told[0], ", can't tell; one swing each")
	assert.Contains(t, told[1], " more trail low, virtually certain; one swing each")
	h.click("Prescribe the same again")
	p := &h.a.desk.Bench.Lesson().Prescription
	assert.Equal(t, before.Prescription.SetUp, p.SetUp)
	assert.Equal(t, "Chair", p.Drill)
	h.press("Z", key.ModCtrl)
	assert.True(t, h.a.desk.Bench.Lesson().Prescription.Empty())
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
	h.until("the clip", func() bool { return h.a.desk.Films[0] != nil })
	assert.Equal(t, "archive/elsewhere.mp4", h.a.desk.Bench.Swing().Clips[0].File)
	assert.Contains(t, h.a.notices.Passing(), "was found again")
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
	h.until("the lesson before to be compared with", func() bool { return h.a.desk.Other != nil && h.a.desk.Other.Measured })
	assert.Equal(t, "Long before", h.a.desk.Other.Lesson.Title)
	h.press("V", key.ModShift)
	h.until("the choice", func() bool {
		return h.shows("Compare with " + kit.Joined("Mara Lindqvist", "Long before", "2025-04-01"))
	})
	h.find("Compare with " + kit.Joined("Mara Lindqvist", "Long before", "2025-04-01"))
}

func TestLettersGoIntoTheSearchOfTheLibraryAlone(t *testing.T) {
	h := withLibrary(t)
	h.shelved(visit("Mara Lindqvist", "First visit", "2026-05-02"))
	h.until("the lesson in the first window", func() bool { return h.shows("Student Mara Lindqvist") })
	h.press("L", key.ModCtrl)
	h.write("mara")
	h.until("all that match", func() bool { return h.shows("All that match") })
	h.press(key.NameReturn, 0)
	require.NotNil(t, h.a.desk)
	h.press("L", key.ModCtrl)
	require.True(t, h.a.library.IsOpen())
	h.frame()
	h.press("E", 0)
	assert.False(t, h.a.explain.On())
	h.press(key.NameEscape, 0)
	assert.False(t, h.a.library.IsOpen())
}

func TestRangesOfTheLibraryCountForTheLesson(t *testing.T) {
	h := withLibrary(t)
	h.openMarked(func(map[string]any) {})
	h.until("the sheet", func() bool { return h.a.desk.Result.Sheet != nil })
	rangeOf := func() geometry.Range {
		x, ok := h.a.standards.Targets.Find("pelvis turn", geometry.Top, annotations.MidIron, geometry.SexUnset)
		require.True(t, ok)
		return x.Range
	}
	keep := func(name string, r geometry.Range) {
		worker.Ask(h.a.shelf, "", func(ctx context.Context, l *library.Library) (int64, error) {
			student, err := l.StudentNamed(ctx, name)
			if err == nil {
				err = l.SetTargets(ctx, student, annotations.Targets{{Measure: "pelvis turn", Position: geometry.Top, Clubs: annotations.MidIron, Range: r, Source: "mine"}})
			}
			return student, err
		}, func(_ int64, err error) {
			require.NoError(t, err)
			h.a.rangesChanged()
		})
	}
	keep("", geometry.Range{Low: 35, High: 55.5})
	h.until("the coach's own", func() bool { return rangeOf() == geometry.Range{Low: 35, High: 55.5} })
	h.until("the sheet anew", func() bool {
		r, ok := h.a.desk.Result.Sheet.Find("pelvis turn @ top")
		return ok && r.Missing == "" && r.TargetHigh == 55.5
	})
	h.until("the student in the library", func() bool { return len(h.entries(library.Query{Text: "lindqvist"})) == 1 })
	keep("Mara Lindqvist", geometry.Range{Low: 30, High: 60})
	h.until("the student's", func() bool { return rangeOf() == geometry.Range{Low: 30, High: 60} })
	h.press("W", key.ModCtrl)
	h.a.openLesson(h.shelved(visit("Bjørn Håland", "Driver", "2026-05-09"))[0])
	h.until("another student's", func() bool { return rangeOf() == geometry.Range{Low: 35, High: 55.5} })
}

func TestExportDroppedOnTheWindowIsTakenIn(t *testing.T) {
	h := withLibrary(t)
	h.a.intake.Open([]string{filepath.Join(t.TempDir(), "none.zip")})
	h.until("the trouble", func() bool { return len(h.a.notices.Alerts()) > 0 })
	assert.Contains(t, h.a.notices.Alerts()[0], "none.zip can't be imported")
}
