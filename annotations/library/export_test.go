package library

import (
	"archive/zip"
	"bytes"
	"context"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library/parcel"
	"turngauge/geometry"
)

// anyFilm takes every file for a video.
func anyFilm(context.Context, string) error { return nil }

// exported is a zip file of a lesson with a clip, tags and ranges, made by one
// library.
func exported(t *testing.T, clips bool) (file string, lesson *annotations.Lesson) {
	t.Helper()
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	film := bytes.Repeat([]byte("film "), 1000)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "face-on.mp4"), film, 0o600))
	path := filepath.Join(dir, "a.json")
	lesson = written(t, path, "Zoë Ångström", "First/visit: \"7-iron\"", "2026-05-02", func(l *annotations.Lesson) {
		l.Swings[0].Clips[0].SHA256 = hashOf(film)
	})
	key := record(t, l, path, lesson)
	require.NoError(t, l.SetTags(ctx, key, []string{"squad"}))
	e, err := l.Lesson(ctx, key)
	require.NoError(t, err)
	require.NoError(t, l.SetTargets(ctx, e.StudentKey, annotations.Targets{{Measure: "tempo", Range: geometry.Range{Low: 2, High: 3}, Source: "mine"}}))
	file = filepath.Join(dir, "out.zip")
	out, err := l.Export(ctx, file, []int64{key}, ExportOptions{Clips: clips, Opens: anyFilm})
	require.NoError(t, err)
	assert.Equal(t, 1, out.Lessons)
	return file, lesson
}

// TestExportIsOfUseWithoutTheProgram unpacks an export with Info-ZIP's unzip or,
// where that is not installed, Python's zipfile.
func TestExportIsOfUseWithoutTheProgram(t *testing.T) {
	file, lesson := exported(t, true)
	dir := t.TempDir()
	if out, err := exec.Command("python3", "-m", "zipfile", "-e", file, dir).CombinedOutput(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("python3: %v %s", err, out)
		}
		t.Skip("python3 is not here")
	}
	path := filepath.Join(dir, `Zoë Ångström 2026-05-02 First-visit- -7-iron-`, "lesson.json")
	got, warnings, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	clip := &got.Swings[0].Clips[0]
	assert.Equal(t, "face-on.mp4", clip.File)
	film, err := os.ReadFile(filepath.Join(filepath.Dir(path), clip.File))
	require.NoError(t, err)
	assert.Equal(t, clip.SHA256, hashOf(film))
	a, err := lesson.Encode()
	require.NoError(t, err)
	b, err := got.Encode()
	require.NoError(t, err)
	assert.Equal(t, string(a), string(b))
}

func TestImportTakesLessonsAndResolvesTwins(t *testing.T) {
	ctx := context.Background()
	file, lesson := exported(t, true)
	dir := t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	to := filepath.Join(dir, "lessons")
	out, err := l.ImportZip(ctx, file, to, ImportOptions{})
	require.NoError(t, err)
	require.Len(t, out.Lessons, 1)
	first := out.Lessons[0]
	assert.Equal(t, 1, first.Clips)
	assert.Empty(t, first.Notes)
	assert.False(t, first.Known)
	assert.Equal(t, []string{lesson.Title}, titles(t, l, Query{Tag: "squad", Text: "angstrom"}))
	student, err := l.StudentNamed(ctx, "zoë ångström")
	require.NoError(t, err)
	_, ok, err := l.TargetSet(ctx, student)
	require.NoError(t, err)
	assert.False(t, ok, "the ranges are offered, and nobody asked for them")
	require.Len(t, out.Ranges, 1)
	assert.Equal(t, "Zoë Ångström", out.Ranges[0].Student)

	out, err = l.ImportZip(ctx, file, to, ImportOptions{})
	require.NoError(t, err)
	assert.True(t, out.Lessons[0].Known)
	assert.Equal(t, first.Path, out.Lessons[0].Path)

	mine, _, err := annotations.Load(first.Path)
	require.NoError(t, err)
	mine.Notes = "worked on here"
	require.NoError(t, annotations.Save(first.Path, mine))
	out, err = l.ImportZip(ctx, file, to, ImportOptions{})
	require.NoError(t, err)
	assert.True(t, out.Lessons[0].Changed)
	assert.NotEqual(t, first.Path, out.Lessons[0].Path)
	kept, _, err := annotations.Load(first.Path)
	require.NoError(t, err)
	assert.Equal(t, "worked on here", kept.Notes)
	assert.Equal(t, []string{lesson.Title, lesson.Title + " (imported 2026-05-02)"}, sorted(titles(t, l, Query{})))
}

