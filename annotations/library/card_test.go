package library

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/geometry"
)

func called(id string) func(*annotations.Lesson) {
	return func(l *annotations.Lesson) { l.ID, l.Student.ID = annotations.NewID(), id }
}

func names(t *testing.T, l *Library) (out []string) {
	t.Helper()
	list, err := l.Students(context.Background(), Query{})
	require.NoError(t, err)
	for _, s := range list {
		out = append(out, s.Name)
	}
	return out
}

// TestTwoStudentsOfOneName: they are told apart by the ids in their documents, each has
// their own lesson before, and a spelling in other letters renames nobody.
func TestTwoStudentsOfOneName(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	at := func(name string) string { return filepath.Join(dir, name+".json") }
	one := written(t, at("one"), "Mara Lindqvist", "one", "2026-05-01", called(""))
	record(t, l, at("one"), one)

	out, err := l.TellApart(ctx, "MARA lindqvist", "")
	require.NoError(t, err)
	assert.Equal(t, 1, out.Lessons)
	one, _, err = annotations.Load(at("one"))
	require.NoError(t, err)
	require.NotEmpty(t, one.Student.ID)
	other := written(t, at("other"), "Mara Lindqvist", "other", "2026-05-03", called("other"))
	record(t, l, at("other"), other)
	shout := written(t, at("shout"), "MARA LINDQVIST", "shout", "2026-05-05", called("other"))
	record(t, l, at("shout"), shout)
	require.Equal(t, []string{"Mara Lindqvist", "Mara Lindqvist"}, names(t, l))

	mine, err := l.StudentOf(ctx, &one.Student)
	require.NoError(t, err)
	theirs, err := l.StudentOf(ctx, &other.Student)
	require.NoError(t, err)
	assert.Equal(t, []string{"one"}, titles(t, l, Query{Student: mine}))
	assert.Equal(t, []string{"shout", "other"}, titles(t, l, Query{Student: theirs}))
	before, ok, err := l.Before(ctx, &other.Student, "2026-05-05", at("shout"))
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, "other", before.Title)
	_, ok, err = l.Before(ctx, &one.Student, "2026-05-05", at("one"))
	require.NoError(t, err)
	assert.False(t, ok, "the other's lesson is none before")

	c, err := l.Card(ctx, mine)
	require.NoError(t, err)
	assert.Equal(t, []Other{{theirs, "other", "Mara Lindqvist", 2, "2026-05-05"}}, c.Others)

	called, err := l.Called(ctx, "mara lindqvist")
	require.NoError(t, err)
	assert.Len(t, called, 2)
	called, err = l.Called(ctx, "other")
	require.NoError(t, err)
	require.Len(t, called, 1)
	assert.Equal(t, theirs, called[0].Student)

	// A library made anew from the documents tells them apart as well.
	again := openAt(t, filepath.Join(dir, "again"))
	for _, name := range []string{"shout", "one", "other"} {
		lesson, _, err := annotations.Load(at(name))
		require.NoError(t, err)
		record(t, again, at(name), lesson)
	}
	assert.Len(t, names(t, again), 2)
}

// TestALessonWithAnIDIsTheStudentsWhoHadNone: the first document with an id is of the one
// student of its name.
func TestALessonWithAnIDIsTheStudentsWhoHadNone(t *testing.T) {
	dir := t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	for i, id := range []string{"", "x", "", "x"} {
		path := filepath.Join(dir, string(rune('a'+i))+".json")
		record(t, l, path, written(t, path, "Mara Lindqvist", "t", "2026-05-01", called(id)))
	}
	assert.Len(t, names(t, l), 1)
}

