package library

import (
	"archive/zip"
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
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

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
)

var trials = flag.Int("trials", 10, "how often each test of faults at random moments tries one")

// shelf is what a library has acknowledged.
type shelf struct {
	t       *testing.T
	l       *Library
	dir     string
	notes   map[string]string // of each lesson by path
	deleted map[string]thrown // lessons in the trash, by the path they had
	edits   int
	days    int // of work
}

// thrown is a lesson in the trash.
type thrown struct {
	key  int64
	days int // of work until then
}

func newShelf(t *testing.T, dir string) *shelf {
	return &shelf{t: t, l: openAt(t, filepath.Join(dir, "library")), dir: dir, notes: make(map[string]string), deleted: make(map[string]thrown)}
}

// edit saves and records a lesson with a new note.
func (s *shelf) edit(path string) error {
	s.edits++
	lesson := generated(len(s.notes))
	lesson.Notes = fmt.Sprintf("edit %d", s.edits)
	if err := annotations.Save(path, lesson); err != nil {
		return err
	}
	_, err := s.l.Record(context.Background(), path, lesson, true)
	if err == nil {
		s.notes[path] = lesson.Notes
	}
	return err
}

// check looks for everything that was acknowledged: in the index, in the newest
// copy of each document, and in the trash.
func (s *shelf) check() {
	ctx := context.Background()
	for path, notes := range s.notes {
		e, err := s.l.At(ctx, path)
		require.NoError(s.t, err, path)
		lesson, _, err := s.l.Document(ctx, e.Key)
		require.NoError(s.t, err, path)
		require.Equal(s.t, notes, lesson.Notes, "the newest copy is the newest")
	}
	for path, d := range s.deleted {
		if e, err := s.l.Lesson(ctx, d.key); err != nil || e.Deleted.IsZero() {
			require.GreaterOrEqual(s.t, s.days-d.days, keptDays, "the trash was emptied before its time")
			delete(s.deleted, path)
		}
	}
}

// TestAClockThatJumpsLosesNothing works with a library under a clock that jumps,
// deletes, gets back, backs up, and now and then damages the index.
func TestAClockThatJumpsLosesNothing(t *testing.T) {
	ctx := context.Background()
	rng := rand.New(rand.NewPCG(3, uint64(*trials)))
	s := newShelf(t, t.TempDir())
	jumps := []time.Duration{-24 * time.Hour, 365 * 24 * time.Hour, -365 * 24 * time.Hour, 9 * time.Hour, -9 * time.Hour, 24 * time.Hour}
	zones := []*time.Location{time.UTC, time.FixedZone("east", 14*3600), time.FixedZone("west", -11*3600)}
	now, zone := day, time.UTC
	clock := func() { s.l.now = func() time.Time { return now.In(zone) } }
	clock()
	var tagged int64
	damages := 0
	for n := range *trials {
		for range 4 {
			path := filepath.Join(s.dir, fmt.Sprintf("%d.json", rng.IntN(12)))
			switch k := rng.IntN(8); {
			case k < 4 && s.deleted[path].key == 0:
				require.NoError(t, s.edit(path))
			case k == 4 && s.notes[path] != "":
				e, err := s.l.At(ctx, path)
				require.NoError(t, err)
				require.NoError(t, s.l.Delete(ctx, e.Key))
				s.deleted[path] = thrown{e.Key, s.days}
				delete(s.notes, path)
			case k == 5:
				for path, d := range s.deleted {
					back, err := s.l.Undelete(ctx, d.key)
					require.NoError(t, err)
					require.Equal(t, path, back)
					lesson, _, err := annotations.Load(back)
					require.NoError(t, err)
					s.notes[back] = lesson.Notes
					delete(s.deleted, path)
					break
				}
			}
		}
		if rng.IntN(2) == 0 {
			now = now.Add(jumps[rng.IntN(len(jumps))])
			zone = zones[rng.IntN(len(zones))]
			clock()
		}
		// What the program does at its start.
		require.NoError(t, s.l.Backup(ctx))
		s.days++
		_, err := s.l.EmptyTrash(ctx)
		require.NoError(t, err)
		s.check()
		require.NotEmpty(t, s.l.listBackups())
		for path := range s.notes {
			// Tags are in the library alone, and so in its backups alone.
			e, err := s.l.At(ctx, path)
			require.NoError(t, err)
			tagged = e.Key
			require.NoError(t, s.l.SetTags(ctx, e.Key, []string{fmt.Sprintf("tag %d", n)}))
			break
		}
		if rng.IntN(4) != 0 || tagged == 0 {
			continue
		}
		damages++
		now = now.Add(24 * time.Hour) // the next day's backup, whatever day that is
		clock()
		require.NoError(t, s.l.Backup(ctx))
		s.days++
		want, err := s.l.Lesson(ctx, tagged)
		require.NoError(t, err)
		require.NoError(t, s.l.Close())
		_ = os.Remove(s.l.index() + "-wal")
		require.NoError(t, os.WriteFile(s.l.index(), []byte(strings.Repeat("not a database ", 999)), 0o600))
		s.l = openAt(t, filepath.Join(s.dir, "library"))
		clock()
		got, err := s.l.Lesson(ctx, tagged)
		require.NoError(t, err)
		require.Equal(t, want.Tags, got.Tags, "the newest backup is the newest")
		s.check()
	}
	t.Logf("%d trials of clocks that jumped, %d damaged indexes: %d edits acknowledged, 0 lost", *trials, damages, s.edits)
}

