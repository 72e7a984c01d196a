//go:build unix

package library

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library/parcel"
	"turngauge/annotations/place"
	"turngauge/geometry"
)

// contents are the files of a zip file.
func contents(t *testing.T, file string) map[string]string {
	t.Helper()
	z, err := zip.OpenReader(file)
	require.NoError(t, err)
	defer func() { _ = z.Close() }()
	out := make(map[string]string)
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(r)
		require.NoError(t, err)
		out[f.Name] = string(data)
	}
	return out
}

// TestExportTakesOnlyWhatIsTheLessons exports a lesson that names, as its clips, private
// files, what no export can hold, and films in its folder and elsewhere.
func TestExportTakesOnlyWhatIsTheLessons(t *testing.T) {
	ctx, root := context.Background(), t.TempDir()
	dir := filepath.Join(root, "lessons", "one")
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "clips"), 0o700))
	file := func(path, text string) string {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	inside := file(filepath.Join(dir, "in.mp4"), "film inside")
	file(filepath.Join(dir, "clips", "under.mp4"), "film under")
	elsewhere := file(filepath.Join(root, "elsewhere.mp4"), "film elsewhere")
	key := file(filepath.Join(root, "id_rsa"), "PRIVATE KEY")
	note := file(filepath.Join(dir, "note.txt"), "PRIVATE NOTE")
	beside := filepath.Join(root, "lessons", "one-more")
	require.NoError(t, os.MkdirAll(beside, 0o700))
	near := file(filepath.Join(beside, "near.mp4"), "film near")
	require.NoError(t, os.Symlink(key, filepath.Join(dir, "link.mp4")))
	require.NoError(t, os.Symlink(root, filepath.Join(dir, "out")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe.mp4"), 0o600))

	l := openAt(t, filepath.Join(root, "library"))
	path := filepath.Join(dir, "lesson.json")
	lesson := written(t, path, "Mara Lindqvist", "First visit", "2026-05-02", func(l *annotations.Lesson) {
		l.Swings = nil
		for i, name := range []string{
			"in.mp4", "clips/under.mp4", inside, elsewhere, key, "../../id_rsa", "note.txt", "link.mp4", "out/id_rsa", "pipe.mp4", "/dev/zero", ".", "gone.mp4", "../one-more/near.mp4",
		} {
			l.Swings = append(l.Swings, annotations.Swing{ID: fmt.Sprint("s", i), Clips: []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: name, Width: 1920, Height: 1080}}})
		}
	})
	k := record(t, l, path, lesson)
	o := ExportOptions{Clips: true, Opens: func(_ context.Context, file string) error {
		if data, err := os.ReadFile(file); err != nil || !strings.HasPrefix(string(data), "film") {
			return errors.New("no film")
		}
		return nil
	}}
	asked, err := l.ExportAsks(ctx, []int64{k}, o)
	require.NoError(t, err)
	assert.Equal(t, []Withheld{
		{elsewhere, "lies outside the lesson's folder"},
		{key, "lies outside the lesson's folder and is no video that opens"},
		{note, "is no video that opens"},
		{near, "lies outside the lesson's folder"},
	}, asked)

	to := filepath.Join(root, "out.zip")
	out, err := l.Export(ctx, to, []int64{k}, o)
	require.NoError(t, err)
	assert.Equal(t, asked, out.Withheld)
	assert.Equal(t, 3, out.Clips)
	assert.Len(t, out.Notes, 4, "a pipe, a device, a folder, and one that is gone: %q", out.Notes)
	films := 0
	for name, text := range contents(t, to) {
		assert.NotContains(t, text, "PRIVATE", name)
		if strings.HasPrefix(text, "film") {
			assert.Contains(t, []string{"film inside", "film under"}, text)
			films++
		}
	}
	assert.Equal(t, 3, films)

	// By name, and only that.
	o.Allowed = []string{elsewhere}
	out, err = l.Export(ctx, to, []int64{k}, o)
	require.NoError(t, err)
	assert.Equal(t, 4, out.Clips)
	assert.Equal(t, asked[1:], out.Withheld)
	for _, text := range contents(t, to) {
		assert.NotContains(t, text, "PRIVATE")
	}
}

