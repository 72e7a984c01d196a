package saver

import (
	"bufio"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/annotations/place"
	"turngauge/geometry"
)

var kills = flag.Int("kills", 50, "how often TestKillLosesNothingAcknowledged kills the program")

// TestMain lets the test binary be the program that is killed.
func TestMain(m *testing.M) {
	if path := os.Getenv("TURNGAUGE_TEST_KILLED"); path != "" {
		editUntilKilled(path)
	}
	if path := os.Getenv("TURNGAUGE_TEST_COUNTS"); path != "" {
		countUp(path)
	}
	os.Exit(m.Run())
}

// reports collects what a Saver says.
type reports struct {
	mu   sync.Mutex
	errs []error
}

func (r *reports) add(err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.errs = append(r.errs, err)
}

func (r *reports) all() []error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return append([]error(nil), r.errs...)
}

func openSaver(t *testing.T, path string) (*Saver, *reports) {
	t.Helper()
	faultfs.SetBase(t, "XDG_STATE_HOME", t.TempDir())
	r := &reports{}
	s, err := Open(path, r.add)
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s, r
}

func load(t *testing.T, path string) *annotations.Lesson {
	t.Helper()
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	return l
}

// fullLesson is a lesson with all its marks, and Notes to count in.
func fullLesson(t *testing.T) *annotations.Lesson {
	t.Helper()
	l := load(t, filepath.Join("..", "..", "testdata", "lessons", "marked.json"))
	l.Notes = ""
	return l
}

func titled(title string) *annotations.Lesson {
	l := annotations.NewLesson()
	l.Title = title
	return l
}

func TestSaverWritesWithoutBeingAsked(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lesson.json")
	s, r := openSaver(t, path)
	for i := range 100 {
		s.Save(titled(strconv.Itoa(i)))
	}
	require.Eventually(t, func() bool {
		l, _, err := annotations.Load(path)
		return err == nil && l.Title == "99"
	}, 20*time.Second, 10*time.Millisecond)
	require.NoError(t, s.Close())
	require.NoError(t, s.Close(), "a second Close does nothing")
	assert.Empty(t, r.all())
	assert.Panics(t, func() { s.Save(annotations.NewLesson()) })
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, entries, 1, "neither lock nor temporary file is left")
}

func TestSaverTakesACopy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lesson.json")
	s, _ := openSaver(t, path)
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "lessons", "example.json"))
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	s.Save(l)
	l.Swings[0].Marks[0].At.X = -1e9
	l.Swings[0].Clips[0].GroundLines[0].LengthM = -1
	require.NoError(t, s.Flush())
	saved, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(data), string(saved))
}

func TestOneDocumentHasOneWriter(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "lesson.json")
	s, _ := openSaver(t, path)
	s.Save(annotations.NewLesson())
	require.NoError(t, s.Flush())
	_, err := Open(path, nil)
	var inUse *InUseError
	require.ErrorAs(t, err, &inUse)
	assert.Contains(t, err.Error(), fmt.Sprintf("is open in another Turngauge window (process %d): close it there", os.Getpid()))
	link := filepath.Join(dir, "link.json")
	require.NoError(t, os.Symlink(path, link))
	_, err = Open(link, nil)
	require.ErrorAs(t, err, &inUse, "another name of the same document")
	require.NoError(t, s.Close())
	again, err := Open(path, nil)
	require.NoError(t, err)
	require.NoError(t, again.Close())
}

func TestSavingThroughALinkKeepsTheLinkAndTheMode(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "lesson.json"), filepath.Join(dir, "link.json")
	require.NoError(t, os.WriteFile(path, []byte("{}"), 0o640))
	require.NoError(t, os.Symlink(path, link))
	require.NoError(t, annotations.Save(link, titled("through")))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&fs.ModeSymlink)
	assert.Equal(t, "through", load(t, path).Title)
	info, err = os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o640), info.Mode())
}

