package library

import (
	"bufio"
	"context"
	"database/sql"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library/sqlite"
	"turngauge/geometry"
)

var kills = flag.Int("kills", 20, "how often TestKillLosesNothingAcknowledged kills the program")

// TestMain lets the test binary be the other program.
func TestMain(m *testing.M) {
	if job := os.Getenv("TURNGAUGE_TEST_JOB"); job != "" {
		if err := jobs[job](os.Getenv("TURNGAUGE_TEST_DIR")); err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

var jobs = map[string]func(dir string) error{
	"record until killed":  recordUntilKilled,
	"record many":          recordMany,
	"record at once":       recordFor,
	"take what is hostile": takeHostile,
}

// job prepares the test binary to do a job in a folder.
func job(t *testing.T, name, dir string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), "TURNGAUGE_TEST_JOB="+name, "TURNGAUGE_TEST_DIR="+dir)
	return cmd
}

func generated(i int) *annotations.Lesson {
	l := annotations.NewLesson()
	l.Title, l.Date = fmt.Sprintf("Lesson %d", i), "2026-05-02"
	l.Student.Name = fmt.Sprintf("Student %d", i%10)
	l.Swings = []annotations.Swing{{ID: "s1", Club: annotations.Club{Name: "7-iron"}}}
	return l
}

func recordUntilKilled(dir string) error {
	ctx := context.Background()
	l, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	list, err := l.Lessons(ctx, Query{})
	if err != nil {
		return err
	}
	for i := len(list); ; i++ {
		key, err := l.Record(ctx, filepath.Join("/lessons", strconv.Itoa(i)+".json"), generated(i), true)
		if err != nil {
			return err
		}
		if err := l.SetTags(ctx, key, []string{fmt.Sprintf("tag %d", i)}); err != nil {
			return err
		}
		if i%20 == 0 {
			if err := l.Backup(ctx); err != nil {
				return err
			}
		}
		fmt.Println(i)
	}
}

// TestKillLosesNothingAcknowledged kills a program that records lessons at random
// moments. The library must be sound each time, and hold each lesson, with its
// copy, that the program said was in it. Run it longer with -kills 1000.
func TestKillLosesNothingAcknowledged(t *testing.T) {
	t.Parallel()
	ctx, dir := context.Background(), filepath.Join(t.TempDir(), "library")
	total := -1
	for range *kills {
		cmd := job(t, "record until killed", dir)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		lines := bufio.NewScanner(out)
		require.True(t, lines.Scan(), "the program must acknowledge something")
		kill := time.AfterFunc(time.Duration(rand.IntN(60_000))*time.Microsecond, func() { _ = cmd.Process.Kill() })
		acknowledged := lines.Text()
		for lines.Scan() {
			acknowledged = lines.Text()
		}
		err = cmd.Wait()
		kill.Stop()
		require.ErrorContains(t, err, "killed", "the program said: %s", acknowledged)
		want, err := strconv.Atoi(acknowledged)
		require.NoError(t, err, acknowledged)
		require.Greater(t, want, total)
		total = want

		l, err := Open(ctx, dir)
		require.NoError(t, err)
		require.Empty(t, l.Notices(), "nothing was damaged")
		require.NoError(t, l.store.Sound(ctx))
		list, err := l.Lessons(ctx, Query{Text: fmt.Sprintf("tag %d", want)})
		require.NoError(t, err)
		require.NotEmpty(t, list)
		all, err := l.Lessons(ctx, Query{})
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(all), want+1)
		e, err := l.At(ctx, filepath.Join("/lessons", strconv.Itoa(want)+".json"))
		require.NoError(t, err)
		data, _, err := readCopy(l.newestCopy(e.uid))
		require.NoError(t, err)
		require.Equal(t, e.SHA256, hashOf(data))
		require.NoError(t, l.Close())
	}
	t.Logf("%d kills, %d lessons", *kills, total+1)
}

func recordMany(dir string) error {
	ctx := context.Background()
	l, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	for i := range 60 {
		path := fmt.Sprintf("/lessons/%d/%d.json", os.Getpid(), i)
		if _, err := l.Record(ctx, path, generated(i), true); err != nil {
			return err
		}
	}
	return l.Close()
}