func sorted(s []string) []string {
	if len(s) == 2 && s[0] > s[1] {
		s[0], s[1] = s[1], s[0]
	}
	return s
}

func TestImportWithoutClipsFindsThemAtHome(t *testing.T) {
	ctx := context.Background()
	file, _ := exported(t, false)
	home := filepath.Dir(file)
	l := openAt(t, filepath.Join(home, "library")) // the library that made it
	list, err := l.Lessons(ctx, Query{})
	require.NoError(t, err)
	require.NoError(t, l.Delete(ctx, list[0].Key))
	out, err := l.ImportZip(ctx, file, filepath.Join(home, "lessons"), ImportOptions{})
	require.NoError(t, err)
	assert.Empty(t, out.Lessons[0].Notes)
	got, _, err := annotations.Load(out.Lessons[0].Path)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(home, "face-on.mp4"), got.Swings[0].Clips[0].File)

	other := openAt(t, filepath.Join(t.TempDir(), "library"))
	out, err = other.ImportZip(ctx, file, t.TempDir(), ImportOptions{})
	require.NoError(t, err)
	require.Len(t, out.Lessons[0].Notes, 1)
	assert.Contains(t, out.Lessons[0].Notes[0], "face-on.mp4 is not in it")
}

// zipOf writes a zip file of names and contents.
func zipOf(t testing.TB, write func(z *zip.Writer)) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "x.zip")
	f, err := os.Create(file)
	require.NoError(t, err)
	z := zip.NewWriter(f)
	write(z)
	require.NoError(t, z.Close())
	require.NoError(t, f.Close())
	return file
}

func add(t testing.TB, z *zip.Writer, name string, data []byte) {
	t.Helper()
	w, err := z.Create(name)
	require.NoError(t, err)
	_, err = w.Write(data)
	require.NoError(t, err)
}

func documentOf(t testing.TB, clip string) []byte {
	t.Helper()
	l := generated(1)
	l.Swings[0].Clips = []annotations.Clip{{ID: "fo", View: geometry.FaceOn, File: clip, Width: 1920, Height: 1080}}
	data, err := l.Encode()
	require.NoError(t, err)
	return data
}

// everything lists what is under a folder.
func everything(t testing.TB, dir string) []string {
	t.Helper()
	var out []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if rel, _ := filepath.Rel(dir, path); err == nil && !d.IsDir() {
			out = append(out, rel)
		}
		return err
	}))
	return out
}

