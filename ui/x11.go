//go:build linux && !nox11

package ui

import (
	"gioui.org/app"
	"gioui.org/io/event"
)

// x11Window returns the X11 window that an event tells of.
func x11Window(e event.Event) (id uint32, ok bool) {
	v, ok := e.(app.X11ViewEvent)
	if !ok || !v.Valid() {
		return 0, false
	}
	return uint32(v.Window), true
}
