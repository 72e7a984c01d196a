package drop

import (
	"bufio"
	"errors"
	"io"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/jezek/xgb/xtest"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/desktop"
	screen "turngauge/ui/x11/xtest"
)

// hand moves the real pointer of the test's X server.
type hand struct {
	t    *testing.T
	conn *xgb.Conn
}

func newHand(t *testing.T, display string) hand {
	t.Helper()
	conn := connect(t, display)
	require.NoError(t, xtest.Init(conn))
	return hand{t, conn}
}

func (h hand) to(x, y int) {
	h.t.Helper()
	require.NoError(h.t, xtest.FakeInputChecked(h.conn, xproto.MotionNotify, 0, 0, 0, int16(x), int16(y), 0).Check())
}

func (h hand) press() {
	h.t.Helper()
	require.NoError(h.t, xtest.FakeInputChecked(h.conn, xproto.ButtonPress, 1, 0, 0, 0, 0, 0).Check())
}

func (h hand) release() {
	h.t.Helper()
	require.NoError(h.t, xtest.FakeInputChecked(h.conn, xproto.ButtonRelease, 1, 0, 0, 0, 0, 0).Check())
}

// gtkSource shows a GTK 3 window at 0, 0 that files can be dragged from, and returns the lines it prints.
func gtkSource(t *testing.T, display string) <-chan string {
	t.Helper()
	cmd := exec.Command(screen.Need(t, "python3"), "testdata/gtksource.py")
	cmd.Env = append(os.Environ(), "DISPLAY="+display, "GDK_BACKEND=x11", "NO_AT_BRIDGE=1")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := make(chan string, 100)
	ended := make(chan error, 1)
	go func() {
		scan := bufio.NewScanner(out)
		for scan.Scan() {
			lines <- scan.Text()
		}
		_, _ = io.Copy(io.Discard, out)
		ended <- cmd.Wait()
	}()
	t.Cleanup(func() { _ = cmd.Process.Kill() })
	select {
	case line := <-lines:
		require.Equal(t, "ready", line)
	case err := <-ended:
		var exit *exec.ExitError
		if errors.As(err, &exit) && exit.ExitCode() == 77 && os.Getenv("CI") == "" {
			t.Skip("GTK 3 is not installed")
		}
		t.Fatalf("the GTK window did not come up: %v", err)
	case <-time.After(60 * time.Second):
		t.Fatal("the GTK window did not come up")
	}
	return lines
}

func line(t *testing.T, lines <-chan string) string {
	t.Helper()
	select {
	case s := <-lines:
		return s
	case <-time.After(20 * time.Second):
		require.Fail(t, "GTK said nothing")
		return ""
	}
}

// TestDropFromGTK drags with the pointer from a window of the GTK 3 library, a source of the protocol that
// we have not written.
func TestDropFromGTK(t *testing.T) {
	display := startX(t)
	win := plainWindow(t, connect(t, display))
	_, rec := startListener(t, display, win, answerTimeout)
	dragFromGTK(t, display, rec)
}

// dragFromGTK drags twice onto a listening window whose corner is at 100, 50 of the screen: files let go
// there, and files taken back.
func dragFromGTK(t *testing.T, display string, rec recorder) {
	t.Helper()
	lines := gtkSource(t, display)
	h := newHand(t, display)

	h.to(40, 40)
	h.press()
	h.to(60, 60) // past the threshold of a drag
	over(t, rec, h, 200, 100)
	over(t, rec, h, 310, 170)
	h.release()
	assert.Equal(t, desktop.Drag{
		Kind: desktop.Drop, X: 210, Y: 120,
		Paths: []string{"/clips/Mara face-on.mp4", "/clips/Rudermöwe übt.mov"},
	}, rec.next(t))
	assert.Equal(t, "end", line(t, lines), "GTK saw the drag succeed")

	h.to(40, 40)
	h.press()
	h.to(60, 60)
	over(t, rec, h, 250, 200)
	h.to(40, 40) // back out of the window
	assert.Equal(t, desktop.Leave, rec.next(t).Kind)
	h.release()
	assert.Contains(t, line(t, lines), "failed", "GTK saw no drop")
}

// over moves the pointer to a point of the screen, a little about it until the source has noticed the
// window there and the listener reports that very point.
func over(t *testing.T, rec recorder, h hand, x, y int) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); {
		h.to(x+1, y)
		h.to(x, y)
		there := false
		for settled := false; !settled; {
			select {
			case ev := <-rec:
				require.Equal(t, desktop.Over, ev.Kind)
				there = ev.X == x-100 && ev.Y == y-50
			case <-time.After(200 * time.Millisecond):
				settled = true
			}
		}
		if there {
			return
		}
	}
	require.Fail(t, "the files were never reported over the window at that point")
}