func TestLeftoverTemporaryFilesAreCleaned(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "lesson.json")
	for _, name := range []string{".lesson.json.123.tmp", ".other.json.123.tmp", "lesson.json.tmp"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("half"), 0o600))
	}
	_, _ = openSaver(t, path)
	assert.NoFileExists(t, filepath.Join(dir, ".lesson.json.123.tmp"))
	assert.FileExists(t, filepath.Join(dir, ".other.json.123.tmp"), "that is another document's")
	assert.FileExists(t, filepath.Join(dir, "lesson.json.tmp"))
}

// TestAFullDiskLosesNothing fails the writing as a full disk does.
func TestAFullDiskLosesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lesson.json")
	s, r := openSaver(t, path)
	s.Save(titled("before"))
	require.NoError(t, s.Flush())

	full := true
	s.writing.Lock()
	s.replace = func(path string, data []byte) error {
		if full {
			return &fs.PathError{Op: "write", Path: path, Err: syscall.ENOSPC}
		}
		return place.Bytes(path, data)
	}
	s.writing.Unlock()
	s.Save(titled("after"))
	err := s.Flush()
	require.ErrorIs(t, err, syscall.ENOSPC)
	spare, _, ok := SpareCopy(path)
	require.True(t, ok)
	assert.Equal(t, "the lesson can't be saved as "+path+": the disk is full; make room on it. A copy is safe as "+spare+", and saving is tried again", err.Error())
	assert.Equal(t, "before", load(t, path).Title, "the document that was there is whole")
	assert.Equal(t, "after", load(t, spare).Title)

	s.Save(titled("later"))
	require.Error(t, s.Flush())
	assert.Equal(t, "later", load(t, spare).Title)
	assert.Len(t, r.all(), 1, "the same problem is told once")

	s.writing.Lock()
	full = false
	s.writing.Unlock()
	require.NoError(t, s.Flush(), "what could not be saved is tried again")
	assert.Equal(t, "later", load(t, path).Title)
	_, _, ok = SpareCopy(path)
	assert.False(t, ok)
	require.Len(t, r.all(), 2)
	var again *SavedAgain
	assert.ErrorAs(t, r.all()[1], &again)
}

func TestAFolderThatIsGoneLosesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "stick")
	require.NoError(t, os.Mkdir(dir, 0o755))
	path := filepath.Join(dir, "lesson.json")
	s, r := openSaver(t, path)
	require.NoError(t, os.RemoveAll(dir))
	s.Save(titled("kept"))
	require.Eventually(t, func() bool { return len(r.all()) > 0 }, 20*time.Second, 10*time.Millisecond)
	err := s.Close()
	var failure *NotSavedError
	require.ErrorAs(t, err, &failure)
	assert.Contains(t, err.Error(), "the folder is not there any more. A copy is safe as ")
	assert.Equal(t, "kept", load(t, failure.Spare).Title)
}

func TestWithoutAnyPlaceToWriteTheCoachIsTold(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "stick")
	require.NoError(t, os.Mkdir(dir, 0o755))
	s, _ := openSaver(t, filepath.Join(dir, "lesson.json"))
	require.NoError(t, os.RemoveAll(dir))
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	faultfs.SetBase(t, "XDG_STATE_HOME", file)
	s.Save(titled("only here"))
	assert.ErrorContains(t, s.Flush(), "It is only in this window: leave it open")
}

func TestAnotherProgramsVersionIsKept(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "lesson.json")
	s, r := openSaver(t, path)
	s.Save(titled("ours"))
	require.NoError(t, s.Flush())
	require.NoError(t, os.WriteFile(path, []byte("theirs"), 0o600))
	s.Save(titled("ours again"))
	require.NoError(t, s.Flush())
	assert.Equal(t, "ours again", load(t, path).Title)
	require.Len(t, r.all(), 1)
	var changed *ChangedElsewhereError
	require.ErrorAs(t, r.all()[0], &changed)
	data, err := os.ReadFile(changed.Kept)
	require.NoError(t, err)
	assert.Equal(t, "theirs", string(data))
	s.Save(titled("and again"))
	require.NoError(t, s.Flush())
	assert.Len(t, r.all(), 1, "our own writing is no change from elsewhere")
}

