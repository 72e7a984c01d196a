package ui

import (
	"slices"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/ui/bench"
	"turngauge/ui/kit"
)

// commandTable is everything the coach can do: the window's own commands and
// those of its rooms.
type commandTable struct {
	list  []*kit.Command // in the order of the help
	byID  map[string]*kit.Command
	shown map[string]string // the first chord as it stands on buttons
	// What is asked of the keyboard: filters for all chords, those that work even
	// while a card is open apart, and whose they are.
	all, always []event.Filter
	// pasting are those that work while a card is open on which can be pasted.
	pasting []event.Filter
	bound   map[kit.Chord]string
	kept    bool // a card or a field kept the letters to itself in the last frame

	buttons []*namedButton
}

func newCommandTable(own []kit.Command, rooms []kit.Room) commandTable {
	t := commandTable{byID: make(map[string]*kit.Command), shown: make(map[string]string), bound: make(map[kit.Chord]string)}
	var rest []*kit.Command
	for i := range own {
		rest = append(rest, &own[i])
	}
	for _, r := range rooms {
		list := r.Commands()
		for i := range list {
			rest = append(rest, &list[i])
		}
	}
	// One may follow another room's, which is not there yet: then it waits.
	for len(rest) > 0 {
		var waiting []*kit.Command
		for _, c := range rest {
			if c.After != "" && t.byID[c.After] == nil {
				waiting = append(waiting, c)
				continue
			}
			t.add(c)
		}
		if len(waiting) == len(rest) {
			panic("ui: no command " + rest[0].After + " for " + rest[0].ID + " to follow")
		}
		rest = waiting
	}
	return t
}

// add puts a command in its place in the table.
func (t *commandTable) add(c *kit.Command) {
	at := len(t.list)
	if i := slices.IndexFunc(t.list, func(o *kit.Command) bool { return o.ID == c.After }); i >= 0 {
		at = i + 1
	}
	t.list = slices.Insert(t.list, at, c)
	t.byID[c.ID] = c
	for i, ch := range c.Keys {
		if i == 0 {
			t.shown[c.ID] = ch.String() // written once: every button asks for it in every frame
		}
		f := key.Filter{Name: ch.Key, Required: ch.Mods}
		t.all = append(t.all, f)
		if c.ID == "let go" || c.ID == "help" {
			t.always = append(t.always, f)
		}
		if c.ID == "let go" || c.ID == "help" || c.ID == "paste" {
			t.pasting = append(t.pasting, f)
		}
		t.bound[ch] = c.ID
	}
}

// updateKeys does the commands whose keys were pressed, in the order in which
// they were. A card that is open keeps the letters to itself; Esc and F1 always
// work.
func (a *App) updateKeys(gtx layout.Context) {
	again := false
	for {
		wanted := a.commands.all
		if a.keepsKeys() {
			wanted = a.commands.always
			if _, ok := a.openCard().(kit.Paster); ok && !a.files.Visible() {
				wanted = a.commands.pasting
			}
		}
		ev, ok := gtx.Event(wanted...)
		if !ok {
			break
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			id := a.commands.bound[kit.Chord{Key: e.Name, Mods: e.Modifiers}]
			a.Run(id)
			again = again || id == "let go"
		}
	}
	// A key is a command from the frame on that follows the one in which it was
	// first asked for: that one must not wait for the key.
	if kept := a.keepsKeys(); again || kept != a.commands.kept {
		a.commands.kept = kept
		gtx.Execute(op.InvalidateCmd{})
	}
}

// keepsKeys reports whether a card or a field keeps the letters to itself.
func (a *App) keepsKeys() bool {
	return a.files.Visible() || slices.ContainsFunc(a.rooms, kit.Room.HoldsKeys)
}

// Shortcut returns the first chord of a command, for buttons and tooltips.
func (a *App) Shortcut(id string) string { return a.commands.shown[id] }

// Run does a command if it can be done now.
func (a *App) Run(id string) {
	c := a.commands.byID[id]
	if c == nil {
		panic("ui: no command " + id)
	}
	switch {
	case a.Can(id) && a.taken(c):
	case a.Can(id):
		c.Do()
	case a.breaksBlind(c):
		a.notices.Tell(a.desk.Bench.Busy())
	case a.desk != nil && c.Lacking != "" && !c.Enabled():
		a.notices.Tell(bench.Note(c.Lacking))
	}
}

// taken reports whether a room took a command for its own.
func (a *App) taken(c *kit.Command) bool {
	return slices.ContainsFunc(a.rooms, func(r kit.Room) bool {
		t, ok := r.(kit.Taker)
		return ok && t.Take(c)
	})
}

// Can reports whether a command can be done now.
func (a *App) Can(id string) bool {
	c := a.commands.byID[id]
	if a.desk == nil && !c.Anywhere {
		return false
	}
	if a.desk != nil && a.desk.Comparing != nil && c.Changes() && !a.explain.On() {
		return false
	}
	return !a.breaksBlind(c) && (c.Enabled == nil || c.Enabled())
}

// breaksBlind reports whether a command has to wait for the end of a second
// marking: it would show the first marks, or change something else.
func (a *App) breaksBlind(c *kit.Command) bool {
	if a.desk == nil {
		return false
	}
	s, on := a.desk.Bench.Blind()
	if !on {
		return false
	}
	switch c.ID {
	case "points", "telling mark", "unsure", "copy forward", "follow", "follow all", "golfer", "stick", "compare", "choose other", "next swing":
		return true
	}
	return c.Group == "Explain" || c.Group == "Key positions" && c.ID != "go to "+string(s.Position)
}
