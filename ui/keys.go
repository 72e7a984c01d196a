package ui

import (
	"turngauge/ui/choose"
	"turngauge/ui/help"
	"turngauge/ui/sheet"
	"turngauge/ui/shelf"
	"turngauge/ui/shelf/progress"
)

// ownKeys are the keys that parts of the window have beside the commands, for the
// help.
func ownKeys() []help.Group {
	return []help.Group{
		{Title: "With the mouse on a picture", Lines: [][2]string{
			{"click", "Place the asked point, or take hold of a mark"},
			{"drag", "Move what is in hand, else the picture"},
			{"right button", "Drag the picture, whatever is under it"},
			{"wheel", "Zoom about the pointer"},
		}},
		{Title: "On the sheet, after a click on it or Tab", Lines: sheet.Keys[:]},
		{Title: "In the library, while the search has the keyboard", Lines: shelf.KeysHelp},
		{Title: "On the list of measures of the progress", Lines: progress.KeysHelp},
		{Title: "In the panel that opens files", Lines: choose.Keys[:]},
		{Title: "On cards and buttons", Lines: [][2]string{
			{"Tab, Shift+Tab", "The next control, or the one before; it is ringed"},
			{"Space, Enter", "Press the ringed control"},
			{"Page Up, Page Down", "Scroll a card that is taller than the window"},
		}},
	}
}