// TestACardIsCarriedThroughTheLessons, into those in the trash too, and not into one that
// is open; a lesson from before changes nothing on it, one from later does.
func TestACardIsCarriedThroughTheLessons(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	paths := make([]string, 4)
	var key int64
	for i := range paths {
		paths[i] = filepath.Join(dir, string(rune('a'+i))+".json")
		lesson := written(t, paths[i], "Mara Lindquist", "t", "2026-05-01", called(""), func(l *annotations.Lesson) { l.Student.StatureM = 1.7 })
		key = record(t, l, paths[i], lesson)
	}
	require.NoError(t, l.Delete(ctx, key))
	open, err := saver.Open(paths[1], nil)
	require.NoError(t, err)
	t.Cleanup(func() { _ = open.Close() })
	student, err := l.StudentNamed(ctx, "Mara Lindquist")
	require.NoError(t, err)
	c, err := l.Card(ctx, student)
	require.NoError(t, err)
	assert.InDelta(t, 1.7, c.StatureM, 1e-12)
	was := c
	c.Name, c.Handed, c.StatureM, c.Handicap, c.Injuries, c.Contact = "Mara Lindqvist", geometry.LeftHanded, 1.72, "+1.4", "lead knee", "mara@fjordholm.example"
	for _, bad := range []string{"scratch", "54.1", "12.45", "-3"} {
		wrong := c
		wrong.Handicap = bad
		_, err := l.SetCard(ctx, wrong, "")
		assert.ErrorContains(t, err, "12.4", bad)
	}
	out, err := l.SetCard(ctx, c, paths[2])
	require.NoError(t, err)
	assert.Equal(t, 2, out.Lessons, "a and the one in the trash")
	require.Len(t, out.Left, 1)
	assert.Equal(t, paths[1], out.Left[0].File)
	first, _, err := annotations.Load(paths[0])
	require.NoError(t, err)
	assert.Equal(t, "Mara Lindqvist", first.Student.Name)
	assert.InDelta(t, 1.7, first.Student.StatureM, 1e-12, "as tall as at that lesson")

	for _, again := range paths[1:3] { // whoever has them open records the name too
		lesson, _, err := annotations.Load(again)
		require.NoError(t, err)
		lesson.Student.ID, lesson.Student.Name = first.Student.ID, c.Name
		record(t, l, again, lesson)
	}
	assert.Equal(t, []string{"Mara Lindqvist"}, names(t, l))
	got, err := l.Card(ctx, student)
	require.NoError(t, err)
	c.ID = got.ID
	assert.Equal(t, c, got)

	later := written(t, paths[0], "Mara Lindqvist", "later", "2026-08-01", func(l *annotations.Lesson) {
		l.ID, l.Student.ID, l.Student.StatureM = first.ID, first.Student.ID, 1.75
	})
	record(t, l, paths[0], later)
	got, err = l.Card(ctx, student)
	require.NoError(t, err)
	assert.InDelta(t, 1.75, got.StatureM, 1e-12)

	// Back to what was.
	_, err = l.SetCard(ctx, was, "")
	require.NoError(t, err)
	first, _, err = annotations.Load(paths[0])
	require.NoError(t, err)
	assert.Equal(t, "Mara Lindquist", first.Student.Name)
}

// TestKilledWhileTheNameIsCarried: with only some of the documents written, all lessons
// are still one student's.
func TestKilledWhileTheNameIsCarried(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	var paths []string
	for i := range 3 {
		paths = append(paths, filepath.Join(dir, string(rune('a'+i))+".json"))
		record(t, l, paths[i], written(t, paths[i], "Mara Lindquist", "t", "2026-05-01", called("")))
	}
	student, err := l.StudentNamed(ctx, "Mara Lindquist")
	require.NoError(t, err)
	require.NoError(t, l.identify(ctx, student))
	c, err := l.Card(ctx, student)
	require.NoError(t, err)
	_, err = l.carryInto(ctx, paths[0], c.ID, "Mara Lindqvist", false)
	require.NoError(t, err)
	for _, p := range paths {
		lesson, _, err := annotations.Load(p)
		require.NoError(t, err)
		lesson.Notes = "opened again"
		record(t, l, p, lesson)
	}
	assert.Len(t, titles(t, l, Query{Student: student}), 3)
}

// TestJoinedStudentsAreTakenApartAgain, documents untouched.
func TestJoinedStudentsAreTakenApartAgain(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	keys := map[string]int64{}
	for _, name := range []string{"Mara Lindqvist", "Mara L"} {
		path := filepath.Join(dir, name+".json")
		lesson := written(t, path, name, name, "2026-05-01", called(""))
		record(t, l, path, lesson)
		key, err := l.StudentOf(ctx, &lesson.Student)
		require.NoError(t, err)
		keys[name] = key
		require.NoError(t, l.SetConsent(ctx, Consent{Student: key, By: name, Given: "2026-05-02"}))
	}
	into, from := keys["Mara Lindqvist"], keys["Mara L"]
	require.Error(t, l.Join(ctx, into, into))
	require.NoError(t, l.Join(ctx, into, from))
	assert.Equal(t, []string{"Mara Lindqvist"}, names(t, l))
	assert.Len(t, titles(t, l, Query{Student: into}), 2)
	c, err := l.Card(ctx, into)
	require.NoError(t, err)
	assert.Equal(t, []Other{{from, "", "Mara L", 1, "2026-05-01"}}, c.Joined)

	path := filepath.Join(dir, "Mara L.json")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	lesson, _, err := annotations.Load(path)
	require.NoError(t, err)
	lesson.Notes = "opened again"
	record(t, l, path, lesson)
	assert.Len(t, titles(t, l, Query{Student: into}), 2, "it stays joined")
	who, err := l.StudentOf(ctx, &lesson.Student)
	require.NoError(t, err)
	assert.Equal(t, into, who)

	require.NoError(t, l.Separate(ctx, from))
	assert.Equal(t, []string{"Mara L", "Mara Lindqvist"}, names(t, l))
	assert.Equal(t, []string{"Mara L"}, titles(t, l, Query{Student: from}))
	_, ok, err := l.ConsentOf(ctx, from)
	require.NoError(t, err)
	assert.True(t, ok)
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, data, now)
}

