// Package xtest runs programs of the desktop for tests: a private X server, and
// a hand that points, clicks and types. Under CI a program that is not
// installed fails the test; elsewhere it skips it.
package xtest

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Need finds a program that a test drives.
func Need(t testing.TB, program string) string {
	t.Helper()
	p, err := exec.LookPath(program)
	if err == nil {
		return p
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is not installed; \"make test\" installs it", program)
	}
	t.Skipf("%s is not installed; \"make test\" installs it", program)
	return ""
}

// Start runs a private X server with one screen of the given size until the
// test ends. It returns the display's name, which the server has chosen.
func Start(t testing.TB, width, height int) (display string) {
	t.Helper()
	bin := Need(t, "Xvfb")
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	// Without -r a key that is held a while, as on a busy machine, repeats; without -noreset
	// the server begins anew when its last client leaves, and lets nobody in meanwhile.
	cmd := exec.Command(bin, "-displayfd", "3", "-nolisten", "tcp", "-r", "-noreset",
		"-screen", "0", fmt.Sprintf("%dx%dx24", width, height))
	cmd.ExtraFiles = []*os.File{w}
	// Of two that start at once beside the lock of one that is gone, both may take its
	// number: one at a time, and each is told to end, so that its lock goes with it.
	lock, err := os.OpenFile(filepath.Join(os.TempDir(), "turngauge-xtest.lock"), os.O_RDWR|os.O_CREATE, 0o600)
	require.NoError(t, err)
	defer lock.Close()
	require.NoError(t, waitFor(lock))
	require.NoError(t, cmd.Start())
	require.NoError(t, w.Close())
	t.Cleanup(func() {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		kill := time.AfterFunc(10*time.Second, func() { _ = cmd.Process.Kill() })
		_ = cmd.Wait()
		kill.Stop()
	})
	require.NoError(t, r.SetReadDeadline(time.Now().Add(60*time.Second)))
	line, err := bufio.NewReader(r).ReadString('\n')
	require.NoError(t, err, "the X server did not start")
	return ":" + strings.TrimSpace(line)
}

// Hand moves the pointer and types on a display.
type Hand struct {
	t       testing.TB
	tool    string
	display string
}

// NewHand returns a hand on a display.
func NewHand(t testing.TB, display string) *Hand {
	t.Helper()
	return &Hand{t: t, tool: Need(t, "xdotool"), display: display}
}

// Display returns the name of the display the hand is on.
func (h *Hand) Display() string { return h.display }

// Do runs the tool that moves the hand, with its own words, and returns what it
// prints.
func (h *Hand) Do(args ...string) string {
	h.t.Helper()
	cmd := exec.Command(h.tool, args...)
	cmd.Env = append(os.Environ(), "DISPLAY="+h.display)
	out, err := cmd.CombinedOutput()
	require.NoError(h.t, err, "xdotool %s: %s", strings.Join(args, " "), out)
	return strings.TrimSpace(string(out))
}

// Focus gives a window, found by its title, the keyboard.
func (h *Hand) Focus(title string) {
	h.t.Helper()
	id := h.Do("search", "--sync", "--limit", "1", "--name", title)
	h.Do("windowfocus", "--sync", id)
}

// Click presses and releases the left button at a place on the screen.
func (h *Hand) Click(x, y int) {
	h.t.Helper()
	h.Do("mousemove", strconv.Itoa(x), strconv.Itoa(y), "click", "1")
}

// Key presses and releases keys, each named as xdotool names it.
func (h *Hand) Key(keys ...string) {
	h.t.Helper()
	h.Do(append([]string{"key", "--delay", "1"}, keys...)...)
}

// Screenshot keeps a picture of the screen as a PNG file.
func (h *Hand) Screenshot(path string) {
	h.t.Helper()
	cmd := exec.Command(Need(h.t, "import"), "-window", "root", path)
	cmd.Env = append(os.Environ(), "DISPLAY="+h.display)
	out, err := cmd.CombinedOutput()
	require.NoError(h.t, err, "%s", out)
}
