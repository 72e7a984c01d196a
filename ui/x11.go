//go:build linux && !nox11

package ui

import (
	"unsafe"

	"gioui.org/app"
	"gioui.org/io/event"
)

// x11Window returns the X11 display and window that an event tells of.
func x11Window(e event.Event) (display unsafe.Pointer, window uintptr, ok bool) {
	v, ok := e.(app.X11ViewEvent)
	if !ok || !v.Valid() {
		return nil, 0, false
	}
	return v.Display, v.Window, true
}
