package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/demo"
)

var soak = flag.Duration("soak", 20*time.Second, "how long the window is scrubbed, marked and played in for TestMemoryStaysFlat")

// residentMB is the memory of a process, in megabytes: all of it, and what is
// not a file's.
func residentMB(t *testing.T, pid int) (all, anonymous int) {
	t.Helper()
	for _, line := range strings.Split(string(read(t, fmt.Sprintf("/proc/%d/status", pid))), "\n") {
		for name, mb := range map[string]*int{"VmRSS:": &all, "RssAnon:": &anonymous} {
			if rest, ok := strings.CutPrefix(line, name); ok {
				kb, err := strconv.Atoi(strings.Fields(rest)[0])
				require.NoError(t, err)
				*mb = kb >> 10
			}
		}
	}
	require.NotZero(t, all, "the system does not tell how much memory the program has")
	return all, anonymous
}

// atHome closes the lesson, waits until all that worked for it has ended, and
// returns how many goroutines are left.
func (j *journey) atHome() int {
	j.t.Helper()
	j.Key("Escape", "Escape", "Escape")
	// Keys that come while a frame is drawn are taken by what it shows.
	j.until("the lesson alone", func(s seen) bool { return !s.Modal && !s.Comparing && !s.Explaining && !s.Typing })
	j.Key("ctrl+w")
	j.until("the first window", func(s seen) bool { return s.Lesson == "" })
	j.Key("ctrl+l") // the search has the keyboard each time, and its caret blinks
	least := 0
	for quiet := 0; quiet < 10; quiet++ {
		time.Sleep(200 * time.Millisecond)
		j.Key("Down") // what the window shows is told with its next frame
		if n := j.see().Goroutines; n != least {
			least, quiet = n, 0
		}
	}
	return least
}

// TestMemoryStaysFlat scrubs, plays, marks, undoes, explains and closes and opens
// the lesson in a real window, at random, and looks at the program's memory. After the
// first sixth the middle value of each half is to be the same but for the garbage
// collector's play; pictures, which lie in shared memory, fill the cache as fast as the
// machine decodes, and stay within what it may take beside the program's own files. As many
// goroutines as at the beginning are left once the lesson is closed. With -v it prints sixty lines over its course.
func TestMemoryStaysFlat(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	home := t.TempDir()
	const cacheMB, filesMB = 256, 200 // the program, Mesa and FFmpeg are 100 to 120
	settings := filepath.Join(home, "config", "turngauge", "settings.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(settings), 0o755))
	require.NoError(t, os.WriteFile(settings, []byte(`{"tour_seen": true, "cache_mb": `+strconv.Itoa(cacheMB)+`}`), 0o644))
	j := begin(t, home, filepath.Join(dir, demo.MarkedFile))
	j.until("both clips", bothShown)
	before := j.atHome()
	reopen := func() {
		j.Key("Return")
		j.until("both clips", bothShown)
	}
	reopen()
	r := rand.New(rand.NewPCG(1, 2))
	keys := []string{"space", "Left", "Right", "shift+Right", "shift+Left", "Page_Down", "Page_Up", "1", "4", "6", "n",
		"ctrl+z", "ctrl+shift+z", "e", "r", "plus", "minus", "0", "Tab", "c", "Escape"}
	start := time.Now()
	var halves [2][]int // what is resident and not of files, in MB: in the first half, and in the second
	var shared int      // what else was resident at most
	var closed, lines int
	for step := 0; time.Since(start) < *soak; step++ {
		s := j.see()
		switch k := r.IntN(240); {
		case k < 120:
			j.Key(keys[r.IntN(len(keys))])
		case k < 239 && len(s.Regions) > 0:
			region := s.Regions[[]string{"stage face-on", "stage down-the-line", "rail face-on", "rail down-the-line"}[r.IntN(4)]]
			if x, y := region[2]-region[0], region[3]-region[1]; x > 2 && y > 2 {
				j.Click(region[0]+1+r.IntN(x-2), region[1]+1+r.IntN(y-2))
			}
		case k == 239 && step > 0:
			j.atHome()
			reopen()
			closed++
		}
		time.Sleep(time.Duration(r.IntN(60)) * time.Millisecond)
		gone := time.Since(start)
		if gone < time.Duration(lines)*(*soak)/60 {
			continue
		}
		lines++
		now, anonymous := residentMB(t, j.cmd.Process.Pid)
		t.Logf("%5.1f min: %4d MB, %4d not of files, %3d goroutines, %5d acts, revision %d, closed %d times",
			gone.Minutes(), now, anonymous, s.Goroutines, step, s.Revision, closed)
		shared = max(shared, now-anonymous)
		switch {
		case gone >= *soak/2:
			halves[1] = append(halves[1], anonymous)
		case gone >= *soak/6:
			halves[0] = append(halves[0], anonymous)
		}
	}
	require.NotEmpty(t, halves[0], "acts in the first half")
	require.NotEmpty(t, halves[1], "acts in the second half")
	first, second := median(halves[0]), median(halves[1])
	t.Logf("memory that is not of files: %d MB in the middle of the first half of %v, %d MB in that of the second; %d MB beside it at most",
		first, *soak, second, shared)
	assert.LessOrEqual(t, second, first+first/8+32, "memory of the second half beside the first")
	assert.LessOrEqual(t, shared, cacheMB+filesMB, "pictures kept, and the program's files")
	assert.Empty(t, j.see().Alert)
	if !assert.LessOrEqual(t, j.atHome(), before, "goroutines once the lesson is closed") {
		_ = j.cmd.Process.Signal(syscall.SIGQUIT) // it says what they do
		_ = j.cmd.Wait()
	}
}

func median(values []int) int {
	slices.Sort(values)
	return values[len(values)/2]
}