func TestTwoProgramsWriteAtOnce(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "library")
	l := openAt(t, dir) // a third one
	var wait sync.WaitGroup
	for range 2 {
		cmd := job(t, "record many", dir)
		wait.Go(func() {
			out, err := cmd.CombinedOutput()
			assert.NoError(t, err, "%s", out)
		})
	}
	for i := range 60 {
		record(t, l, fmt.Sprintf("/lessons/here/%d.json", i), generated(i))
	}
	wait.Wait()
	assert.Len(t, titles(t, l, Query{}), 180)
	students, err := l.Students(context.Background(), Query{})
	require.NoError(t, err)
	assert.Len(t, students, 10)
	require.NoError(t, l.store.Sound(context.Background()))
}

// TestMigratesEveryEarlierVersion opens a dump of each version of the schema that
// there has been.
func TestMigratesEveryEarlierVersion(t *testing.T) {
	ctx := context.Background()
	for v := 1; v <= Version; v++ {
		t.Run(fmt.Sprint(v), func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "library")
			require.NoError(t, os.MkdirAll(dir, 0o700))
			dump, err := os.ReadFile(fmt.Sprintf("testdata/version%d.sql", v))
			require.NoError(t, err, "each version needs a dump")
			index, err := sqlite.Open(ctx, filepath.Join(dir, indexName), false)
			require.NoError(t, err)
			_, err = index.DB().Exec(string(dump))
			require.NoError(t, errors.Join(err, index.Close()))

			l := openAt(t, dir)
			now, err := l.store.Version(ctx)
			require.NoError(t, err)
			assert.Equal(t, Version, now)
			fresh := openAt(t, filepath.Join(t.TempDir(), "fresh"))
			assert.Equal(t, tables(t, fresh), tables(t, l), "the same schema as a new library")

			list, err := l.Lessons(ctx, Query{Text: "belt wrist mara"})
			require.NoError(t, err)
			require.Len(t, list, 1)
			assert.Equal(t, []string{"Junior squad"}, list[0].Tags)
			assert.True(t, list[0].Prescribed)
			if v >= 2 {
				values, err := l.Progress(ctx, 7, "pelvis turn", geometry.Top, annotations.MidIron)
				require.NoError(t, err)
				require.Len(t, values, 1)
				assert.InDelta(t, 31.2, values[0].Value, 1e-12)
			}
			if v >= 3 {
				drills, err := l.Drills(ctx, "")
				require.NoError(t, err)
				assert.Len(t, drills, 1)
				set, ok, err := l.TargetSet(ctx, 0)
				require.NoError(t, err)
				assert.True(t, ok)
				// A measure that had another name up to version 3.
				assert.Equal(t, "pelvis height change", set.Ranges[1].Measure)
				values, err := l.Progress(ctx, 7, "pelvis height change", geometry.Top, annotations.MidIron)
				require.NoError(t, err)
				require.Len(t, values, 1)
				assert.InDelta(t, -1.5, values[0].Value, 1e-12)
			}
			if v >= 5 {
				c, ok, err := l.ConsentOf(ctx, 7)
				require.NoError(t, err)
				assert.True(t, ok)
				assert.Equal(t, "Anna Lindqvist gave consent on 2 May 2026: films may be kept, shown, not shared; until 2 May 2027; the student is a minor", c.Says())
			}
			c, err := l.Card(ctx, 7)
			require.NoError(t, err)
			assert.InDelta(t, 1.72, c.StatureM, 1e-12)
			if v >= 6 {
				assert.Equal(t, []string{"01JT8Q5W0MARALINDQVIST0001", "12.4", "lead knee", "mara@fjordholm.example"}, []string{c.ID, c.Handicap, c.Injuries, c.Contact})
			}
			whose, err := l.StudentNamed(ctx, "mara LINDQVIST")
			require.NoError(t, err)
			assert.EqualValues(t, 7, whose)
			if v < Version {
				assert.Len(t, l.listBackups(), 1, "there is a backup of what was before")
			}
		})
	}
}

func tables(t *testing.T, l *Library) []string {
	t.Helper()
	var out []string
	require.NoError(t, l.query(context.Background(), "", "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name", nil, func(r *sql.Rows) error {
		var s string
		err := r.Scan(&s)
		out = append(out, s)
		return err
	}))
	return out
}

