package place

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/faultfs"
)

// broken is a reader that gives a part and then fails.
type broken struct{ given bool }

func (b *broken) Read(p []byte) (int, error) {
	if b.given {
		return 0, errors.New("gone")
	}
	b.given = true
	return copy(p, "half"), nil
}

func names(t *testing.T, dir string) (all []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

func TestFileIsReplacedWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "lesson.json")
	require.NoError(t, Bytes(path, []byte("one")))
	require.NoError(t, os.Chmod(path, 0o600))
	require.Error(t, File(path, &broken{}))
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "one", string(kept))
	assert.Equal(t, []string{"lesson.json"}, names(t, dir), "nothing else stays")

	require.NoError(t, os.Symlink(path, filepath.Join(dir, "link")))
	require.NoError(t, Bytes(filepath.Join(dir, "link"), []byte("two")))
	kept, err = os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "two", string(kept), "the link's target is replaced")
	info, err := os.Lstat(path)
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o600), info.Mode())
	info, err = os.Lstat(filepath.Join(dir, "link"))
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&fs.ModeSymlink)

	long := filepath.Join(dir, strings.Repeat("n", 250)) // names have up to 255 bytes
	require.NoError(t, Bytes(long, nil))
}

// TestADiskThatFailsLate: what could not be brought to the disk, as fsync(2) tells or only
// close(2), takes no name, and nothing of it stays.
func TestADiskThatFailsLate(t *testing.T) {
	t.Cleanup(func() { fsync = (*os.File).Sync })
	for want, disk := range map[error]func(*os.File) error{
		syscall.EIO:  func(*os.File) error { return syscall.EIO },
		os.ErrClosed: func(f *os.File) error { return errors.Join(f.Sync(), f.Close()) }, // so that its end fails
	} {
		fsync = disk
		dir := t.TempDir()
		path := filepath.Join(dir, "lesson.json")
		require.NoError(t, os.WriteFile(path, []byte("before"), 0o600))
		require.ErrorIs(t, Bytes(path, []byte("after")), want)
		require.ErrorIs(t, New(filepath.Join(dir, "new"), strings.NewReader("new")), want)
		require.ErrorIs(t, SyncFile(path), want)
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, "before", string(data))
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		assert.Len(t, left, 1)
	}
}

func TestNewReplacesNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.png")
	require.NoError(t, New(path, strings.NewReader("one")))
	require.ErrorIs(t, New(path, strings.NewReader("two")), fs.ErrExist)
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "one", string(kept))
	assert.Equal(t, []string{"a.png"}, names(t, dir))
	assert.Equal(t, filepath.Join(dir, "a (2).png"), FreeName(path))
	assert.Equal(t, filepath.Join(dir, "b.png"), FreeName(filepath.Join(dir, "b.png")))
	assert.Equal(t, filepath.Join(dir, "a (2).pdf"), FreeName(filepath.Join(dir, "a.pdf"), ".html", ".png"), "with what belongs to it")
	assert.Equal(t, filepath.Join(dir, "a.pdf"), FreeName(filepath.Join(dir, "a.pdf"), ".html"))
	assert.Equal(t, filepath.Join(dir, "a.png", "c"), FreeName(filepath.Join(dir, "a.png", "c")), "below a file nothing can be: writing says so")
}

func TestSweepTakesOnlyWhatWasLeftBeside(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{".lesson.json.123.tmp", ".other.json.123.tmp", "lesson.json", ".lesson.json.tmpl"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), nil, 0o600))
	}
	Sweep(filepath.Join(dir, "lesson.json"))
	assert.Equal(t, []string{".lesson.json.tmpl", ".other.json.123.tmp", "lesson.json"}, names(t, dir))
}