// TestADiskThatFillsLosesNothing keeps a library on a small disk that fills up
// and becomes read-only at random moments.
func TestADiskThatFillsLosesNothing(t *testing.T) {
	t.Parallel()
	disk := faultfs.Mounted(t, "6m", "0 lost", "-trials", strconv.Itoa(*trials))
	if disk == "" {
		return
	}
	ctx := context.Background()
	rng := rand.New(rand.NewPCG(4, uint64(*trials)))
	s := newShelf(t, disk)
	clips := filepath.Join(t.TempDir(), "clip.mp4") // not on that disk
	require.NoError(t, os.WriteFile(clips, make([]byte, 300<<10), 0o600))
	ballast := filepath.Join(disk, "ballast")
	refused, exports := 0, 0
	for n := range *trials {
		require.NoError(t, faultfs.Fill(ballast, rng.IntN(600<<10)))
		for range 12 {
			path := filepath.Join(disk, fmt.Sprintf("%d.json", rng.IntN(30)))
			switch rng.IntN(4) {
			case 0, 1, 2:
				if err := s.edit(path); err != nil {
					refused++
					require.Regexp(t, "full|room|disk", err.Error(), "a sentence that says why")
					// The document may be newer than the library, never older.
					if before, ok := s.notes[path]; ok {
						lesson, _, err := annotations.Load(path)
						require.NoError(t, err)
						require.GreaterOrEqual(t, editOf(t, lesson.Notes), editOf(t, before))
						delete(s.notes, path) // what the index holds of it may be either
					}
				}
			case 3:
				to := filepath.Join(disk, "out.zip")
				var keys []int64
				list, err := s.l.Lessons(ctx, Query{})
				require.NoError(t, err)
				for _, e := range list {
					keys = append(keys, e.Key)
				}
				_, err = s.l.Export(ctx, to, keys, ExportOptions{Clips: true, Opens: anyFilm})
				if err == nil {
					wholeZip(t, to, len(keys))
					require.NoError(t, os.Remove(to))
					exports++
				} else {
					require.NoFileExists(t, to)
				}
			}
		}
		err := s.l.Backup(ctx)
		if err != nil {
			require.Regexp(t, "full|room|disk", err.Error())
		}
		require.NoError(t, os.Remove(ballast))
		s.l.now = func() time.Time { return day.AddDate(0, 0, n) }
		require.NoError(t, s.l.store.Sound(ctx))
		s.check()
		if n%5 == 4 {
			require.NoError(t, s.l.Close())
			s.l = openAt(t, filepath.Join(disk, "library"))
			require.Empty(t, s.l.Notices(), "nothing was damaged")
			s.check()
		}
		for _, d := range []string{"library/backups", "library/trash"} { // the disk is small
			_ = os.RemoveAll(filepath.Join(disk, d))
		}
	}
	t.Logf("%d disks that filled: %d edits, %d of them refused with a sentence, %d exports whole, 0 lost", *trials, s.edits, refused, exports)
}