// TestExportTakesNoFileThatWasSwapped: a file that takes a film's name while the coach is
// asked is not exported in its place.
func TestExportTakesNoFileThatWasSwapped(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	film, key := filepath.Join(dir, "in.mp4"), filepath.Join(dir, "id_rsa")
	require.NoError(t, os.WriteFile(film, []byte("film inside"), 0o600))
	require.NoError(t, os.WriteFile(key, []byte("PRIVATE KEY"), 0o600))
	path := filepath.Join(dir, "lesson.json")
	k := record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02", func(l *annotations.Lesson) {
		l.Swings = []annotations.Swing{{ID: "s1", Clips: []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: "in.mp4", Width: 1920, Height: 1080}}}}
	}))
	to := filepath.Join(dir, "out.zip")
	_, err := l.Export(ctx, to, []int64{k}, ExportOptions{Clips: true, Opens: func(context.Context, string) error { return os.Rename(key, film) }})
	require.ErrorContains(t, err, "was replaced by another file meanwhile")
	assert.NoFileExists(t, to)
}

// TestWhatIsNoFileIsNotImported: what is wrong with a parcel is told as it is.
func TestWhatIsNoFileIsNotImported(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	pipe := filepath.Join(dir, "pipe.zip")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for file, want := range map[string]error{filepath.Join(dir, "gone.zip"): fs.ErrNotExist, pipe: place.ErrNotRegular, dir: place.ErrNotRegular} {
		_, err := l.AnnounceZip(ctx, file)
		assert.ErrorIs(t, err, want, file)
		_, err = l.ImportZip(ctx, file, filepath.Join(dir, "lessons"), ImportOptions{})
		assert.ErrorIs(t, err, want, file)
	}
}

// TestRefreshReadsWhatHasChanged and leaves alone what has not, what is gone, and what is
// no lesson any more, which is found as it was recorded.
func TestRefreshReadsWhatHasChanged(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := func(name string) string { return filepath.Join(dir, name+".json") }
	for _, name := range []string{"same", "gone", "damaged", "changed"} {
		record(t, l, path(name), written(t, path(name), "Mara Lindqvist", name, "2026-05-02", func(l *annotations.Lesson) { l.ID = annotations.NewID() }))
	}
	require.NoError(t, os.Remove(path("gone")))
	require.NoError(t, os.WriteFile(path("damaged"), []byte("rubbish"), 0o600))
	written(t, path("changed"), "Mara Lindqvist", "changed by another", "2026-05-02")
	later := day.AddDate(0, 0, 1)
	for name, at := range map[string]time.Time{"same": day.AddDate(0, 0, -1), "damaged": later, "changed": later} {
		require.NoError(t, os.Chtimes(path(name), at, at))
	}
	n, err := l.Refresh(ctx)
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.ElementsMatch(t, []string{"same", "gone", "damaged", "changed by another"}, titles(t, l, Query{}))
}

// TestTrashTellsWhatItCouldNotMove: a document that can't be moved stays, and so does the
// lesson where it is listed, in the library or in the trash.
func TestTrashTellsWhatItCouldNotMove(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "lesson.json")
	key := record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02"))
	e, err := l.Lesson(ctx, key)
	require.NoError(t, err)
	taken := filepath.Join(l.trash(), e.uid+".json")
	require.NoError(t, os.MkdirAll(l.trash(), 0o700))
	require.NoError(t, os.WriteFile(taken, []byte("of another"), 0o600))
	require.Error(t, l.Delete(ctx, key))
	assert.Equal(t, []string{"First visit"}, titles(t, l, Query{}))
	assert.FileExists(t, path)
	data, err := os.ReadFile(taken)
	require.NoError(t, err)
	assert.Equal(t, "of another", string(data))

	// One that is gone from the trash comes back from its copy.
	require.NoError(t, os.Remove(taken))
	require.NoError(t, l.Delete(ctx, key))
	require.NoError(t, os.Remove(taken))
	back, err := l.Undelete(ctx, key)
	require.NoError(t, err)
	lesson, _, err := annotations.Load(back)
	require.NoError(t, err)
	assert.Equal(t, "First visit", lesson.Title)

	require.NoError(t, l.Delete(ctx, key))
	require.NoError(t, os.RemoveAll(taken))
	require.NoError(t, syscall.Mkfifo(taken, 0o600))
	_, err = l.Undelete(ctx, key)
	require.Error(t, err)
	assert.Empty(t, titles(t, l, Query{}))
	assert.Equal(t, []string{"First visit"}, titles(t, l, Query{Trash: true}))
	assert.NoFileExists(t, path)
}

