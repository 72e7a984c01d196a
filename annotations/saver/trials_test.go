package saver

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/place"
)

var trials = flag.Int("trials", 30, "how often each test of faults at random moments tries one")

// TestAClockThatJumpsLosesNothing saves under a clock that goes back by a day,
// forward by a year, to another time zone and home again, with a disk that fills
// now and then. What a Flush acknowledged is in the document; what it did not is
// in the spare copy, and that is offered.
func TestAClockThatJumpsLosesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, uint64(*trials)))
	path := filepath.Join(t.TempDir(), "lesson.json")
	jumps := []time.Duration{-24 * time.Hour, 365 * 24 * time.Hour, -365 * 24 * time.Hour, 9 * time.Hour, -9 * time.Hour, time.Hour, 0}
	var off time.Duration
	// Files get the time that the clock shows; the spare copy gets the kernel's,
	// which is another jump.
	s, _ := openSaver(t, path)
	full := false
	s.replace = func(path string, data []byte) error {
		if full {
			return syscall.ENOSPC
		}
		if err := place.Bytes(path, data); err != nil {
			return err
		}
		at := time.Now().Add(off)
		return os.Chtimes(path, at, at)
	}
	acknowledged, offered := 0, 0
	for n := range *trials {
		off = jumps[rng.IntN(len(jumps))]
		s.writing.Lock()
		full = rng.IntN(3) == 0
		s.writing.Unlock()
		title := strconv.Itoa(n)
		s.Save(titled(title))
		err := s.Flush()
		if err == nil {
			require.Equal(t, title, load(t, path).Title)
			acknowledged++
			continue
		}
		var failure *NotSavedError
		require.ErrorAs(t, err, &failure)
		spare, _, ok := SpareCopy(path)
		require.True(t, ok, "the spare copy is offered, whatever the clock says: trial %d", n)
		require.Equal(t, title, load(t, spare).Title)
		offered++
	}
	t.Logf("%d clocks that jumped: %d edits acknowledged, %d told to be in a spare copy and offered there, 0 lost", *trials, acknowledged, offered)
}

// TestEachOtherVersionIsKept lets another program write the document again and
// again, some of it with the same time.
func TestEachOtherVersionIsKept(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "lesson.json")
	s, _ := openSaver(t, path)
	at := time.Now().Add(-24 * time.Hour)
	for n := range *trials {
		s.Save(titled("ours"))
		require.NoError(t, s.Flush())
		require.NoError(t, os.WriteFile(path, fmt.Appendf(nil, "theirs %d", n), 0o600))
		require.NoError(t, os.Chtimes(path, at, at))
	}
	s.Save(titled("ours"))
	require.NoError(t, s.Flush())
	kept, err := filepath.Glob(filepath.Join(dir, "lesson (other version *"))
	require.NoError(t, err)
	found := make(map[string]bool)
	for _, k := range kept {
		data, err := os.ReadFile(k)
		require.NoError(t, err)
		found[string(data)] = true
	}
	assert.Len(t, found, *trials, "each is kept")
}

// countUp opens the lesson again and again and adds one to the number in it, if
// no other program has it; each number that is on the disk is written out.
func countUp(path string) {
	for {
		s, err := Open(path, nil)
		var inUse *InUseError
		if errors.As(err, &inUse) {
			fmt.Println("refused")
			time.Sleep(time.Duration(rand.IntN(3000)) * time.Microsecond)
			continue
		}
		l, _, loadErr := annotations.Load(path)
		if err != nil || loadErr != nil {
			fmt.Println("failed:", err, loadErr)
			os.Exit(1)
		}
		for range 1 + rand.IntN(3) {
			n, _ := strconv.Atoi(l.Notes)
			l.Notes = strconv.Itoa(n + 1)
			s.Save(l)
			if err := s.Flush(); err != nil {
				fmt.Println("failed:", err)
				os.Exit(1)
			}
			fmt.Println(n + 1)
		}
		if err := s.Close(); err != nil {
			fmt.Println("failed:", err)
			os.Exit(1)
		}
	}
}

// TestTwoProgramsOnOneLessonLoseNothing lets two programs work on one document
// by turns, and kills them. A number that one of them acknowledged is never
// written by the other too: nothing of either is overwritten.
func TestTwoProgramsOnOneLessonLoseNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "lesson.json")
	require.NoError(t, annotations.Save(path, annotations.NewLesson()))
	acknowledged, refused, rounds := 0, 0, max(*trials/10, 3)
	for range rounds {
		var two [2]*exec.Cmd
		said := make(chan string, 1024)
		for i := range two {
			two[i] = exec.Command(os.Args[0])
			two[i].Env = append(os.Environ(), "TURNGAUGE_TEST_COUNTS="+path, "XDG_STATE_HOME="+dir)
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
		var kill *time.Timer
		seen := make(map[int]bool)
		most := 0
		for ended := 0; ended < len(two); {
			line := <-said
			switch {
			case line == "":
				ended++
			case line == "refused":
				refused++
			default:
				n, err := strconv.Atoi(strings.TrimSpace(line))
				require.NoError(t, err, line)
				if kill == nil { // they have begun
					kill = time.AfterFunc(100*time.Millisecond+time.Duration(rand.IntN(500))*time.Millisecond, func() {
						for _, c := range two {
							_ = c.Process.Kill()
						}
					})
				}
				require.False(t, seen[n], "both acknowledged %d: one was overwritten", n)
				seen[n] = true
				most = max(most, n)
				acknowledged++
			}
		}
		for _, c := range two {
			require.ErrorContains(t, c.Wait(), "killed")
		}
		got, err := strconv.Atoi(load(t, path).Notes)
		require.NoError(t, err)
		require.GreaterOrEqual(t, got, most)
	}
	assert.Positive(t, refused, "they met")
	t.Logf("two programs on one lesson, killed %d times: %d edits acknowledged, %d times refused to the second, 0 lost", 2*rounds, acknowledged, refused)
}