// TestMigrationThatFailsChangesNothing: an index of an earlier version in which something
// is in the way stays as it is, of its version, and opening says why.
func TestMigrationThatFailsChangesNothing(t *testing.T) {
	ctx, dir := context.Background(), filepath.Join(t.TempDir(), "library")
	require.NoError(t, os.MkdirAll(dir, 0o700))
	dump, err := os.ReadFile(fmt.Sprintf("testdata/version%d.sql", Version-1))
	require.NoError(t, err)
	last, err := os.ReadFile(fmt.Sprintf("sqlite/schema/%d.sql", Version))
	require.NoError(t, err)
	index, err := sqlite.Open(ctx, filepath.Join(dir, indexName), false)
	require.NoError(t, err)
	_, err = index.DB().Exec(string(dump))
	require.NoError(t, err)
	_, err = index.DB().Exec(string(last)) // it is there already, so that it can't be made again
	require.NoError(t, errors.Join(err, index.Close()))
	_, err = Open(ctx, dir)
	require.ErrorContains(t, err, fmt.Sprintf("schema %d", Version))
	index, err = sqlite.Open(ctx, filepath.Join(dir, indexName), false)
	require.NoError(t, err)
	defer func() { _ = index.Close() }()
	version, err := index.Version(ctx)
	require.NoError(t, err)
	var lessons int
	require.NoError(t, index.DB().QueryRow("SELECT count(*) FROM lesson").Scan(&lessons))
	assert.Equal(t, Version-1, version)
	assert.Positive(t, lessons)
}

func TestNewerLibraryIsLeftAlone(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "library")
	l := openAt(t, dir)
	_, err := l.store.DB().Exec(fmt.Sprintf("PRAGMA user_version = %d", Version+1))
	require.NoError(t, err)
	require.NoError(t, l.Close())
	before, err := os.ReadFile(filepath.Join(dir, indexName))
	require.NoError(t, err)
	_, err = Open(context.Background(), dir)
	require.ErrorIs(t, err, ErrNewer)
	after, err := os.ReadFile(filepath.Join(dir, indexName))
	require.NoError(t, err)
	assert.Equal(t, before, after)
}

func TestDamageOpensTheNewestGoodBackupAndReadsNewerCopies(t *testing.T) {
	ctx := context.Background()
	for name, damage := range map[string]func(t *testing.T, index string){
		"overwritten in the middle": func(t *testing.T, index string) {
			f, err := os.OpenFile(index, os.O_RDWR, 0)
			require.NoError(t, err)
			info, err := f.Stat()
			require.NoError(t, err)
			junk := make([]byte, 4096)
			for i := range junk {
				junk[i] = byte(i * 7)
			}
			for at := int64(4096); at < info.Size(); at += 8192 {
				_, err = f.WriteAt(junk, at)
				require.NoError(t, err)
			}
			require.NoError(t, f.Close())
		},
		"no database at all": func(t *testing.T, index string) {
			require.NoError(t, os.WriteFile(index, []byte(strings.Repeat("not a database ", 1000)), 0o600))
		},
		"cut off": func(t *testing.T, index string) { require.NoError(t, os.Truncate(index, 5000)) },
		"empty":   func(t *testing.T, index string) { require.NoError(t, os.Truncate(index, 0)) },
		"gone":    func(t *testing.T, index string) { require.NoError(t, os.Remove(index)) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			folder := filepath.Join(dir, "library")
			l := openAt(t, folder)
			path := filepath.Join(dir, "a.json")
			key := record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02"))
			require.NoError(t, l.SetTags(ctx, key, []string{"squad"}))
			require.NoError(t, l.Backup(ctx))
			l.now = func() time.Time { return day.AddDate(0, 0, 1) }
			require.NoError(t, l.Backup(ctx))
			second := filepath.Join(dir, "b.json")
			record(t, l, second, written(t, second, "Mara Lindqvist", "Second visit", "2026-05-30"))
			require.NoError(t, l.Close())
			newest := l.listBackups()[1]
			require.NoError(t, os.WriteFile(newest, []byte("spoilt as well"), 0o600))
			_ = os.Remove(filepath.Join(folder, indexName+"-wal"))
			damage(t, filepath.Join(folder, indexName))

			again, err := Open(ctx, folder)
			require.NoError(t, err)
			defer func() { _ = again.Close() }()
			notes := again.Notices()
			require.Len(t, notes, 1)
			assert.Contains(t, notes[0], "library 2026-05-02.db was opened in its place, and 1 lesson was read")
			assert.Equal(t, []string{"Second visit", "First visit"}, titles(t, again, Query{Text: "mara"}))
			assert.Equal(t, []string{"First visit"}, titles(t, again, Query{Tag: "squad"}))
			kept, err := filepath.Glob(filepath.Join(folder, "library damaged *.db"))
			require.NoError(t, err)
			if name != "gone" {
				assert.Len(t, kept, 1)
			}
			assert.Empty(t, again.Notices(), "it is told once")
		})
	}
}