// parcelOf is a zip file with lessons of students, and the ranges of a manifest.
func parcelOf(t *testing.T, ranges []string, lessons ...string) string {
	t.Helper()
	return zipOf(t, func(z *zip.Writer) {
		m := parcel.Manifest{}
		for i, student := range ranges {
			m.Targets = append(m.Targets, parcel.Ranges{Student: student, Ranges: annotations.Targets{{Measure: "tempo", Range: geometry.Range{Low: float64(i) + 1, High: 9}, Source: "theirs"}}})
		}
		data, err := m.Encode()
		require.NoError(t, err)
		add(t, z, parcel.ManifestName, data)
		for i, student := range lessons {
			one := annotations.NewLesson()
			one.Student.Name = student
			data, err := one.Encode()
			require.NoError(t, err)
			add(t, z, fmt.Sprintf("%d/lesson.json", i), data)
		}
	})
}

// TestRangesAreTakenOnlyWhereAsked imports ranges for students that are in the parcel,
// that are not, and that have ranges of their own.
func TestRangesAreTakenOnlyWhereAsked(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	for _, name := range []string{"Mara Lindqvist", "Bjørn Håland"} {
		path := filepath.Join(dir, name+".json")
		record(t, l, path, written(t, path, name, "Visit", "2026-05-02"))
	}
	ranges := func(name string) annotations.Targets {
		key, err := l.StudentNamed(ctx, name)
		require.NoError(t, err)
		require.NotZero(t, key)
		set, _, err := l.TargetSet(ctx, key)
		require.NoError(t, err)
		return set.Ranges
	}
	file := parcelOf(t, []string{"Bjørn Håland", "Mara Lindqvist", "Ida Solberg", "mara  lindqvist", ""}, "Mara Lindqvist", "Ida Solberg")
	told, err := l.AnnounceZip(ctx, file)
	require.NoError(t, err)
	require.Len(t, told.Ranges, 2)
	assert.Equal(t, "Mara Lindqvist", told.Ranges[0].Student)
	assert.Equal(t, "Ida Solberg", told.Ranges[1].Student)

	out, err := l.ImportZip(ctx, file, filepath.Join(dir, "lessons"), ImportOptions{})
	require.NoError(t, err)
	assert.Equal(t, told.Ranges, out.Ranges)
	assert.Contains(t, strings.Join(out.Notes, "\n"), `"Bjørn Håland"`)
	for _, name := range []string{"Mara Lindqvist", "Bjørn Håland", "Ida Solberg"} {
		assert.Empty(t, ranges(name), name)
	}
	out, err = l.ImportZip(ctx, file, filepath.Join(dir, "lessons"), ImportOptions{RangesOf: []string{"ida solberg", "Bjørn Håland"}})
	require.NoError(t, err)
	assert.False(t, out.Ranges[0].Taken)
	assert.True(t, out.Ranges[1].Taken)
	assert.Empty(t, ranges("Mara Lindqvist"))
	assert.Empty(t, ranges("Bjørn Håland"), "no lesson of his came with it")
	require.Len(t, ranges("Ida Solberg"), 1)
	assert.Equal(t, 3.0, ranges("Ida Solberg")[0].Range.Low)

	assert.Equal(t, []string{"tempo: 3 to 9 (theirs)"}, out.Ranges[1].Lines(false))
	all := OfferedRanges{Ranges: annotations.Targets{
		{Measure: "pelvis turn", Position: geometry.Top, Clubs: annotations.Driver, Sex: geometry.Female, Range: geometry.Range{Low: math.Inf(-1), High: 45}},
		{Measure: "stance width", Sex: geometry.Male, Range: geometry.Range{Low: 2.54, High: math.Inf(1)}},
	}}
	assert.Equal(t, []string{"pelvis turn at top, driver, women: at most 45°", "stance width, men: at least 1 in"}, all.Lines(true))

	// Those that a student has are never replaced, and it is said.
	out, err = l.ImportZip(ctx, parcelOf(t, []string{"Ida Solberg"}, "Ida Solberg"), filepath.Join(dir, "lessons"), ImportOptions{RangesOf: []string{"Ida Solberg"}})
	require.NoError(t, err)
	assert.Contains(t, strings.Join(out.Notes, "\n"), "there are others for that student here")
	assert.Equal(t, 3.0, ranges("Ida Solberg")[0].Range.Low)
}

