package choose

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/faultfs"
	"turngauge/ui/x11/xtest"
)

// write makes files of a folder; a name that ends with a slash makes a folder.
func write(t testing.TB, dir string, names ...string) {
	t.Helper()
	for _, n := range names {
		p := filepath.Join(dir, n)
		if strings.HasSuffix(n, "/") {
			require.NoError(t, os.MkdirAll(p, 0o755))
			continue
		}
		require.NoError(t, os.MkdirAll(filepath.Dir(p), 0o755))
		require.NoError(t, os.WriteFile(p, []byte(n), 0o644))
	}
}

func names(l Listing) []string {
	var out []string
	for _, e := range l.Entries {
		n := e.Name
		if e.Folder {
			n += "/"
		}
		out = append(out, n)
	}
	return out
}

func TestFoldersFirstThenNaturalOrder(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "clip 10.mp4", "clip 9.mp4", "Clip 2.MOV", "Äpfel.mkv", "apfel.webm", "notes.txt", "lesson.json",
		".hidden.mp4", "zebra/", "Beta/", ".git/", "noext", "trick.mp4.txt", "a.M4V", "b.AVI")
	require.NoError(t, os.Symlink("nowhere", filepath.Join(dir, "broken.mp4")))
	require.NoError(t, os.Symlink("zebra", filepath.Join(dir, "alpha")))
	l, err := readFolder(dir, []Kind{Clips}, ByName)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"alpha/", "Beta/", "zebra/",
		"a.M4V", "Äpfel.mkv", "apfel.webm", "b.AVI", "Clip 2.MOV", "clip 9.mp4", "clip 10.mp4",
	}, names(l))
	assert.Equal(t, 4, l.Hidden, "notes, lesson, noext and trick")

	l, err = readFolder(dir, []Kind{Clips, Lessons}, ByName)
	require.NoError(t, err)
	assert.Contains(t, names(l), "lesson.json")
	l, err = readFolder(dir, nil, ByName)
	require.NoError(t, err)
	assert.Contains(t, names(l), "noext")
	assert.Zero(t, l.Hidden)
	assert.NotContains(t, names(l), ".hidden.mp4")
}

// TestNaturalOrderAgreesWithSort holds the order of numbered names against GNU sort's version order, for
// plain lower-case names on which the two conventions agree.
func TestNaturalOrderAgreesWithSort(t *testing.T) {
	bin := xtest.Need(t, "sort")
	rng := rand.New(rand.NewPCG(7, 7))
	l := Listing{}
	var in bytes.Buffer
	seen := map[string]bool{}
	for len(l.Entries) < 300 {
		n := string('a' + rune(rng.IntN(3)))
		for range 1 + rng.IntN(2) {
			n += string("xyz"[rng.IntN(3)]) + strconv.Itoa(rng.IntN(2000))
		}
		if !seen[n] {
			seen[n] = true
			l.Entries = append(l.Entries, Entry{Name: n})
			in.WriteString(n + "\n")
		}
	}
	l.sort(ByName)
	cmd := exec.Command(bin, "-V")
	cmd.Env = append(os.Environ(), "LC_ALL=C")
	cmd.Stdin = &in
	out, err := cmd.Output()
	require.NoError(t, err)
	assert.Equal(t, strings.Fields(string(out)), names(l))
}

func TestNumbersInNames(t *testing.T) {
	want := []string{
		"clip.mp4", "clip 0.mp4", "clip 1.mp4", "clip 02.mp4", "clip 2 b.mp4", "clip 10.mp4", "clip 99999999999999999999.mp4",
		"clip 100000000000000000000.mp4", "v1.9.mp4", "v1.10.mp4",
	}
	l := Listing{}
	for _, i := range rand.New(rand.NewPCG(3, 3)).Perm(len(want)) {
		l.Entries = append(l.Entries, Entry{Name: want[i]})
	}
	l.sort(ByName)
	assert.ElementsMatch(t, want, names(l))
	at := func(n string) int { return l.index(n) }
	for _, pair := range [][2]string{
		{"clip 0.mp4", "clip 1.mp4"}, {"clip 1.mp4", "clip 02.mp4"}, {"clip 02.mp4", "clip 10.mp4"}, {"clip 2 b.mp4", "clip 10.mp4"},
		{"clip 99999999999999999999.mp4", "clip 100000000000000000000.mp4"}, {"v1.9.mp4", "v1.10.mp4"},
	} {
		assert.Less(t, at(pair[0]), at(pair[1]), "%s before %s", pair[0], pair[1])
	}
}

