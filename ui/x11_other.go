//go:build !linux || nox11

package ui

import (
	"unsafe"

	"gioui.org/io/event"
)

// x11Window returns the X11 display and window that an event tells of: none
// here.
func x11Window(event.Event) (display unsafe.Pointer, window uintptr, ok bool) { return nil, 0, false }