// TestImportWritesNoMoreThanIsAsked takes a small zip file with one clip that eighty
// lessons name.
func TestImportWritesNoMoreThanIsAsked(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	bomb := func(lessons int, clip int) string {
		return zipOf(t, func(z *zip.Writer) {
			for i := range lessons {
				add(t, z, fmt.Sprintf("%d.json", i), documentOf(t, "fo.mp4"))
			}
			add(t, z, "fo.mp4", make([]byte, clip))
		})
	}
	file := bomb(80, 50<<20)
	told, err := l.AnnounceZip(ctx, file)
	require.NoError(t, err)
	assert.Greater(t, told.Bytes, int64(80*50<<20))
	to := filepath.Join(dir, "lessons")
	_, err = l.ImportZip(ctx, file, to, ImportOptions{})
	var large *LargeError
	require.ErrorAs(t, err, &large)
	assert.Equal(t, told.Bytes, large.Bytes)
	assert.ErrorContains(t, err, "4.2 GB")
	assert.NoDirExists(t, to)
	_, err = l.ImportZip(ctx, bomb(3, 1000), to, ImportOptions{})
	require.NoError(t, err)

	// A film in which several swings were filmed is written once.
	file = zipOf(t, func(z *zip.Writer) {
		one := annotations.NewLesson()
		for i := range 80 {
			one.Swings = append(one.Swings, annotations.Swing{ID: fmt.Sprint("s", i), Clips: []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: "fo.mp4", Width: 1920, Height: 1080}}})
		}
		data, err := one.Encode()
		require.NoError(t, err)
		add(t, z, "lesson.json", data)
		add(t, z, "fo.mp4", bytes.Repeat([]byte("x"), 1000))
	})
	out, err := l.ImportZip(ctx, file, to, ImportOptions{})
	require.NoError(t, err)
	assert.Equal(t, 1, out.Lessons[0].Clips)
	got, _, err := annotations.Load(out.Lessons[0].Path)
	require.NoError(t, err)
	for _, s := range got.Swings {
		assert.Equal(t, "fo.mp4", s.Clips[0].File)
	}
}

// TestImportTellsWhatItCouldNotWrite: a lesson that can't be written ends the import with
// an error; it is not left out in silence.
func TestImportTellsWhatItCouldNotWrite(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	taken := filepath.Join(dir, "taken")
	require.NoError(t, os.WriteFile(taken, nil, 0o600))
	file := zipOf(t, func(z *zip.Writer) {
		add(t, z, "one/lesson.json", documentOf(t, "fo.mp4"))
		w, err := z.CreateHeader(&zip.FileHeader{Name: "one/fo.mp4", Method: zip.Store})
		require.NoError(t, err)
		_, err = w.Write([]byte("film"))
		require.NoError(t, err)
	})
	for _, to := range []string{taken, filepath.Join(taken, "inside")} {
		out, err := l.ImportZip(ctx, file, to, ImportOptions{})
		require.Error(t, err)
		assert.ErrorContains(t, err, "one/lesson.json")
		assert.Empty(t, out.Lessons)
	}
	// A clip that is damaged in the zip file, too.
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, bytes.Replace(data, []byte("film"), []byte("fill"), 1), 0o600))
	to := filepath.Join(dir, "lessons")
	out, err := l.ImportZip(ctx, file, to, ImportOptions{})
	require.Error(t, err)
	assert.Empty(t, out.Lessons)
	assert.Empty(t, everything(t, to), "nothing of a lesson that is not whole stays")
	assert.Empty(t, titles(t, l, Query{}))
}

// TestEveryClipOfAParcelIsTaken imports lessons with clips of two views and two swings.
func TestEveryClipOfAParcelIsTaken(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	file := zipOf(t, func(z *zip.Writer) {
		for i := range 3 {
			one := annotations.NewLesson()
			one.Title = fmt.Sprint("Visit ", i)
			for s := range 2 {
				sw := annotations.Swing{ID: fmt.Sprint("s", s)}
				for c, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
					name := fmt.Sprintf("%d%d.mp4", s, c)
					sw.Clips = append(sw.Clips, annotations.Clip{ID: fmt.Sprint("c", c), View: view, File: name, Width: 1920, Height: 1080})
					add(t, z, fmt.Sprintf("%d/%s", i, name), []byte(fmt.Sprint("film ", i, name)))
				}
				one.Swings = append(one.Swings, sw)
			}
			data, err := one.Encode()
			require.NoError(t, err)
			add(t, z, fmt.Sprintf("%d/lesson.json", i), data)
		}
	})
	out, err := l.ImportZip(ctx, file, filepath.Join(dir, "lessons"), ImportOptions{})
	require.NoError(t, err)
	require.Len(t, out.Lessons, 3)
	for i, one := range out.Lessons {
		assert.Equal(t, 4, one.Clips)
		assert.Empty(t, one.Notes)
		got, _, err := annotations.Load(one.Path)
		require.NoError(t, err)
		for _, s := range got.Swings {
			for _, c := range s.Clips {
				data, err := os.ReadFile(filepath.Join(filepath.Dir(one.Path), c.File))
				require.NoError(t, err)
				assert.Equal(t, fmt.Sprint("film ", i, c.File), string(data))
			}
		}
	}
}
