//go:build linux && !nox11

package ui

import (
	"image"

	"gioui.org/app"
	"gioui.org/io/event"

	"turngauge/ui/desktop"
	"turngauge/ui/x11"
)

// joinDesktop joins the desktop of the window that an event tells of; nil where it
// tells of none. The error says what can't be had there.
func joinDesktop(e event.Event, drags func(desktop.Drag)) (desktop.Desktop, error) {
	v, ok := e.(app.X11ViewEvent)
	if !ok || !v.Valid() {
		return nil, nil
	}
	return x11.Join(v.Display, v.Window, drags)
}

// screenSize is the room for windows on the screen, pixels; zero where it is not
// known.
func screenSize() image.Point { return x11.Screen() }
