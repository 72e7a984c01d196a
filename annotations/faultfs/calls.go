package faultfs

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// tracing names the variable that tells a test run that it is being traced.
const tracing = "TURNGAUGE_TEST_TRACED"

// Traced runs the calling test again in another process and returns what of it
// reached the file system to last: the calls of fsync, fdatasync, link and rename
// that went well, in their order, in the words of strace(1), with the paths of
// open files. In that other process it returns nil and false at once. Where there is
// no strace, or programs may not be traced, the test is skipped, unless the variable
// CI is set and strace is missing.
func Traced(t *testing.T) (calls []string, here bool) {
	t.Helper()
	if os.Getenv(tracing) != "" {
		return nil, false
	}
	strace, err := exec.LookPath("strace")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("strace is not installed")
		}
		t.Skip("strace is not installed")
	}
	if out, err := exec.Command(strace, "-f", "-o", os.DevNull, "true").CombinedOutput(); err != nil {
		t.Skipf("this system does not let programs be traced: %s", out)
	}
	log := filepath.Join(t.TempDir(), "calls")
	cmd := exec.Command(strace, "-f", "--seccomp-bpf", "-qq", "-y", "-z", "-e", "signal=none", "-s", "4096", "-o", log,
		"-e", "trace=fsync,fdatasync,link,linkat,rename,renameat,renameat2", os.Args[0], "-test.run", "^"+t.Name()+"$")
	cmd.Env = append(os.Environ(), tracing+"=1")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	text, err := os.ReadFile(log)
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		_, call, _ := strings.Cut(strings.TrimSpace(line), " ") // behind the number of the process
		calls = append(calls, strings.TrimSpace(call))
	}
	return calls, true
}