func TestOtherOrders(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "old.mp4", "new.mp4", "middle.mp4", "folder/")
	day := time.Date(2026, 5, 2, 10, 0, 0, 0, time.UTC)
	for i, n := range []string{"old.mp4", "middle.mp4", "new.mp4"} {
		at := day.AddDate(0, 0, i)
		require.NoError(t, os.Chtimes(filepath.Join(dir, n), at, at))
		require.NoError(t, os.Truncate(filepath.Join(dir, n), int64(1000-i)))
		require.NoError(t, os.Chtimes(filepath.Join(dir, n), at, at))
	}
	l, err := readFolder(dir, []Kind{Clips}, ByNewest)
	require.NoError(t, err)
	assert.Equal(t, []string{"folder/", "new.mp4", "middle.mp4", "old.mp4"}, names(l))
	assert.True(t, l.Entries[1].Changed.Equal(day.AddDate(0, 0, 2)))
	assert.EqualValues(t, 998, l.Entries[1].Size)
	l, err = readFolder(dir, []Kind{Clips}, ByLargest)
	require.NoError(t, err)
	assert.Equal(t, []string{"folder/", "old.mp4", "middle.mp4", "new.mp4"}, names(l))
}

func TestFolderErrorsAreSentences(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "a.mp4", "closed/")
	_, err := readFolder(filepath.Join(dir, "gone"), nil, ByName)
	assert.EqualError(t, err, "There is no folder “"+dir+"/gone”. It may have been moved, or its disk taken out.")
	_, err = readFolder(filepath.Join(dir, "a.mp4"), nil, ByName)
	assert.EqualError(t, err, "“"+dir+"/a.mp4” is not a folder.")
	if os.Geteuid() != 0 {
		require.NoError(t, os.Chmod(filepath.Join(dir, "closed"), 0))
		_, err = readFolder(filepath.Join(dir, "closed"), nil, ByName)
		assert.EqualError(t, err, "The folder “"+dir+"/closed” may not be looked into with your account. Choose another folder.")
	}
	err = folderError("/x", &os.PathError{Op: "open", Path: "/x", Err: os.ErrPermission})
	assert.EqualError(t, err, "The folder “/x” may not be looked into with your account. Choose another folder.")
	err = folderError("/x", &os.PathError{Op: "readdirent", Path: "/x", Err: os.ErrDeadlineExceeded})
	assert.EqualError(t, err, "The folder “/x” can't be read: i/o timeout. Try again, or choose another folder.")
}

func TestJump(t *testing.T) {
	l := Listing{}
	for _, n := range []string{"Mara 1.mp4", "mara 2.mp4", "möwe.mp4", "putt.mp4"} {
		l.Entries = append(l.Entries, Entry{Name: n})
	}
	for _, c := range []struct {
		typed string
		from  int
		want  int
	}{
		{"m", -1, 0}, {"m", 0, 1}, {"m", 1, 2}, {"m", 2, 0}, {"mm", 0, 1}, {"M", 3, 0},
		{"ma", 1, 1}, {"mara 2", 0, 1}, {"MÖ", 0, 2}, {"p", 0, 3}, {"x", 0, -1}, {"", 0, -1},
	} {
		assert.Equal(t, c.want, l.jump(c.typed, c.from), "%q from %d", c.typed, c.from)
	}
	assert.Equal(t, -1, (&Listing{}).jump("a", -1))
}

func TestResolve(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "home/a clip.mp4", "home/videos/b.mov")
	home := filepath.Join(dir, "home")
	for _, c := range []struct {
		text string
		want typed
		err  string
	}{
		{home + "/a clip.mp4", typed{file: home + "/a clip.mp4"}, ""},
		{"  " + home + "/videos/ ", typed{dir: home + "/videos"}, ""},
		{"~", typed{dir: home}, ""},
		{"~/videos/b.mov", typed{file: home + "/videos/b.mov"}, ""},
		{"'" + home + "/a clip.mp4'", typed{file: home + "/a clip.mp4"}, ""},
		{`"~/videos"`, typed{dir: home + "/videos"}, ""},
		{"b.mov", typed{file: home + "/videos/b.mov"}, ""},
		{"..", typed{dir: home}, ""},
		{"", typed{}, "Type the path of a file or a folder."},
		{"/nowhere/x.mp4", typed{}, "There is no file or folder “/nowhere/x.mp4”."},
		{"~/a clip.mp4/x", typed{}, "There is no file or folder “" + home + "/a clip.mp4/x”."},
		{"~nobody", typed{}, "There is no file or folder “" + home + "/videos/~nobody”."},
		{"/dev/null", typed{}, "“/dev/null” is neither a file nor a folder."},
	} {
		got, err := resolve(c.text, filepath.Join(home, "videos"), home)
		assert.Equal(t, c.want, got, c.text)
		if c.err == "" {
			assert.NoError(t, err, c.text)
		} else {
			assert.EqualError(t, err, c.err, c.text)
		}
	}
}

