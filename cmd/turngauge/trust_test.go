package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/x11/xtest"
)

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
	t.Parallel()
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