func TestWithoutABackupTheLibraryIsMadeFromCopies(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	folder := filepath.Join(dir, "library")
	l := openAt(t, folder)
	for i := range 5 {
		record(t, l, filepath.Join(dir, fmt.Sprintf("lesson %d – Übung.json", i)), generated(i))
	}
	require.NoError(t, l.Close())
	require.NoError(t, os.WriteFile(filepath.Join(folder, indexName), []byte("rubbish that is no database"), 0o600))
	again := openAt(t, folder)
	require.Len(t, again.notices, 1)
	assert.Contains(t, again.notices[0], "no backup to open, and 5 lessons were read")
	e, err := again.At(ctx, filepath.Join(dir, "lesson 3 – Übung.json"))
	require.NoError(t, err)
	assert.Equal(t, "Lesson 3", e.Title)
}

func TestCheckMendsALargeLibraryWhileItIsOpenInTwoWindows(t *testing.T) {
	t.Parallel()
	ctx, dir := context.Background(), t.TempDir()
	folder := filepath.Join(dir, "library")
	l := openAt(t, folder)
	for i := range 100 {
		record(t, l, fmt.Sprintf("/lessons/%d.json", i), generated(i))
	}
	require.NoError(t, l.Backup(ctx))
	_, err := l.store.DB().Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	require.NoError(t, err)
	other := openAt(t, folder)
	f, err := os.OpenFile(filepath.Join(folder, indexName), os.O_RDWR, 0)
	require.NoError(t, err)
	info, err := f.Stat()
	require.NoError(t, err)
	for at := int64(8192); at < info.Size(); at += 4096 {
		_, err = f.WriteAt([]byte("spoilt spoilt spoilt"), at)
		require.NoError(t, err)
	}
	require.NoError(t, f.Close())
	replaced, err := l.Check(ctx)
	require.NoError(t, err)
	require.True(t, replaced)
	assert.Len(t, titles(t, l, Query{}), 100)
	record(t, other, "/lessons/new.json", generated(1))
	assert.Len(t, titles(t, l, Query{}), 101, "the other window writes to the new file")
}

func TestBackupsRotate(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	l := openAt(t, filepath.Join(t.TempDir(), "library"))
	for d := range 500 {
		l.now = func() time.Time { return day.AddDate(0, 0, d) }
		if d%3 != 0 && d < 490 { // not every day is a working day
			continue
		}
		require.NoError(t, l.Backup(ctx))
		require.NoError(t, l.Backup(ctx)) // a second one the same day does nothing
	}
	list := l.listBackups()
	var names []string
	for _, b := range list {
		names = append(names, strings.TrimSuffix(strings.TrimPrefix(filepath.Base(b), "library "), ".db"))
	}
	last := day.AddDate(0, 0, 499).Format(dayFormat)
	assert.Equal(t, last, names[len(names)-1])
	assert.LessOrEqual(t, len(names), keptDays+keptMonths+1)
	assert.GreaterOrEqual(t, len(names), keptDays+keptMonths-1)
	months := make(map[string]int)
	for _, n := range names[:len(names)-keptDays] {
		months[n[:7]]++
	}
	for m, n := range months {
		assert.Equal(t, 1, n, m)
	}
}

// Another window has put a damaged index in the place of this one's, and nothing can be opened
// instead for the moment: what was open can still be read.
func TestWhatWasOpenStaysOpen(t *testing.T) {
	folder := t.TempDir()
	l := openAt(t, folder)
	defer func() { _ = l.Close() }()
	for _, tail := range []string{"", "-wal", "-shm"} { // a log would mend the file
		require.NoError(t, os.Rename(filepath.Join(folder, indexName+tail), filepath.Join(folder, "elsewhere.db"+tail)))
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, indexName), []byte(strings.Repeat("not a database ", 1000)), 0o600))
	ctx, stop := context.WithCancel(t.Context())
	l.now = func() time.Time { stop(); return time.Now() } // once the damage is put aside
	require.Error(t, l.follow(ctx))
	_, err := l.Lessons(t.Context(), Query{})
	require.NoError(t, err)
}
