package library

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/geometry"
)

var day = time.Date(2026, 5, 2, 10, 0, 0, 0, time.UTC)

func openAt(t testing.TB, folder string) *Library {
	t.Helper()
	l, err := Open(context.Background(), folder)
	require.NoError(t, err)
	l.now = func() time.Time { return day }
	t.Cleanup(func() { _ = l.Close() })
	return l
}

// written is a lesson with its document on the disk.
func written(t testing.TB, path, student, title, date string, change ...func(*annotations.Lesson)) *annotations.Lesson {
	t.Helper()
	l := annotations.NewLesson()
	l.Title, l.Date, l.Student.Name = title, date, student
	s := annotations.Swing{ID: "s1", Label: "full swing", Club: annotations.Club{Name: "7-iron"}}
	s.Clips = []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: "face-on.mp4", Width: 1920, Height: 1080}}
	s.Positions = []annotations.Position{{Name: geometry.Top, Frames: []annotations.FrameRef{{Clip: "fo", Index: 5, PTS: 10}}}}
	s.Marks = []annotations.Mark{{Clip: "fo", Position: geometry.Top, Point: geometry.LeadHip, At: geometry.ImagePt{X: 900, Y: 500}}}
	l.Swings = []annotations.Swing{s}
	for _, c := range change {
		c(l)
	}
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, annotations.Save(path, l))
	return l
}

func record(t testing.TB, l *Library, path string, lesson *annotations.Lesson) int64 {
	t.Helper()
	key, err := l.Record(context.Background(), path, lesson, true)
	require.NoError(t, err)
	return key
}

func titles(t testing.TB, l *Library, q Query) []string {
	t.Helper()
	list, err := l.Lessons(context.Background(), q)
	require.NoError(t, err)
	out := []string{}
	for _, e := range list {
		out = append(out, e.Title)
	}
	return out
}

func TestLessonsAreFoundByWhatIsKnownOfThem(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	mara := written(t, filepath.Join(dir, "a.json"), "Mara Lindqvist", "First visit", "2026-05-02", func(l *annotations.Lesson) {
		l.Notes = "Sore wrist: only half swings."
		l.Swings[0].Findings = []annotations.Finding{{ID: "f", Text: "Your belt turns less than we look for."}}
		l.Prescription = annotations.Prescription{SetUp: []string{"Flare the lead foot"}, Drill: "Chair behind the hips"}
	})
	key := record(t, l, filepath.Join(dir, "a.json"), mara)
	bjorn := written(t, filepath.Join(dir, "b.json"), "Bjørn Håland", "Driver", "2026-05-09", func(l *annotations.Lesson) { l.Swings[0].Club.Name = "driver" })
	record(t, l, filepath.Join(dir, "b.json"), bjorn)
	require.NoError(t, l.SetTags(ctx, key, []string{"Junior squad", " junior  SQUAD ", "Übung"}))

	for _, c := range []struct {
		text string
		want []string
	}{
		{"", []string{"Driver", "First visit"}},
		{"mara", []string{"First visit"}},
		{"LIND fir", []string{"First visit"}},
		{"bjorn", []string{"Driver"}},
		{"haland driver", []string{"Driver"}},
		{"wrist", []string{"First visit"}},
		{"belt turns", []string{"First visit"}},
		{"chair", []string{"First visit"}},
		{"ubung", []string{"First visit"}},
		{"squad junior", []string{"First visit"}},
		{"2026-05", []string{"Driver", "First visit"}},
		{"7-iron", []string{"First visit"}},
		{"mara driver", []string{}},
		{`"; DROP TABLE lesson; -- * NEAR( ^`, []string{}},
		{"\x00 ' \"", []string{"Driver", "First visit"}}, // no word at all
	} {
		assert.Equal(t, c.want, titles(t, l, Query{Text: c.text}), "%q", c.text)
	}
	assert.Equal(t, []string{"First visit"}, titles(t, l, Query{Tag: "JUNIOR squad"}))
	e, err := l.Lesson(ctx, key)
	require.NoError(t, err)
	assert.Equal(t, []string{"Junior squad", "Übung"}, e.Tags)
	assert.True(t, e.Prescribed)
	assert.Equal(t, "7-iron", e.Clubs)
	tags, err := l.Tags(ctx)
	require.NoError(t, err)
	assert.Equal(t, []Tag{{"Junior squad", 1}, {"Übung", 1}}, tags)

	mara.Notes = ""
	record(t, l, filepath.Join(dir, "a.json"), mara)
	assert.Empty(t, titles(t, l, Query{Text: "wrist"}), "what is taken out is not found any more")
	assert.Equal(t, []string{"First visit"}, titles(t, l, Query{Text: "junior"}), "tags stay")
}

