package drop

import (
	"os"
	"testing"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/stretchr/testify/require"

	"turngauge/ui/desktop"
	screen "turngauge/ui/x11/xtest"
)

// startX runs a private X server for the test on a display of the server's choosing and returns its name.
func startX(t *testing.T) string {
	t.Helper()
	t.Setenv("XAUTHORITY", os.DevNull)
	return screen.Start(t, 800, 600)
}

// connect opens a connection of the test's own.
func connect(t *testing.T, display string) *xgb.Conn {
	t.Helper()
	quietly()
	conn, err := xgb.NewConnDisplay(display)
	require.NoError(t, err)
	t.Cleanup(conn.Close)
	return conn
}

// plainWindow shows a window with its upper left corner at 100, 50.
func plainWindow(t *testing.T, conn *xgb.Conn) xproto.Window {
	t.Helper()
	screen := xproto.Setup(conn).DefaultScreen(conn)
	id, err := xproto.NewWindowId(conn)
	require.NoError(t, err)
	require.NoError(t, xproto.CreateWindowChecked(conn, screen.RootDepth, id, screen.Root, 100, 50, 400, 300, 0,
		xproto.WindowClassInputOutput, screen.RootVisual, 0, nil).Check())
	require.NoError(t, xproto.MapWindowChecked(conn, id).Check())
	return id
}

// property reads a 32-bit property, or 0.
func property(t *testing.T, conn *xgb.Conn, win xproto.Window, name string, kind xproto.Atom) uint32 {
	t.Helper()
	r, err := xproto.GetProperty(conn, false, win, atom(t, conn, name), kind, 0, 1).Reply()
	require.NoError(t, err)
	if len(r.Value) < 4 {
		return 0
	}
	return xgb.Get32(r.Value)
}

func atom(t *testing.T, conn *xgb.Conn, name string) xproto.Atom {
	t.Helper()
	r, err := xproto.InternAtom(conn, false, uint16(len(name)), name).Reply()
	require.NoError(t, err)
	return r.Atom
}

// recorder keeps the events of a listener.
type recorder chan desktop.Drag

func (r recorder) next(t *testing.T) desktop.Drag {
	t.Helper()
	select {
	case ev := <-r:
		return ev
	case <-time.After(20 * time.Second):
		require.Fail(t, "no event came")
		return desktop.Drag{}
	}
}

// none checks that nothing was reported; the caller has made sure that the listener is through.
func (r recorder) none(t *testing.T) {
	t.Helper()
	select {
	case ev := <-r:
		require.Fail(t, "unexpected event", "%+v", ev)
	default:
	}
}

func startListener(t *testing.T, display string, win xproto.Window, wait time.Duration) (*Listener, recorder) {
	t.Helper()
	rec := make(recorder, 1000)
	l, err := listen(uint32(win), display, nil, func(ev desktop.Drag) { rec <- ev }, wait)
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	return l, rec
}
