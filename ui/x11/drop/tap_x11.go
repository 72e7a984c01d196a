//go:build linux && !android && !nox11 && cgo

package drop

/*
#cgo pkg-config: x11
#include "tap.h"
*/
import "C"

import (
	"io"
	"os"
	"syscall"
	"unsafe"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

// tap brings the messages that sources send to the toolkit's window itself, past the proxy.
type tap struct {
	events chan xgb.Event
	in     *os.File
	out    int
	done   chan struct{}
}

// openTap starts to copy the drag messages for the target that arrive on the toolkit's own connection,
// or returns nil if that can't be had.
func openTap(display unsafe.Pointer, w wire) *tap {
	if display == nil {
		return nil
	}
	var p [2]int
	if err := syscall.Pipe2(p[:], syscall.O_NONBLOCK|syscall.O_CLOEXEC); err != nil {
		return nil
	}
	t := &tap{events: make(chan xgb.Event), in: os.NewFile(uintptr(p[0]), "tap"), out: p[1], done: make(chan struct{})}
	types := [4]C.uint32_t{C.uint32_t(w.enter), C.uint32_t(w.position), C.uint32_t(w.leave), C.uint32_t(w.drop)}
	if C.tap_open(display, C.uint32_t(w.target), &types[0], C.int(t.out)) == 0 {
		_ = t.in.Close()
		_ = syscall.Close(t.out)
		return nil
	}
	go t.pump()
	return t
}

// pump turns what comes through the pipe back into events. The layout is that of the X protocol.
func (t *tap) pump() {
	for {
		buf := make([]byte, 32)
		if _, err := io.ReadFull(t.in, buf); err != nil {
			return // closed
		}
		select {
		case t.events <- xproto.ClientMessageEventNew(buf):
		case <-t.done:
			return
		}
	}
}

// incoming returns the messages; a nil tap has none.
func (t *tap) incoming() <-chan xgb.Event {
	if t == nil {
		return nil
	}
	return t.events
}

// close ends the copying. The toolkit's connection may be closed already.
func (t *tap) close() {
	if t == nil {
		return
	}
	C.tap_close(C.int(t.out))
	close(t.done)
	_ = syscall.Close(t.out)
	_ = t.in.Close()
}

// displayName returns the name of the display a connection of Xlib's is to.
func displayName(display unsafe.Pointer) string {
	if display == nil {
		return ""
	}
	return C.GoString(C.tap_name(display))
}