// TestErasingOneOfTwoOfAName leaves the other whole; who is joined goes along, and so do
// photos, contact and notes, to the last byte.
func TestErasingOneOfTwoOfAName(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	lesson := map[string]*annotations.Lesson{}
	for _, id := range []string{"stays", "goes", "same"} {
		name := "Zerlina Quast"
		if id == "same" {
			name = "Zerlina Mondegrün"
		}
		path := filepath.Join(dir, id+".json")
		lesson[id] = written(t, path, name, id, "2026-05-01", called(id))
		record(t, l, path, lesson[id])
	}
	require.NoError(t, l.Backup(ctx))
	key := func(id string) int64 {
		k, err := l.StudentOf(ctx, &lesson[id].Student)
		require.NoError(t, err)
		return k
	}
	goes := key("goes")
	require.NoError(t, l.Join(ctx, goes, key("same")))
	for range 2 {
		photo, err := l.KeepPhoto(ctx, goes, []byte("a face"))
		require.NoError(t, err)
		c, err := l.Card(ctx, goes)
		require.NoError(t, err)
		c.Photo, c.Contact, c.Injuries = photo, "zerlina@fjordholm.example", "meniscus"
		_, err = l.SetCard(ctx, c, "")
		require.NoError(t, err)
	}
	l.now = func() time.Time { return day.AddDate(0, 0, 1) }
	require.NoError(t, l.Backup(ctx))
	h, err := l.HeldOf(ctx, goes, dir)
	require.NoError(t, err)
	require.Len(t, h.Lessons, 2)
	out, err := l.EraseStudent(ctx, goes, h, nil)
	require.NoError(t, err)
	assert.Equal(t, 2, out.Lessons)
	assert.Equal(t, []string{"stays"}, titles(t, l, Query{}))
	assert.Equal(t, []string{"Zerlina Quast"}, names(t, l))
	for _, text := range []string{"Mondegr", "fjordholm.example", "meniscus", "a face"} {
		assert.Empty(t, matches(t, dir, text), text)
	}
	copies, err := l.Copies(ctx, mustLesson(t, l, filepath.Join(dir, "stays.json")))
	require.NoError(t, err)
	assert.NotEmpty(t, copies)
	for _, left := range out.Left {
		assert.True(t, strings.HasPrefix(left.Why, "it still holds the name"), "%v: the other has it", left)
	}
}

func mustLesson(t *testing.T, l *Library, path string) int64 {
	t.Helper()
	e, err := l.At(context.Background(), path)
	require.NoError(t, err)
	return e.Key
}

// TestPhotosMoveWithTheLibrary and are swept when nobody has them any more.
func TestPhotosMoveWithTheLibrary(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "a.json")
	record(t, l, path, written(t, path, "Mara Lindqvist", "t", "2026-05-01"))
	student, err := l.StudentNamed(ctx, "Mara Lindqvist")
	require.NoError(t, err)
	c, err := l.Card(ctx, student)
	require.NoError(t, err)
	loose, err := l.KeepPhoto(ctx, student, []byte("before"))
	require.NoError(t, err)
	c.Photo, err = l.KeepPhoto(ctx, student, []byte("a face"))
	require.NoError(t, err)
	_, err = l.SetCard(ctx, c, "")
	require.NoError(t, err)
	info, err := os.Stat(c.Photo)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	moved, err := l.Move(ctx, filepath.Join(dir, "elsewhere"))
	require.NoError(t, err)
	t.Cleanup(func() { _ = moved.Close() })
	got, err := moved.Card(ctx, student)
	require.NoError(t, err)
	assert.FileExists(t, got.Photo)
	assert.NoFileExists(t, c.Photo)
	moved.now = func() time.Time { return time.Now().AddDate(0, 0, TrashDays+1) }
	require.NoError(t, moved.sweepPhotos(ctx))
	assert.FileExists(t, got.Photo)
	assert.NoFileExists(t, filepath.Join(moved.photos(), filepath.Base(loose)))
}

// TestACardThatIsKeptAsItWasChangesNoDocument: the name is carried where it is another.
func TestACardThatIsKeptAsItWasChangesNoDocument(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "a.json")
	record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02"))
	key, err := l.StudentNamed(ctx, "Mara Lindqvist")
	require.NoError(t, err)
	c, err := l.Card(ctx, key)
	require.NoError(t, err)
	out, err := l.SetCard(ctx, c, "") // with an id from now on
	require.NoError(t, err)
	assert.Equal(t, 1, out.Lessons)
	before, err := os.Stat(path)
	require.NoError(t, err)
	c, err = l.Card(ctx, key)
	require.NoError(t, err)
	c.Contact = "by telephone"
	out, err = l.SetCard(ctx, c, "")
	require.NoError(t, err)
	assert.Zero(t, out.Lessons)
	after, err := os.Stat(path)
	require.NoError(t, err)
	assert.True(t, os.SameFile(before, after), "it was not written anew")
	c.Name = "Mara Berg"
	out, err = l.SetCard(ctx, c, "")
	require.NoError(t, err)
	assert.Equal(t, 1, out.Lessons)
}
