// Package drop receives files dropped on the program's window from a file manager.
//
// It speaks the drag-and-drop protocol for the X Window System (XDND), version 5, as published on
// freedesktop.org. The window toolkit ignores those messages and offers no hook, so the package uses
// what the protocol provides for that case: the property XdndProxy on the program's window names a
// second, invisible window of our own, on our own connection to the X server, and a drag source sends
// its messages there.
//
// Compositors that carry drags from Wayland programs over to X11 windows pass the proxy by and send to the
// window itself (for one: github.com/hyprwm/Hyprland/issues/8994; GNOME's does the same). For those a tap
// on the toolkit's own connection copies the four messages that matter as Xlib reads them.
//
// Positions are reported while the pointer is still moving, so that the place under it can be highlighted.
//
// Events arrive on the listener's own goroutine, one at a time and in order; hand them to the user
// interface by its mailbox.
package drop

import (
	"io"
	"log"
	"os"
	"strings"
	"sync"
	"time"
	"unsafe"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"

	"turngauge/ui/desktop"
)

// answerTimeout is how long a drag source may take to hand over the names after a drop. File managers
// answer at once; one that reads a remote folder first may need seconds.
const answerTimeout = 10 * time.Second

// Listener receives the drags over one window. Make it with Listen and end it with Close.
type Listener struct {
	conn *xgb.Conn
	w    wire
	tap  *tap
	emit func(desktop.Drag)
	wait time.Duration

	events chan xgb.Event // from the connection; closed when it ends
	quit   chan struct{}
	done   chan struct{}
	once   sync.Once
}

// quietly keeps the protocol library from writing on standard error: what matters comes back as an error.
var quietly = sync.OnceFunc(func() { xgb.Logger = log.New(io.Discard, "", 0) })

// Listen starts to receive drags over a window of the toolkit's: the Display and the Window of its
// app.X11ViewEvent, which must be open still. Each event is given to emit on the listener's goroutine; emit
// must not call Close. The error is desktop.ErrNoDrops (errors.Is), with the cause inside, when dropping is not
// to be had here. Listen makes a few round trips to the X server.
func Listen(display unsafe.Pointer, window uintptr, emit func(desktop.Drag)) (*Listener, error) {
	return listen(uint32(window), displayName(display), display, emit, answerTimeout)
}

// listen is Listen for the window on the X server with the given name (empty: as the environment says).
// Without the toolkit's connection there is no tap.
func listen(window uint32, display string, toolkit unsafe.Pointer, emit func(desktop.Drag), wait time.Duration) (*Listener, error) {
	if window == 0 || display == "" && os.Getenv("DISPLAY") == "" {
		return nil, desktop.ErrNoDrops
	}
	quietly()
	conn, err := xgb.NewConnDisplay(display)
	if err != nil {
		return nil, &desktop.Failure{Text: desktop.ErrNoDrops.Text, Cause: err}
	}
	w, err := newWire(conn, xproto.Window(window))
	if err != nil {
		conn.Close()
		return nil, &desktop.Failure{Text: desktop.ErrNoDrops.Text, Cause: err}
	}
	l := &Listener{
		conn:   conn,
		w:      w,
		tap:    openTap(toolkit, w),
		emit:   emit,
		wait:   wait,
		events: make(chan xgb.Event),
		quit:   make(chan struct{}),
		done:   make(chan struct{}),
	}
	go l.pump()
	go l.run()
	return l, nil
}

// Close stops listening and takes our marks off the window, which may be gone already. No event is
// delivered after it returns. Calling it again does nothing.
func (l *Listener) Close() error {
	l.once.Do(func() { close(l.quit) })
	<-l.done
	return nil
}

// pump carries events from the connection to run until the connection ends.
func (l *Listener) pump() {
	defer close(l.events)
	for {
		ev, xerr := l.conn.WaitForEvent()
		switch {
		case ev != nil:
			select {
			case l.events <- ev:
			case <-l.done:
			}
		case xerr == nil:
			return // the connection is closed
		}
		// An X error is the late answer to a message for a window that is gone: nothing to do.
	}
}

// run owns the state of the drag.
func (l *Listener) run() {
	defer close(l.done)
	defer l.conn.Close()
	defer l.tap.close()
	host, err := os.Hostname()
	if err != nil {
		host = ""
	}
	s := session{w: l.w, emit: l.emit, host: strings.ToLower(host)}
	for {
		var late <-chan time.Time
		var timer *time.Timer
		if s.asking() {
			timer = time.NewTimer(time.Until(s.asked.Add(l.wait)))
			late = timer.C
		}
		select {
		case <-l.quit:
			s.abandon()
			l.w.unmark()
			return
		case <-late:
			s.fail("The program the files came from did not hand them over in time. Drop them again, or use the Open button.")
		case ev := <-l.tap.incoming():
			s.handle(ev)
		case ev, ok := <-l.events:
			if !ok || s.handle(ev) {
				s.abandon()
				return // the X server or the window is gone
			}
		}
		if timer != nil {
			timer.Stop()
		}
	}
}