func TestAMovedDocumentIsTheSameLessonAndACopyIsAnother(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	old, moved := filepath.Join(dir, "a.json"), filepath.Join(dir, "elsewhere", "a.json")
	lesson := written(t, old, "Mara Lindqvist", "First visit", "2026-05-02")
	key := record(t, l, old, lesson)
	require.NoError(t, l.SetTags(ctx, key, []string{"squad"}))
	require.NoError(t, os.MkdirAll(filepath.Dir(moved), 0o755))
	require.NoError(t, os.Rename(old, moved))
	assert.Equal(t, key, record(t, l, moved, lesson))
	e, err := l.At(ctx, moved)
	require.NoError(t, err)
	assert.Equal(t, []string{"squad"}, e.Tags)

	require.NoError(t, annotations.Save(old, lesson))
	assert.NotEqual(t, key, record(t, l, old, lesson), "both are there")
	assert.Len(t, titles(t, l, Query{}), 2)
}

func TestStudentsAreToldApartByName(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	for i, name := range []string{"Mara Lindqvist", "mara  lindqvist", "Mara Lindqvíst", ""} {
		path := filepath.Join(dir, fmt.Sprintf("%d.json", i))
		record(t, l, path, written(t, path, name, "t", "2026-05-0"+fmt.Sprint(i+1)))
	}
	list, err := l.Students(ctx, Query{})
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, 2, list[0].Lessons)
	assert.Equal(t, "2026-05-02", list[0].Last)

	// A misspelt name put right leaves no student behind.
	path := filepath.Join(dir, "2.json")
	lesson, _, err := annotations.Load(path)
	require.NoError(t, err)
	lesson.Student.Name = "Mara Lindqvist"
	record(t, l, path, lesson)
	list, err = l.Students(ctx, Query{Text: "mara"})
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, 3, list[0].Lessons)
}

func TestACopyOfEachDayIsKeptAndALostDocumentComesBack(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "a.json")
	lesson := written(t, path, "Mara Lindqvist", "First visit", "2026-05-02")
	var key int64
	for d := range keptCopies + 3 {
		l.now = func() time.Time { return day.AddDate(0, 0, d) }
		for k := range 3 { // the last of a day counts
			lesson.Notes = fmt.Sprintf("day %d, state %d", d, k)
			key = record(t, l, path, lesson)
		}
	}
	copies, err := l.Copies(ctx, key)
	require.NoError(t, err)
	require.Len(t, copies, keptCopies)
	assert.Equal(t, "2026-05-14", copies[0].Day.Format(dayFormat))

	require.ErrorContains(t, l.Restore(ctx, key, path), "stays as it is")
	require.NoError(t, os.Remove(path))
	require.NoError(t, l.Restore(ctx, key, path))
	back, _, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "day 12, state 2", back.Notes)

	// A copy that was spoilt gives way to the one before.
	require.NoError(t, os.WriteFile(copies[0].file, []byte("\x1f\x8bspoilt"), 0o600))
	require.NoError(t, os.Remove(path))
	require.NoError(t, l.Restore(ctx, key, path))
	back, _, err = annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "day 11, state 2", back.Notes)
}

