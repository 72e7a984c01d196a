//go:build !windows

package ui

import (
	"gioui.org/app"
	"gioui.org/io/event"
	"gioui.org/x/explorer"

	"turngauge/ui/choose"
)

// openDialogs are the desktop's dialogs for a window, and what is to be shown its events.
func openDialogs(w *app.Window) (choose.Desktop, func(event.Event)) {
	e := explorer.NewExplorer(w)
	return e, e.ListenEvents
}
