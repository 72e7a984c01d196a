//go:build linux && !nox11

package drop

import (
	"testing"
	"time"

	"gioui.org/app"
	"gioui.org/op"
	"gioui.org/unit"
	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/desktop"
)

// TestDropOnGio drops on a real window of the toolkit the program is built with.
func TestDropOnGio(t *testing.T) {
	display := startX(t)
	t.Setenv("DISPLAY", display)
	t.Setenv("WAYLAND_DISPLAY", "")

	var w app.Window
	w.Option(app.Title("Turngauge drop test"), app.Size(unit.Dp(300), unit.Dp(250)))
	view := make(chan app.X11ViewEvent, 1)
	gone := make(chan error, 1)
	go func() {
		var ops op.Ops
		for {
			switch e := w.Event().(type) {
			case app.X11ViewEvent:
				if e.Valid() {
					view <- e
				}
			case app.FrameEvent:
				e.Frame(app.NewContext(&ops, e).Ops)
			case app.DestroyEvent:
				gone <- e.Err
				return
			}
		}
	}()
	var on app.X11ViewEvent
	select {
	case on = <-view:
	case err := <-gone:
		t.Fatalf("the window did not open: %v", err)
	case <-time.After(60 * time.Second):
		t.Fatal("the window did not open")
	}

	conn := connect(t, display)
	win := xproto.Window(on.Window)
	rec := make(recorder, 1000)
	l, err := Listen(on.Display, on.Window, func(ev desktop.Drag) { rec <- ev })
	require.NoError(t, err)
	waitMapped(t, conn, win)
	require.NoError(t, xproto.ConfigureWindowChecked(conn, win, xproto.ConfigWindowX|xproto.ConfigWindowY, []uint32{100, 50}).Check())
	dragFromGTK(t, display, rec)

	// The messages of a source that passes the proxy by arrive as well.
	s := newSource(t, display, win)
	require.NotEqual(t, win, s.to)
	s.to = win
	s.list = twoFiles
	s.serve()
	for range 2 {
		s.enter("text/uri-list")
		accepted, action := s.move(110, 70)
		assert.True(t, accepted)
		assert.Equal(t, "XdndActionCopy", action)
		taken, _ := s.drop()
		assert.True(t, taken)
		assert.Equal(t, desktop.Drag{Kind: desktop.Over, X: 10, Y: 20}, rec.next(t))
		assert.Len(t, rec.next(t).Paths, 2)
	}
	s.enter("text/uri-list")
	s.move(110, 70)
	s.send("XdndLeave")
	assert.Equal(t, desktop.Over, rec.next(t).Kind)
	assert.Equal(t, desktop.Leave, rec.next(t).Kind)

	// A second listener in place of the first, as after the window was shown anew.
	require.NoError(t, l.Close())
	l, err = Listen(on.Display, on.Window, func(ev desktop.Drag) { rec <- ev })
	require.NoError(t, err)
	s.enter("text/uri-list")
	s.move(110, 70)
	s.send("XdndLeave")
	assert.Equal(t, desktop.Over, rec.next(t).Kind, "and no event twice")
	assert.Equal(t, desktop.Leave, rec.next(t).Kind)
	rec.none(t)

	// The window closes before the listener, as it does when the coach quits.
	askToClose(t, conn, win)
	select {
	case err := <-gone:
		require.NoError(t, err)
	case <-time.After(20 * time.Second):
		t.Fatal("the window did not close")
	}
	require.NoError(t, l.Close())
}

// waitMapped waits until a window is shown.
func waitMapped(t *testing.T, conn *xgb.Conn, win xproto.Window) {
	t.Helper()
	require.Eventually(t, func() bool {
		a, err := xproto.GetWindowAttributes(conn, win).Reply()
		return err == nil && a.MapState == xproto.MapStateViewable
	}, 20*time.Second, 20*time.Millisecond)
}

// askToClose does what a window manager does when its close button is pressed (ICCCM 4.2.8.1).
func askToClose(t *testing.T, conn *xgb.Conn, win xproto.Window) {
	t.Helper()
	ev := xproto.ClientMessageEvent{
		Format: 32, Window: win, Type: atom(t, conn, "WM_PROTOCOLS"),
		Data: xproto.ClientMessageDataUnionData32New([]uint32{uint32(atom(t, conn, "WM_DELETE_WINDOW")), 0, 0, 0, 0}),
	}
	require.NoError(t, xproto.SendEventChecked(conn, false, win, 0, string(ev.Bytes())).Check())
}