func TestDeletedLessonComesBack(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "a.json")
	lesson := written(t, path, "Mara Lindqvist", "First visit", "2026-05-02")
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	key := record(t, l, path, lesson)

	s, err := saver.Open(path, nil)
	require.NoError(t, err)
	require.ErrorContains(t, l.Delete(ctx, key), "open in another")
	require.NoError(t, s.Close())
	require.FileExists(t, path)

	require.NoError(t, l.Delete(ctx, key))
	require.NoFileExists(t, path)
	assert.Empty(t, titles(t, l, Query{}))
	assert.Empty(t, titles(t, l, Query{Text: "mara"}))
	assert.Equal(t, []string{"First visit"}, titles(t, l, Query{Trash: true}))

	other := written(t, path, "Someone Else", "Another", "2026-05-03") // takes the place meanwhile
	record(t, l, path, other)
	back, err := l.Undelete(ctx, key)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(dir, "a (2).json"), back)
	after, err := os.ReadFile(back)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	assert.Len(t, titles(t, l, Query{}), 2)

	require.NoError(t, l.Delete(ctx, key))
	n, err := l.EmptyTrash(ctx)
	require.NoError(t, err)
	assert.Zero(t, n, "it is not time yet")
	for d := range keptDays {
		n, err = l.EmptyTrash(ctx)
		require.NoError(t, err)
		assert.Zero(t, n, "a clock that is ahead does not empty it")
		l.now = func() time.Time { return day.AddDate(0, 0, TrashDays+1+d) }
		require.NoError(t, l.Backup(ctx))
	}
	n, err = l.EmptyTrash(ctx)
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.Empty(t, titles(t, l, Query{Trash: true}))
	left, err := os.ReadDir(l.trash())
	require.NoError(t, err)
	assert.Empty(t, left)
}

func TestMovedLibraryIsFoundFromItsOldPlace(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	from, to := filepath.Join(dir, "library"), filepath.Join(dir, "disk", "of mine")
	l := openAt(t, from)
	path := filepath.Join(dir, "a.json")
	key := record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02"))
	require.NoError(t, l.Delete(ctx, key))
	require.NoError(t, l.Backup(ctx))
	second := openAt(t, from)

	_, err := l.Move(ctx, filepath.Join(from, "inside"))
	require.ErrorContains(t, err, "inside it")
	require.NoError(t, os.MkdirAll(to, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(to, "mine"), nil, 0o600))
	_, err = l.Move(ctx, to)
	require.ErrorContains(t, err, "not empty")
	require.NoError(t, os.Remove(filepath.Join(to, "mine")))

	moved, err := l.Move(ctx, to)
	require.NoError(t, err)
	_, err = moved.Undelete(ctx, key)
	require.NoError(t, err)
	require.FileExists(t, path)
	require.FileExists(t, filepath.Join(to, "backups", "library 2026-05-02.db"))
	require.NoFileExists(t, filepath.Join(from, indexName))
	require.ErrorContains(t, second.SetTags(ctx, key, []string{"x"}), "moved to "+to)

	again := openAt(t, from)
	assert.Equal(t, to, again.Folder())
	assert.Equal(t, []string{"First visit"}, titles(t, again, Query{}))
	back, err := moved.Move(ctx, from)
	require.NoError(t, err)
	assert.Equal(t, []string{"First visit"}, titles(t, back, Query{}))
	require.NoError(t, back.Close())
}

// TestMoveLosesNoChangeOfAnotherWindow records through a second handle, as another
// window or an import does, while the library moves. What was acknowledged is where
// the library is afterwards.
func TestMoveLosesNoChangeOfAnotherWindow(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	from := filepath.Join(dir, "library")
	l, second := openAt(t, from), openAt(t, from)
	for i := range 40 { // so that there is something to copy
		path := filepath.Join(dir, fmt.Sprintf("old %d.json", i))
		record(t, l, path, written(t, path, "Mara Lindqvist", fmt.Sprint("Old ", i), "2026-05-02"))
	}
	type outcome struct {
		acknowledged []string
		err          error
	}
	first, ended := make(chan struct{}), make(chan outcome, 1)
	go func() {
		var o outcome
		for i := range 10_000 {
			title := fmt.Sprint("New ", i)
			path := filepath.Join(dir, title+".json")
			lesson := annotations.NewLesson()
			lesson.Title = title
			if o.err = annotations.Save(path, lesson); o.err == nil {
				_, o.err = second.Record(ctx, path, lesson, false)
			}
			if o.err != nil {
				break
			}
			o.acknowledged = append(o.acknowledged, title)
			if i == 0 {
				close(first)
			}
		}
		ended <- o
	}()
	<-first
	moved, err := l.Move(ctx, filepath.Join(dir, "moved"))
	require.NoError(t, err)
	defer func() { require.NoError(t, moved.Close()) }()
	o := <-ended
	require.ErrorContains(t, o.err, "moved to "+moved.Folder(), "what comes later is refused, with a sentence")
	assert.Subset(t, titles(t, moved, Query{}), o.acknowledged)
}

