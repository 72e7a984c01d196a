//go:build unix

package place

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planted is a folder with a victim, and a function that plants each kind of link to it
// at a name.
func planted(t *testing.T) (dir, victim string, plant map[string]func(name string) error) {
	dir = t.TempDir()
	victim = filepath.Join(dir, "victim")
	require.NoError(t, os.WriteFile(victim, []byte("theirs"), 0o600))
	return dir, victim, map[string]func(string) error{
		"link": func(name string) error { return os.Symlink(victim, name) },
		"link of a link": func(name string) error {
			return errors.Join(os.Symlink(victim, name+".2"), os.Symlink(name+".2", name))
		},
		"link to nothing": func(name string) error { return os.Symlink(victim+" gone", name) },
		"other name":      func(name string) error { return os.Link(victim, name) },
		"pipe":            func(name string) error { return syscall.Mkfifo(name, 0o600) },
		"folder":          func(name string) error { return os.Mkdir(name, 0o700) },
		"circle":          func(name string) error { return os.Symlink(name, name) },
	}
}

func TestLockFollowsNothingThatIsPlanted(t *testing.T) {
	dir, victim, plant := planted(t)
	for kind, put := range plant {
		lock := filepath.Join(dir, ".lesson."+kind+".lock")
		require.NoError(t, put(lock))
		_, err := TryLock(lock)
		assert.Error(t, err, kind)
		data, err := os.ReadFile(victim)
		require.NoError(t, err)
		assert.Equal(t, "theirs", string(data), kind)
		assert.NoFileExists(t, victim+" gone")
		_, err = os.Lstat(lock)
		assert.NoError(t, err, "%s is left alone", kind)
	}
}

// The process of a lock is told to the coach: what another wrote there is not.
func TestLockNamesOnlyANumber(t *testing.T) {
	for text, want := range map[string]string{"12\n": "12", "\x1b[31m": "", "-5": "", "": "", "12 \u202e34": ""} {
		assert.Equal(t, want, processID([]byte(text)), "%q", text)
	}
}

// TestLinksOfOthers takes a link that belongs to another user, which only root can make.
func TestLinksOfOthers(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give a link to another user")
	}
	dir, victim, _ := planted(t)
	name := filepath.Join(dir, "lesson.json")
	require.NoError(t, os.Symlink(victim, name))
	require.NoError(t, os.Lchown(name, 12345, 12345))
	var link *LinkError
	require.ErrorAs(t, Bytes(name, []byte("ours")), &link)
	data, err := os.ReadFile(victim)
	require.NoError(t, err)
	assert.Equal(t, "theirs", string(data))

	// The user's own link to one of another's is no way round.
	own := filepath.Join(dir, "own.json")
	require.NoError(t, os.Symlink("lesson.json", own))
	require.ErrorAs(t, Bytes(own, []byte("ours")), &link)
	require.NoError(t, os.Lchown(name, os.Geteuid(), os.Getegid()))
	require.NoError(t, Bytes(own, []byte("ours")))
	data, err = os.ReadFile(victim)
	require.NoError(t, err)
	assert.Equal(t, "ours", string(data))
}

// TestReadWaitsForNothing reads what would keep a reader for ever.
func TestReadWaitsForNothing(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	long := filepath.Join(dir, "long")
	require.NoError(t, os.WriteFile(long, make([]byte, 11), 0o600))
	for path, want := range map[string]error{
		pipe: ErrNotRegular, "/dev/zero": ErrNotRegular, dir: ErrNotRegular, long: ErrTooLarge, filepath.Join(dir, "none"): fs.ErrNotExist,
	} {
		done := make(chan error, 1)
		go func() {
			_, err := Read(path, 10)
			done <- err
		}()
		select {
		case err := <-done:
			assert.ErrorIs(t, err, want, path)
		case <-time.After(10 * time.Second):
			t.Fatal(path, "is waited for")
		}
	}
	data, err := Read(long, 11)
	require.NoError(t, err)
	assert.Len(t, data, 11)
}

