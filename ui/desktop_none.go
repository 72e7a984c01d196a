//go:build !windows && (!linux || nox11)

package ui

import (
	"image"

	"gioui.org/io/event"

	"turngauge/ui/desktop"
)

// joinDesktop joins the desktop of the window that an event tells of: for this system
// there is no room behind the door yet.
func joinDesktop(event.Event, func(desktop.Drag)) (desktop.Desktop, error) { return nil, nil }

// screenSize is the room for windows on the screen: not known for this system.
func screenSize() image.Point { return image.Point{} }