func TestNearest(t *testing.T) {
	dir := t.TempDir()
	assert.Equal(t, dir, nearest(dir))
	assert.Equal(t, dir, nearest(filepath.Join(dir, "a", "b")))
	assert.Equal(t, "/", nearest("/no such folder anywhere"))
}

func TestSizesAndDates(t *testing.T) {
	for want, n := range map[string]int64{
		"0 B": 0, "999 B": 999, "1.0 kB": 1000, "9.9 kB": 9940, "10 kB": 9960, "1.0 MB": 999_600, "48 MB": 48_200_000,
		"1.5 GB": 1_500_000_000, "2.0 TB": 2_000_000_000_000, "5000 TB": 5_000_000_000_000_000,
	} {
		assert.Equal(t, want, sizeText(n))
	}
	now := time.Date(2026, 3, 29, 23, 30, 0, 0, time.FixedZone("UTC+2", 7200))
	assert.Equal(t, "Today 00:05", whenText(time.Date(2026, 3, 28, 22, 5, 0, 0, time.UTC), now))
	assert.Equal(t, "Yesterday 23:55", whenText(time.Date(2026, 3, 28, 21, 55, 0, 0, time.UTC), now))
	assert.Equal(t, "27 Mar 2026 12:00", whenText(time.Date(2026, 3, 27, 10, 0, 0, 0, time.UTC), now))
	assert.Equal(t, "30 Mar 2026 00:10", whenText(time.Date(2026, 3, 29, 22, 10, 0, 0, time.UTC), now), "a camera's clock may be ahead")
}

func TestKinds(t *testing.T) {
	assert.Equal(t, "Clips", kindsName([]Kind{Clips}))
	assert.Equal(t, "Clips and lessons", kindsName([]Kind{Clips, Lessons}))
	assert.Equal(t, "Clips, lessons and sheets", kindsName([]Kind{Clips, Lessons, {Name: "Sheets"}}))
	assert.Equal(t, []string{".json", ".JSON"}, extensions([]Kind{Lessons}))
	assert.Len(t, extensions([]Kind{Clips}), 12)
}

// TestPlaces reads the example of the xdg-user-dirs manual (user-dirs.dirs, freedesktop.org), from memory,
// with a name in another language and a folder that is switched off.
func TestPlaces(t *testing.T) {
	home := t.TempDir()
	write(t, home, "Schreibtisch/", "Videos/", "Documents/", "cfg/")
	require.NoError(t, os.WriteFile(filepath.Join(home, "cfg", "user-dirs.dirs"), []byte(`# This file is written by xdg-user-dirs-update
XDG_DESKTOP_DIR="$HOME/Schreibtisch"
XDG_DOWNLOAD_DIR="$HOME/nowhere"
XDG_DOCUMENTS_DIR="$HOME/"
XDG_PICTURES_DIR="$HOME/"
`), 0o644))
	faultfs.SetBase(t, "HOME", home)
	faultfs.SetBase(t, "XDG_CONFIG_HOME", filepath.Join(home, "cfg"))
	assert.Equal(t, []Place{
		{"Home", home}, {"Desktop", filepath.Join(home, "Schreibtisch")}, {"Videos", filepath.Join(home, "Videos")},
	}, findPlaces(home), "only those that are there")
	assert.Empty(t, Pictures(), "switched off")
}

func TestRemember(t *testing.T) {
	r := remember(nil, "/a")
	r = remember(r, "/b")
	r = remember(r, "/a")
	assert.Equal(t, []string{"/a", "/b"}, r)
	for _, d := range []string{"/1", "/2", "/3", "/4", "/5"} {
		r = remember(r, d)
	}
	assert.Equal(t, []string{"/5", "/4", "/3", "/2", "/1", "/a"}, r)
}

func BenchmarkReadFolder(b *testing.B) {
	dir := b.TempDir()
	for i := range 2000 {
		write(b, dir, "IMG_"+strconv.Itoa(i)+".mp4")
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := readFolder(dir, []Kind{Clips}, ByName); err != nil {
			b.Fatal(err)
		}
	}
}
