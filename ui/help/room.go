// Package help is the card under F1: all keys, and the pages of the manual.
package help

import (
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/manual"
)

// Room is the card.
type Room struct {
	kit.Openable
	host     kit.Host
	commands func() []*kit.Command
	more     []Group
	card     kit.Modal

	page int // 0 is the keys
	tabs draw.Segmented
	tour draw.Button
}

// Group is a heading of the help with its lines: keys, and what they do.
type Group struct {
	Title string
	Lines [][2]string
}

// New returns the room of a window. commands are those of its table in their
// order; more stands behind them.
func New(h kit.Host, commands func() []*kit.Command, more ...Group) *Room {
	return &Room{host: h, commands: commands, more: more}
}

// Commands is the way into the room and out of it.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "help", Group: "Lesson", After: "home", Help: "This list of keys",
		Keys: kit.On(key.NameF1), Do: func() { r.Shown = !r.Shown }, Anywhere: true,
	}}
}

// Show opens the help at a page: 0 is the keys, then come those of the manual.
func (r *Room) Show(page int) { r.Shown, r.page = true, page }

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	if i, ok := r.tabs.Update(gtx); ok {
		r.page = i
	}
	if r.tour.Clicked(gtx) {
		r.Shown = false
		r.host.Run("tour")
	}
}

// groups are the commands of the table, and the keys of the parts of the window
// that have some of their own.
func (r *Room) groups() []Group {
	var out []Group
	for _, group := range kit.Groups {
		g := Group{Title: group}
		for _, c := range r.commands() {
			if c.Group == group && !c.Hidden {
				g.Lines = append(g.Lines, [2]string{c.Keys[0].String(), c.Help})
			}
		}
		out = append(out, g)
	}
	return append(out, r.more...)
}

const (
	columnWidth unit.Sp = 350 // a column of the help is at least so wide
	keysWidth   unit.Sp = 118 // of which the keys take so much
	mostColumns         = 4   // columns
	columnGap   unit.Dp = 28  // between columns
)

// pages names the pages.
var pages = append([]string{"Keys"}, manual.Titles[:]...)