// The characters are those that Windows forbids, Microsoft's "Naming Files,
// Paths, and Namespaces"; names may not end in a dot or a space either.
func TestSafeName(t *testing.T) {
	for in, want := range map[string]string{
		`First/visit: "7-iron"`: `First-visit- -7-iron-`,
		" .. ":                  "",
		"a\tb\x00c":             "a-b-c",
		"Zoë  Ångström. ":       "Zoë Ångström",
		strings.Repeat("ü", 99): strings.Repeat("ü", 80),
		strings.Repeat("🏌", 80): strings.Repeat("🏌", 50),
		"CON":                   "-CON",
		"nul.txt":               "-nul.txt",
		"com¹":                  "-com¹",
		"Lpt9 .json":            "-Lpt9 .json",
		"Connie":                "Connie",
		"COM10":                 "COM10",
		"film\u202egpj.exe":     "filmgpj.exe",
		"bad\xffbyte":           "bad-byte",
	} {
		assert.Equal(t, want, SafeName(in))
	}
}

// TestWhatIsPutInPlaceOutlivesALossOfPower looks at the system calls: content, then
// name, then folder, each on the disk before the next.
func TestWhatIsPutInPlaceOutlivesALossOfPower(t *testing.T) {
	calls, here := faultfs.Traced(t)
	if !here {
		path := filepath.Join(t.TempDir(), "lesson.json")
		require.NoError(t, New(path, strings.NewReader("one")))
		require.NoError(t, Bytes(path, []byte("two")))
		return
	}
	require.Len(t, calls, 6, "%q", calls)
	for i, want := range []string{
		`fsync\(.*/\.lesson\.json\..*\.tmp>\)`, `link.*/lesson\.json"`, `fsync\(.*/00.*>\)`,
		`fsync\(.*/\.lesson\.json\..*\.tmp>\)`, `rename.*/lesson\.json"`, `fsync\(.*/00.*>\)`,
	} {
		assert.Regexp(t, want, calls[i])
	}
}

func TestNearestFolder(t *testing.T) {
	dir := t.TempDir()
	assert.Equal(t, dir, NearestFolder(filepath.Join(dir, "moved", "away", "lesson.json")))
	assert.Equal(t, dir, NearestFolder(filepath.Join(dir, "lesson.json")))
	assert.True(t, Missing(filepath.Join(dir, "lesson.json")))
	assert.False(t, Missing(dir))
}

// failing is a reader that ends with an error after some text.
type failing struct{ rest string }

func (f *failing) Read(p []byte) (int, error) {
	if f.rest == "" {
		return 0, syscall.ENOSPC
	}
	n := copy(p, f.rest)
	f.rest = f.rest[n:]
	return n, nil
}

// TestNothingFailsInSilence writes what can't be written whole, and to where no name can
// be given: each is told, what was there stays, and nothing half written does.
func TestNothingFailsInSilence(t *testing.T) {
	dir := t.TempDir()
	kept := filepath.Join(dir, "kept")
	require.NoError(t, Bytes(kept, []byte("before")))
	full := filepath.Join(dir, "full")
	require.NoError(t, os.MkdirAll(filepath.Join(full, "of something"), 0o700))
	for name, err := range map[string]error{
		"a disk that fills":          File(kept, &failing{"half"}),
		"a disk that fills, new":     New(filepath.Join(dir, "new"), &failing{"half"}),
		"a disk that fills, shared":  Shared(filepath.Join(dir, "new"), &failing{"half"}),
		"a name that is a folder's":  Bytes(full, []byte("x")),
		"a new one, a folder's name": New(full, strings.NewReader("x")),
		"no such folder":             Bytes(filepath.Join(dir, "none", "x"), []byte("x")),
	} {
		assert.Error(t, err, name)
	}
	data, err := os.ReadFile(kept)
	require.NoError(t, err)
	assert.Equal(t, "before", string(data))
	assert.Equal(t, []string{"full", "kept"}, names(t, dir))

	told := errors.New("no name")
	err = put(filepath.Join(dir, "x"), personal, strings.NewReader("x"), func(string, string) error { return told })
	assert.ErrorIs(t, err, told)
	assert.Equal(t, []string{"full", "kept"}, names(t, dir))

	// The disk itself: Linux's device that is always full (full(4)).
	f, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err == nil {
		_, err = f.WriteString("x")
		assert.ErrorIs(t, err, syscall.ENOSPC)
		_ = f.Close()
	}
}
