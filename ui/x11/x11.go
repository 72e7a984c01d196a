// Package x11 joins the window to the X Window System: it receives the files that are
// dropped on it (package drop), puts pictures on the clipboard (package selection) and
// gives it its icon. It talks to the X server on connections of its own.
package x11

import (
	"io"
	"log"
	"sync"
	"unsafe"

	"github.com/jezek/xgb"

	"turngauge/ui/desktop"
	"turngauge/ui/x11/drop"
	"turngauge/ui/x11/selection"
)

// joined is a window that has joined.
type joined struct {
	drops *drop.Listener // nil where nothing can be dropped
	owner func() (*selection.Owner, error)
}

// Join joins a window of the toolkit's: the Display and the Window of its
// app.X11ViewEvent, which must be open still. Each step of a drag over it is given to
// drags on another goroutine; drags must not call Close. What is returned can be used
// also where there is an error, which says why nothing can be dropped. Join makes a few
// round trips to the X server.
func Join(display unsafe.Pointer, window uintptr, drags func(desktop.Drag)) (desktop.Desktop, error) {
	quietly()
	j := &joined{owner: sync.OnceValues(func() (*selection.Owner, error) { return selection.Open("") })}
	_ = setIcon(uint32(window)) // a window without serves as well
	var err error
	j.drops, err = drop.Listen(display, window, drags)
	return j, err
}

// quietly keeps the protocol library from writing on standard error: what matters
// comes back as an error.
var quietly = sync.OnceFunc(func() { xgb.Logger = log.New(io.Discard, "", 0) })

// CopyPNG puts a picture on the clipboard, as long as the program runs.
func (j *joined) CopyPNG(data []byte) error {
	o, err := j.owner()
	if err != nil {
		return err
	}
	return o.Offer("image/png", data)
}

// Close stops receiving what is dropped and takes our marks off the window, which may
// be gone already.
func (j *joined) Close() error {
	if j.drops == nil {
		return nil
	}
	return j.drops.Close()
}