func TestMovedClipsAreFoundByFingerprint(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	clip := []byte("not really film, but bytes are bytes")
	old := filepath.Join(dir, "clips", "face-on.mp4")
	require.NoError(t, os.MkdirAll(filepath.Dir(old), 0o755))
	require.NoError(t, os.WriteFile(old, clip, 0o600))
	path := filepath.Join(dir, "a.json")
	lesson := written(t, path, "Mara Lindqvist", "First visit", "2026-05-02", func(l *annotations.Lesson) {
		l.Swings[0].Clips[0].File, l.Swings[0].Clips[0].SHA256 = "clips/face-on.mp4", hashOf(clip)
	})
	record(t, l, path, lesson)
	missing, err := l.MissingClips(ctx)
	require.NoError(t, err)
	assert.Empty(t, missing)

	to := filepath.Join(dir, "archive", "2026", "renamed.mp4")
	require.NoError(t, os.MkdirAll(filepath.Dir(to), 0o755))
	require.NoError(t, os.Rename(old, to))
	require.NoError(t, os.WriteFile(old, []byte("another film of the same length here"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "face-on.mp4"), []byte("short"), 0o600))
	found, err := l.FindClip(ctx, hashOf(clip), old, dir)
	require.NoError(t, err)
	assert.Equal(t, to, found)
	found, err = l.FindClip(ctx, hashOf([]byte("other")), old, dir)
	require.NoError(t, err)
	assert.Empty(t, found)
	require.NoError(t, os.Remove(old))
	missing, err = l.MissingClips(ctx)
	require.NoError(t, err)
	require.Len(t, missing, 1)
	assert.Equal(t, "First visit", missing[0].Lesson.Title)
}

func TestDocumentsChangedByOthersAreReadAnew(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	t.Chdir(dir)
	l := openAt(t, "library") // a relative folder
	l.now = time.Now
	path := filepath.Join(dir, "a.json")
	lesson := written(t, path, "Mara Lindqvist", "First visit", "2026-05-02")
	record(t, l, path, lesson)
	n, err := l.Refresh(ctx)
	require.NoError(t, err)
	assert.Zero(t, n)
	lesson.Title = "Changed by hand"
	require.NoError(t, annotations.Save(path, lesson))
	require.NoError(t, os.Chtimes(path, time.Now(), time.Now().Add(time.Minute)))
	n, err = l.Refresh(ctx)
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.Equal(t, []string{"Changed by hand"}, titles(t, l, Query{}))
	require.NoError(t, os.WriteFile(path, []byte("spoilt"), 0o600))
	_, err = l.Refresh(ctx)
	require.NoError(t, err)
	assert.Equal(t, []string{"Changed by hand"}, titles(t, l, Query{}), "the last good state stays")
}

// TestTrashIsKeptToItsLastDay looks into the trash every day of its thirty, with a backup
// on each, and once more when they are over.
func TestTrashIsKeptToItsLastDay(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "a.json")
	require.NoError(t, l.Delete(ctx, record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02"))))
	at := func(days int, more time.Duration) int {
		l.now = func() time.Time { return day.AddDate(0, 0, days).Add(more) }
		require.NoError(t, l.Backup(ctx))
		n, err := l.EmptyTrash(ctx)
		require.NoError(t, err)
		return n
	}
	for d := range TrashDays {
		require.Zero(t, at(d, 0), "day %d", d)
	}
	require.Zero(t, at(TrashDays, -time.Minute))
	require.Equal(t, []string{"First visit"}, titles(t, l, Query{Trash: true}))
	require.Equal(t, 1, at(TrashDays, time.Minute))
}
