package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/demo"
	"turngauge/ui/xtest"
)

var soak = flag.Duration("soak", 20*time.Second, "how long the window is scrubbed, marked and played in for TestMemoryStaysFlat")

// inet matches a call that opens, or sends by, a socket that leads off the
// machine, in the words of strace.
var inet = regexp.MustCompile(`AF_INET6?|AF_PACKET`)

// traced runs the program under strace and returns its calls about sockets.
func traced(t *testing.T, env []string, stop time.Duration, args ...string) (calls string) {
	t.Helper()
	log := filepath.Join(t.TempDir(), "calls")
	cmd := exec.Command(xtest.Need(t, "strace"), append([]string{
		"-f", "--seccomp-bpf", "-qq", "-e", "trace=execve,socket,connect,sendto,sendmsg", "-o", log, os.Args[0],
	}, args...)...)
	cmd.Env = append(append(os.Environ(), "TURNGAUGE_TEST_RUN=1", "TURNGAUGE_TRACE="), env...)
	if stop == 0 {
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
	} else {
		cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
		require.NoError(t, cmd.Start())
		time.Sleep(stop)
		// The program closes at it; strace lets it pass, and ends with the program.
		require.NoError(t, syscall.Kill(-cmd.Process.Pid, syscall.SIGTERM))
		_ = cmd.Wait()
	}
	b, err := os.ReadFile(log)
	require.NoError(t, err)
	require.Contains(t, string(b), "execve(", "the trace works")
	return string(b)
}

// TestNothingIsFetched looks at the system calls of the program's commands and
// of its window: none may open a socket that leads off the machine.
func TestNothingIsFetched(t *testing.T) {
	if out, err := exec.Command(xtest.Need(t, "strace"), "-f", "--seccomp-bpf", "-o", os.DevNull, "true").CombinedOutput(); err != nil {
		t.Skipf("this system does not let programs be traced: %s", out)
	}
	assert.Regexp(t, inet, `socket(AF_INET, SOCK_STREAM|SOCK_CLOEXEC, IPPROTO_TCP) = 3`)
	dir := t.TempDir()
	lesson := filepath.Join(dir, "lesson.json")
	require.NoError(t, os.WriteFile(lesson, read(t, marked), 0o600))
	// A clip that wants to be continued from elsewhere is the way in that a
	// video library offers.
	list := filepath.Join(dir, "list.mp4")
	require.NoError(t, os.WriteFile(list, []byte("#EXTM3U\n#EXTINF:1,\nhttp://127.0.0.1:9/one.ts\n"), 0o600))
	home := []string{"XDG_DATA_HOME=" + dir, "XDG_STATE_HOME=" + dir, "XDG_CONFIG_HOME=" + dir}
	for _, args := range [][]string{
		{"measure", lesson},
		{"report", "--pdf", filepath.Join(dir, "sheet.pdf"), "--html", filepath.Join(dir, "sheet.html"), lesson},
		{"probe", "--decode", clip(t)},
		{"import", lesson},
		{"list"},
	} {
		t.Run(args[0], func(t *testing.T) {
			assert.NotRegexp(t, inet, traced(t, home, 0, args...))
		})
	}
	t.Run("window", func(t *testing.T) {
		display := xtest.Start(t, 1600, 1000)
		calls := traced(t, append(home, "DISPLAY="+display), 6*time.Second, clip(t), list)
		assert.Contains(t, calls, "X11-unix", "the window was opened")
		assert.NotRegexp(t, inet, calls)
	})
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return b
}

// residentMB is the memory of a process, in megabytes.
func residentMB(t *testing.T, pid int) int {
	t.Helper()
	for _, line := range strings.Split(string(read(t, fmt.Sprintf("/proc/%d/status", pid))), "\n") {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			kb, err := strconv.Atoi(strings.Fields(rest)[0])
			require.NoError(t, err)
			return kb >> 10
		}
	}
	t.Fatal("the system does not tell how much memory the program has")
	return 0
}

// TestMemoryStaysFlat scrubs, plays, marks, undoes, explains and changes
// lessons in a real window, at random, and looks at the program's memory. The
// first half fills the caches; after it there is to be no more growth than the
// garbage collector's play.
func TestMemoryStaysFlat(t *testing.T) {
	dir := demoFolder(t)
	home := t.TempDir()
	settings := filepath.Join(home, "config", "turngauge", "settings.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(settings), 0o755))
	require.NoError(t, os.WriteFile(settings, []byte(`{"tour_seen": true, "cache_mb": 256}`), 0o644))
	j := begin(t, home, filepath.Join(dir, demo.MarkedFile))
	j.until("both clips", bothShown)
	r := rand.New(rand.NewPCG(1, 2))
	keys := []string{"space", "Left", "Right", "shift+Right", "shift+Left", "Page_Down", "Page_Up", "1", "4", "6", "n",
		"ctrl+z", "ctrl+shift+z", "e", "r", "plus", "minus", "0", "Tab", "c", "Escape"}
	start := time.Now()
	var half, most int
	for step := 0; time.Since(start) < *soak; step++ {
		s := j.see()
		switch k := r.IntN(12); {
		case k < 6:
			j.Key(keys[r.IntN(len(keys))])
		case k < 11 && len(s.Regions) > 0:
			region := s.Regions[[]string{"stage face-on", "stage down-the-line", "rail face-on", "rail down-the-line"}[r.IntN(4)]]
			if x, y := region[2]-region[0], region[3]-region[1]; x > 2 && y > 2 {
				j.Click(region[0]+1+r.IntN(x-2), region[1]+1+r.IntN(y-2))
			}
		case step%40 == 0:
			j.Key("Escape")
			j.Key("ctrl+w")
			time.Sleep(200 * time.Millisecond)
			j.Key("Return")
		}
		time.Sleep(time.Duration(r.IntN(60)) * time.Millisecond)
		if step%20 != 0 {
			continue
		}
		now := residentMB(t, j.cmd.Process.Pid)
		if time.Since(start) < *soak/2 {
			half = max(half, now)
		}
		most = max(most, now)
	}
	t.Logf("resident memory: at most %d MB in the first half of %v, %d MB in all", half, *soak, most)
	assert.LessOrEqual(t, most, half+half/5+64, "memory of the second half beside the first")
	assert.Empty(t, j.see().Alert)
}