// TestPersonalAtAnyUmask looks at what files and folders may be read by others.
func TestPersonalAtAnyUmask(t *testing.T) {
	for _, umask := range []int{0, 0o022, 0o027, 0o077} {
		dir := t.TempDir()
		made := func() error {
			old := syscall.Umask(umask)
			defer syscall.Umask(old)
			at := func(name string) string { return filepath.Join(dir, name) }
			return errors.Join(Bytes(at("file"), nil), New(at("new"), strings.NewReader("")),
				Shared(at("shared"), strings.NewReader("")), NewShared(at("new shared"), strings.NewReader("")),
				Folder(filepath.Join(dir, "a", "b")))
		}
		require.NoError(t, made())
		for name, want := range map[string]fs.FileMode{
			"file": 0o600, "new": 0o600, "a": 0o700, "a/b": 0o700,
			"shared": 0o644 &^ fs.FileMode(umask), "new shared": 0o644 &^ fs.FileMode(umask),
		} {
			info, err := os.Stat(filepath.Join(dir, name))
			require.NoError(t, err)
			assert.Equal(t, want, info.Mode().Perm(), "%s at umask %03o", name, umask)
		}
	}
}

// TestTemporaryFilesFollowNothing: their names can't be foreseen (128 bits of chance or
// more, as NIST SP 800-63B asks of a secret), and were they, what lies there is left alone.
func TestTemporaryFilesFollowNothing(t *testing.T) {
	dir, victim, plant := planted(t)
	a, err := temporary(dir, ".x.", 0o600)
	require.NoError(t, err)
	b, err := temporary(dir, ".x.", 0o600)
	require.NoError(t, errors.Join(err, a.Close(), b.Close()))
	assert.NotEqual(t, a.Name(), b.Name())
	assert.GreaterOrEqual(t, 5*len(chance()), 128, "letters of base 32")

	chance = func() string { return "foreseen" }
	t.Cleanup(func() { chance = rand.Text })
	for kind, put := range plant {
		require.NoError(t, put(filepath.Join(dir, ".a "+kind+".foreseen.tmp")))
		require.ErrorIs(t, Bytes(filepath.Join(dir, "a "+kind), []byte("ours")), fs.ErrExist, kind)
		data, err := os.ReadFile(victim)
		require.NoError(t, err)
		assert.Equal(t, "theirs", string(data), kind)
		assert.NoFileExists(t, victim+" gone")
	}
}

// TestReplacedKeepsItsPermissions: whoever may read a file that is there may read what takes
// its place, at any umask, even where it is one that others read.
func TestReplacedKeepsItsPermissions(t *testing.T) {
	old := syscall.Umask(0o077)
	defer syscall.Umask(old)
	path := filepath.Join(t.TempDir(), "lesson.json")
	for _, mode := range []fs.FileMode{0o664, 0o640, 0o600} {
		for _, write := range []func(string, io.Reader) error{File, Shared} {
			require.NoError(t, os.WriteFile(path, nil, 0o600))
			require.NoError(t, os.Chmod(path, mode))
			require.NoError(t, write(path, strings.NewReader("new")))
			info, err := os.Stat(path)
			require.NoError(t, err)
			assert.Equal(t, mode, info.Mode().Perm())
		}
	}
}

// TestFreeNameEnds asks for free names where none can be.
func TestFreeNameEnds(t *testing.T) {
	dir := t.TempDir()
	circle := filepath.Join(dir, "circle")
	require.NoError(t, os.Symlink(circle, circle))
	file := filepath.Join(dir, "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, path := range []string{filepath.Join(dir, strings.Repeat("🏌", 80)), filepath.Join(file, "x"), filepath.Join(circle, "x")} {
		done := make(chan string, 1)
		go func() { done <- FreeName(path) }()
		select {
		case got := <-done:
			assert.Equal(t, path, got)
			assert.Error(t, Bytes(got, nil), "writing says why")
		case <-time.After(10 * time.Second):
			t.Fatal("no end for", path)
		}
	}
	// What SafeName gives can be written, numbered and with an ending.
	path := filepath.Join(dir, SafeName(strings.Repeat("🏌", 80))+".json")
	for n := range 3 {
		require.NoError(t, New(FreeName(path), strings.NewReader(fmt.Sprint(n))))
	}
}