func editOf(t *testing.T, notes string) int {
	n, err := strconv.Atoi(strings.TrimPrefix(notes, "edit "))
	require.NoError(t, err, notes)
	return n
}

// wholeZip reads an export to its last byte.
func wholeZip(t *testing.T, file string, lessons int) {
	z, err := zip.OpenReader(file)
	require.NoError(t, err)
	defer func() { _ = z.Close() }()
	n := 0
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		_, err = io.Copy(io.Discard, r) // checks the sum
		require.NoError(t, err)
		if strings.HasSuffix(f.Name, "lesson.json") {
			n++
		}
	}
	require.Equal(t, lessons, n)
}

// recordFor records lessons until it is killed; each that is in the library is
// written out.
func recordFor(dir string) error {
	ctx := context.Background()
	l, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	for i := 0; ; i++ {
		path := fmt.Sprintf("/lessons/%d/%d.json", os.Getpid(), i)
		if _, err := l.Record(ctx, path, generated(i), true); err != nil {
			return err
		}
		fmt.Println(path)
		if i%10 == 0 {
			if err := l.Backup(ctx); err != nil {
				return err
			}
		}
	}
}

// TestTwoProgramsOnOneLibraryLoseNothing lets two programs record at once and
// kills them.
func TestTwoProgramsOnOneLibraryLoseNothing(t *testing.T) {
	t.Parallel()
	ctx, dir := context.Background(), filepath.Join(t.TempDir(), "library")
	acknowledged := 0
	for range *trials {
		said := make(chan string, 1024)
		var two [2]*exec.Cmd
		for i := range two {
			two[i] = job(t, "record at once", dir)
			out, err := two[i].StdoutPipe()
			require.NoError(t, err)
			require.NoError(t, two[i].Start())
			go func() {
				for lines := bufio.NewScanner(out); lines.Scan(); {
					said <- lines.Text()
				}
				said <- ""
			}()
		}
		kill := time.AfterFunc(400*time.Millisecond+time.Duration(rand.IntN(300))*time.Millisecond, func() {
			for _, c := range two {
				_ = c.Process.Kill()
			}
		})
		var paths []string
		for ended := 0; ended < len(two); {
			if line := <-said; line == "" {
				ended++
			} else {
				paths = append(paths, line)
			}
		}
		kill.Stop()
		for _, c := range two {
			require.ErrorContains(t, c.Wait(), "killed", "%v", paths)
		}
		l, err := Open(ctx, dir)
		require.NoError(t, err)
		require.Empty(t, l.Notices(), "nothing was damaged")
		require.NoError(t, l.store.Sound(ctx))
		for _, p := range paths {
			e, err := l.At(ctx, p)
			require.NoError(t, err)
			require.NotZero(t, e.Key, p)
			_, sha, err := l.Document(ctx, e.Key)
			require.NoError(t, err)
			require.Equal(t, e.SHA256, sha)
		}
		acknowledged += len(paths)
		require.NoError(t, l.Close())
	}
	assert.Positive(t, acknowledged)
	t.Logf("two programs on one library, killed %d times: %d lessons acknowledged, 0 lost", 2**trials, acknowledged)
}