func TestHostileZipFiles(t *testing.T) {
	ctx := context.Background()
	bomb := append([]byte(`{"kind":"turngauge-lesson","version":1,"notes":"`), bytes.Repeat([]byte("a"), annotations.MaxBytes+10)...)
	for name, c := range map[string]struct {
		file func(t *testing.T) string
		err  string
		note string
	}{
		"a document outside": {func(t *testing.T) string {
			return zipOf(t, func(z *zip.Writer) { add(t, z, "../../evil.json", documentOf(t, "")) })
		}, "", "leads out of the folder"},
		"a clip outside": {func(t *testing.T) string {
			return zipOf(t, func(z *zip.Writer) {
				add(t, z, "a/lesson.json", documentOf(t, "../../../evil.mp4"))
				add(t, z, "../../evil.mp4", []byte("evil"))
				add(t, z, "a/../../../evil.mp4", []byte("evil"))
			})
		}, "", ""},
		"an absolute clip": {func(t *testing.T) string {
			return zipOf(t, func(z *zip.Writer) {
				add(t, z, "a/lesson.json", documentOf(t, "/etc/passwd"))
				add(t, z, "/etc/passwd", []byte("evil"))
			})
		}, "", ""},
		"a link": {func(t *testing.T) string {
			return zipOf(t, func(z *zip.Writer) {
				add(t, z, "a/lesson.json", documentOf(t, "fo.mp4"))
				h := &zip.FileHeader{Name: "a/fo.mp4"}
				h.SetMode(fs.ModeSymlink | 0o777)
				w, err := z.CreateHeader(h)
				require.NoError(t, err)
				_, err = w.Write([]byte("/etc/passwd"))
				require.NoError(t, err)
			})
		}, "", ""},
		"a bomb of a document": {func(t *testing.T) string {
			return zipOf(t, func(z *zip.Writer) { add(t, z, "lesson.json", bomb) })
		}, "", "larger than any lesson"},
		"no zip file": {func(t *testing.T) string {
			f := filepath.Join(t.TempDir(), "x.zip")
			require.NoError(t, os.WriteFile(f, []byte("rubbish"), 0o600))
			return f
		}, "not a zip file, or not whole", ""},
		"cut off": {func(t *testing.T) string {
			f, _ := exported(t, true)
			require.NoError(t, os.Truncate(f, 3000))
			return f
		}, "not a zip file, or not whole", ""},
		"no lesson": {func(t *testing.T) string {
			return zipOf(t, func(z *zip.Writer) { add(t, z, "a.json", []byte("{}")); add(t, z, "b.txt", nil) })
		}, "no lesson in it", ""},
		"not there": {func(t *testing.T) string { return filepath.Join(t.TempDir(), "x.zip") }, "can't be imported", ""},
		"a newer one": {func(t *testing.T) string {
			return zipOf(t, func(z *zip.Writer) {
				add(t, z, parcel.ManifestName, []byte(`{"kind":"turngauge-export","version":99}`))
				add(t, z, "lesson.json", documentOf(t, ""))
			})
		}, "newer version", ""},
	} {
		t.Run(name, func(t *testing.T) {
			root := t.TempDir()
			l := openAt(t, filepath.Join(root, "library"))
			to := filepath.Join(root, "deep", "in", "lessons")
			out, err := l.ImportZip(ctx, c.file(t), to, ImportOptions{})
			if c.err != "" {
				require.ErrorContains(t, err, c.err)
			} else {
				require.NoError(t, err)
			}
			if c.note != "" {
				require.NotEmpty(t, out.Notes)
				assert.Contains(t, out.Notes[0], c.note)
				assert.Empty(t, out.Lessons)
			}
			for _, f := range everything(t, root) {
				assert.True(t, strings.HasPrefix(f, "library") || strings.HasPrefix(f, "deep/in/lessons/"), f)
				assert.NotContains(t, f, "evil")
				assert.NotContains(t, f, "passwd")
			}
		})
	}
}

// TestClipLongerThanItsHeader takes a zip file that says less of a clip than
// there is: what is unpacked is bounded, and nothing stays.
func TestClipLongerThanItsHeader(t *testing.T) {
	file := zipOf(t, func(z *zip.Writer) {
		add(t, z, "a/lesson.json", documentOf(t, "fo.mp4"))
		add(t, z, "a/fo.mp4", bytes.Repeat([]byte{0}, 5<<20))
	})
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	at := bytes.LastIndex(data, []byte("PK\x01\x02")) // of the clip, in the central directory
	copy(data[at+24:], []byte{100, 0, 0, 0})          // uncompressed size
	require.NoError(t, os.WriteFile(file, data, 0o600))
	root := t.TempDir()
	l := openAt(t, filepath.Join(root, "library"))
	_, err = l.ImportZip(context.Background(), file, filepath.Join(root, "lessons"), ImportOptions{})
	require.Error(t, err)
	assert.Empty(t, everything(t, filepath.Join(root, "lessons")))
	assert.Empty(t, titles(t, l, Query{}))
}