// editUntilKilled edits the lesson at path for ever. After each Flush it says
// on stdout how many edits the document must hold.
func editUntilKilled(path string) {
	fail := func(err error) {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
	s, err := Open(path, func(err error) { fail(err) })
	if err != nil {
		fail(err)
	}
	l, _, err := annotations.Load(path)
	if err != nil {
		fail(err)
	}
	e := annotations.NewEditor(l)
	n, _ := strconv.Atoi(l.Notes)
	for i := 0; ; i++ {
		n++
		if err := e.Apply(annotations.SetHeading{Heading: annotations.Notes, Text: strconv.Itoa(n)}); err != nil {
			fail(err)
		}
		m := annotations.Mark{Clip: "fo", Position: geometry.Top, Point: geometry.Point(n % geometry.NumPoints), At: geometry.ImagePt{X: float64(n % 1000), Y: 1}}
		if err := e.Apply(annotations.SetMark{Swing: l.Swings[0].ID, Mark: m}); err != nil {
			fail(err)
		}
		s.Save(e.Lesson())
		if rand.IntN(3) == 0 {
			if err := s.Flush(); err != nil {
				fail(err)
			}
			fmt.Println(n)
		}
	}
}

// TestKillLosesNothingAcknowledged kills a program that edits a lesson at
// random moments. The document must load each time, and hold every edit that
// the program said was on the disk. Run it longer with -kills 1000.
func TestKillLosesNothingAcknowledged(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "lesson.json")
	require.NoError(t, annotations.Save(path, fullLesson(t)))
	total := 0
	for k := range *kills {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), "TURNGAUGE_TEST_KILLED="+path, "XDG_STATE_HOME="+dir)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		lines := bufio.NewScanner(out)
		require.True(t, lines.Scan(), "the program must acknowledge something")
		kill := time.AfterFunc(time.Duration(rand.IntN(40_000))*time.Microsecond, func() { _ = cmd.Process.Kill() })
		acknowledged := lines.Text()
		for lines.Scan() {
			acknowledged = lines.Text()
		}
		err = cmd.Wait()
		kill.Stop()
		require.ErrorContains(t, err, "killed", "the program said: %s", acknowledged)
		want, err := strconv.Atoi(strings.TrimSpace(acknowledged))
		require.NoError(t, err, acknowledged)
		l := load(t, path)
		got, err := strconv.Atoi(l.Notes)
		require.NoError(t, err)
		require.GreaterOrEqual(t, got, want, "kill %d", k)
		m, ok := l.Swings[0].Mark("fo", geometry.Top, geometry.Point(got%geometry.NumPoints))
		require.True(t, ok)
		require.Equal(t, float64(got%1000), m.At.X, "the edits of one save are there together")
		total = got
	}
	s, err := Open(path, nil)
	require.NoError(t, err, "the lock of a killed program is free")
	require.NoError(t, s.Close())
	left, err := filepath.Glob(filepath.Join(dir, ".lesson.json*"))
	require.NoError(t, err)
	assert.Empty(t, left, "temporary files of killed programs are cleaned")
	t.Logf("%d kills, %d edits", *kills, total)
}

func TestAMistakeInTheProgramIsToldAndTheLessonKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lesson.json")
	s, r := openSaver(t, path)
	s.Save(titled("before"))
	require.NoError(t, s.Flush())
	replace := s.replace
	s.replace = func(string, []byte) error { panic("a slip") }
	s.Save(titled("after"))
	require.ErrorContains(t, s.Flush(), "a slip")
	assert.Equal(t, "before", load(t, path).Title)
	assert.Contains(t, r.all()[0].Error(), "mistake in the program")

	s.writing.Lock() // it may be about to try again
	s.replace = replace
	s.writing.Unlock()
	require.NoError(t, s.Close(), "it is tried again")
	assert.Equal(t, "after", load(t, path).Title)
}
