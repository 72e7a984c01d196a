//go:build !linux || nox11

package ui

import "gioui.org/io/event"

// x11Window returns the X11 window that an event tells of: none here.
func x11Window(event.Event) (id uint32, ok bool) { return 0, false }
