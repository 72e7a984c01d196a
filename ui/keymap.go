package ui

import (
	"strings"

	"gioui.org/io/event"
	"gioui.org/io/key"
)

// chord is a key with its modifiers.
type chord struct {
	key  key.Name
	mods key.Modifiers
}

// String returns the chord as it stands in tooltips and under F1.
func (c chord) String() string {
	var b strings.Builder
	for _, m := range []struct {
		mod  key.Modifiers
		name string
	}{{key.ModCtrl, "Ctrl"}, {key.ModAlt, "Alt"}, {key.ModShift, "Shift"}} {
		if c.mods.Contain(m.mod) {
			b.WriteString(m.name + "+")
		}
	}
	if n, ok := keyWords[c.key]; ok {
		b.WriteString(n)
	} else {
		b.WriteString(string(c.key))
	}
	return b.String()
}

var keyWords = map[key.Name]string{
	key.NameLeftArrow: "Left", key.NameRightArrow: "Right",
	key.NameUpArrow: "Up", key.NameDownArrow: "Down",
	key.NameHome: "Home", key.NameEnd: "End",
	key.NamePageUp: "Page Up", key.NamePageDown: "Page Down",
	key.NameDeleteBackward: "Backspace", key.NameDeleteForward: "Delete",
	key.NameEscape: "Esc", key.NameReturn: "Enter", key.NameEnter: "Enter (number pad)",
	key.NameSpace: "Space",
}

// command is something the coach can do. One table of them feeds the keys, the
// buttons, the tooltips and the help under F1.
type command struct {
	// id names the command in code and in tests.
	id string
	// group is the heading it stands under in the help.
	group string
	// help says what it does, in the coach's words.
	help string
	// keys are the chords that call it; the first one is shown on buttons.
	keys []chord
	// do does it.
	do func(a *App)
	// enabled says whether it can be done now; nil means always.
	enabled func(a *App) bool
	// anywhere says that it also works where no swing is on the bench.
	anywhere bool
	// hidden leaves it out of the help, for second keys of the same kind.
	hidden bool
	// shown is the first chord as it stands on buttons; see shortcut.
	shown string
}

// changes reports whether the command changes the swing on the bench, which is
// not done while two swings are compared.
func (c *command) changes() bool {
	switch c.id {
	case "left", "right", "fine left", "fine right", "let go", "next position", "previous position":
		return false
	}
	return c.group == "Marks" || c.group == "Key positions" && !strings.HasPrefix(c.id, "go to ")
}

// keyboard is what the window asks of the keyboard: filters for the commands'
// chords, those that work even while a card is open apart, and whose they are.
type keyboard struct {
	all, always []event.Filter
	bound       map[chord]string // command IDs
}

func newKeyboard(table []command) keyboard {
	k := keyboard{bound: make(map[chord]string)}
	for i := range table {
		c := &table[i]
		for _, ch := range c.keys {
			f := key.Filter{Name: ch.key, Required: ch.mods}
			k.all = append(k.all, f)
			if c.id == "let go" || c.id == "help" {
				k.always = append(k.always, f)
			}
			k.bound[ch] = c.id
		}
	}
	return k
}

func on(k key.Name) []chord                       { return []chord{{key: k}} }
func withMod(m key.Modifiers, k key.Name) []chord { return []chord{{k, m}} }

// The headings of the help, in order.
var commandGroups = []string{"Frames", "Key positions", "Marks", "Explain", "Picture", "Lesson"}

// shortcut returns the first chord of a command, for buttons and tooltips.
func (a *App) shortcut(id string) string {
	c := a.commands[id]
	if c == nil || len(c.keys) == 0 {
		return ""
	}
	if c.shown == "" { // written once: every button asks for it in every frame
		c.shown = c.keys[0].String()
	}
	return c.shown
}

// run does a command if it can be done now.
func (a *App) run(id string) {
	c := a.commands[id]
	if c == nil {
		panic("ui: no command " + id)
	}
	switch {
	case a.can(id) && a.explainKey(c):
	case a.can(id):
		c.do(a)
	case a.breaksBlind(c):
		a.tell(a.desk.bench.Busy())
	}
}

// can reports whether a command can be done now.
func (a *App) can(id string) bool {
	c := a.commands[id]
	if a.desk == nil && !c.anywhere {
		return false
	}
	if a.desk != nil && a.desk.comparing != nil && c.changes() {
		return false
	}
	return !a.breaksBlind(c) && (c.enabled == nil || c.enabled(a))
}
