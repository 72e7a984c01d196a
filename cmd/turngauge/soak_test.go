package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
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
	j.Key("Escape", "Escape", "Escape", "ctrl+w")
	j.until("the first window", func(s seen) bool { return s.Lesson == "" })
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
// the lesson in a real window, at random, and looks at the program's memory. The
// first half fills the caches; after it there is to be no more growth than the
// garbage collector's play, and as many goroutines as at the beginning are left
// once the lesson is closed. With -v it prints sixty lines over its course.
func TestMemoryStaysFlat(t *testing.T) {
	dir := demoFolder(t)
	home := t.TempDir()
	settings := filepath.Join(home, "config", "turngauge", "settings.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(settings), 0o755))
	require.NoError(t, os.WriteFile(settings, []byte(`{"tour_seen": true, "cache_mb": 256}`), 0o644))
	j := begin(t, home, filepath.Join(dir, demo.MarkedFile))
	j.until("both clips", bothShown)
	before := j.atHome()
	reopen := func() {
		j.Key("ctrl+l")
		time.Sleep(300 * time.Millisecond)
		j.Key("Return")
		j.until("both clips", bothShown)
	}
	reopen()
	r := rand.New(rand.NewPCG(1, 2))
	keys := []string{"space", "Left", "Right", "shift+Right", "shift+Left", "Page_Down", "Page_Up", "1", "4", "6", "n",
		"ctrl+z", "ctrl+shift+z", "e", "r", "plus", "minus", "0", "Tab", "c", "Escape"}
	start := time.Now()
	var half, most, closed, lines int
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
		if step%20 != 0 {
			continue
		}
		now, anonymous := residentMB(t, j.cmd.Process.Pid)
		if time.Since(start) < *soak/2 {
			half = max(half, now)
		}
		most = max(most, now)
		if time.Since(start) >= time.Duration(lines)*(*soak)/60 {
			lines++
			t.Logf("%5.1f min: %4d MB, %4d not of files, %3d goroutines, %5d acts, revision %d, closed %d times",
				time.Since(start).Minutes(), now, anonymous, s.Goroutines, step, s.Revision, closed)
		}
	}
	t.Logf("resident memory: at most %d MB in the first half of %v, %d MB in all", half, *soak, most)
	assert.LessOrEqual(t, most, half+half/5+64, "memory of the second half beside the first")
	assert.Empty(t, j.see().Alert)
	assert.LessOrEqual(t, j.atHome(), before, "goroutines once the lesson is closed")
}
