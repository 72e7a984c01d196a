package ui

import (
	"image"

	"gioui.org/app"
	"gioui.org/io/event"

	"turngauge/ui/choose"
	"turngauge/ui/desktop"
	"turngauge/ui/win32"
)

// joinDesktop joins the desktop of the window that an event tells of; nil where it
// tells of none.
func joinDesktop(e event.Event, drags func(desktop.Drag)) (desktop.Desktop, error) {
	v, ok := e.(app.Win32ViewEvent)
	if !ok || !v.Valid() {
		return nil, nil
	}
	return win32.Join(v.HWND, drags)
}

// screenSize is the room for windows on the screen, pixels; zero where it is not
// known.
func screenSize() image.Point { return win32.Screen() }

// openDialogs are the desktop's dialogs for a window, and what is to be shown its events.
func openDialogs(*app.Window) (choose.Desktop, func(event.Event)) {
	return win32.Dialogs{}, func(event.Event) {}
}
