// Package help is the card under F1: all keys, and the pages of the manual.
package help

import (
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
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

	page  int // 0 is the keys
	tabs  draw.Segmented
	tour  draw.Button
	asked draw.Field // what is looked up
	wants bool       // that it has the keyboard
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
		ID: "help", Group: "Lesson", After: "home", Help: "This list of keys; type what you look for",
		Keys: kit.On(key.NameF1), Do: r.toggle, Anywhere: true,
	}}
}

// toggle opens the card, ready for a question, or closes it.
func (r *Room) toggle() {
	r.Shown = !r.Shown
	r.wants = r.Shown
	r.asked.SetText("")
}

// Escape takes the question back, or closes the card.
func (r *Room) Escape() bool {
	if r.Shown && r.question() != "" {
		r.asked.SetText("")
		return true
	}
	return r.Openable.Escape()
}

// question is what is looked up, "" while a page is read.
func (r *Room) question() string { return strings.TrimSpace(r.asked.Text()) }

// Show opens the help at a page: 0 is the keys, then come those of the manual.
func (r *Room) Show(page int) { r.Shown, r.page = true, page }

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	if r.wants {
		// The field takes the keyboard once it was drawn, and what is typed from the
		// frame after on: none of these must wait for a key.
		r.wants = !gtx.Focused(&r.asked.Editor)
		gtx.Execute(key.FocusCmd{Tag: &r.asked.Editor})
		gtx.Execute(op.InvalidateCmd{})
	}
	r.card.Keys(gtx, &r.asked.Editor)
	r.asked.Edited(gtx)
	if i, ok := r.tabs.Update(gtx); ok {
		r.page = i
		r.asked.SetText("")
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
	fieldWidth  unit.Sp = 420 // beside the names of the pages
	mostColumns         = 4   // columns
	columnGap   unit.Dp = 28  // between columns
)

// pages names the pages.
var pages = append([]string{"Keys"}, manual.Titles[:]...)
