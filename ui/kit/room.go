package kit

import (
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/profile"
	"turngauge/ui/session"
)

// Room is a part of the window with a state of its own: a card over the window,
// or a panel in it. It knows the window as a Host and no other room. The window
// keeps its rooms in one list, from the top down.
type Room interface {
	// Commands are what the coach can do in the room, or to come into it. They
	// are asked for once, when the window is made.
	Commands() []Command
	// Update takes up what happened since the last frame, before anything is
	// drawn. A card's is called only while it is the uppermost one open; that
	// of a panel only while no card is open.
	Update(gtx layout.Context)
	// Layout draws the room: a card in the middle of the window, a panel in the
	// place that the window gives it.
	Layout(gtx layout.Context) layout.Dimensions
	// Escape closes the room or lets go of what is in hand in it, and reports
	// whether there was anything.
	Escape() bool
	// HoldsKeys reports whether the room keeps the letters to itself, as a card
	// does that is open, and a field that is written in.
	HoldsKeys() bool
}

// Card is a room that lies over the window: while it is open, everything under
// it waits.
type Card interface {
	Room
	IsOpen() bool
}

// LessonRoom is a room whose state is about the open lesson: it is told when
// that is closed, to forget it.
type LessonRoom interface {
	Room
	LessonClosed()
}

// Taker is a room in which some commands of the window mean something else while
// it is open. Take does what c means there and reports whether it did.
type Taker interface {
	Room
	Take(c *Command) bool
}

// Paster is a card on which what was copied can be pasted. Paste takes a text for its own
// and reports whether it did; else it is opened as the path of a file.
type Paster interface {
	Card
	Paste(text string) bool
}

// NoticesOver is a card over which the window's notices are shown, because they
// are about it.
type NoticesOver interface {
	Card
	NoticesOver() bool
}

// Host is the window as its rooms know it.
type Host interface {
	// Session is the open lesson, or nil where none is.
	Session() *session.Session
	Theme() *draw.Theme
	// Settings are how the coach likes the window. KeepSettings writes them
	// after they were changed.
	Settings() *profile.Settings
	KeepSettings()
	// Tell shows a passing notice, Alert something that went wrong.
	Tell(bench.Note)
	Alert(text string)
	// Go runs do on a goroutine of its own, and Post, from there, something on
	// the window's; see session.Work.
	Go(what string, do, failed func())
	Post(do func())
	// Run does a command, if it can be done now. Can says whether it can;
	// Shortcut is the chord that calls it, as text.
	Run(id string)
	Can(id string) bool
	Shortcut(id string) string
	// Ask asks for files. then is called with what was chosen, in a later
	// frame, and not at all where the coach thought better of it.
	Ask(files Files, then func(paths []string))
}

// Files says what files are asked for.
type Files struct {
	Title string
	Kinds []choose.Kind
	Many  bool
	// Folder asks for a folder, not for files.
	Folder bool
	Dir    string // looked into first; "" for where files were chosen last
}

// Edit changes the open lesson, or tells why not.
func Edit(h Host, e annotations.Edit) bool {
	if err := h.Session().Edit(e); err != nil {
		h.Alert(err.Error())
		return false
	}
	return true
}

// ReleaseKeys gives the keyboard back to the window, whose tag is the window
// itself.
func ReleaseKeys(gtx layout.Context, h Host) { gtx.Execute(key.FocusCmd{Tag: h}) }
