package kit

import (
	"strings"

	"gioui.org/io/key"
)

// Chord is a key with its modifiers.
type Chord struct {
	Key  key.Name
	Mods key.Modifiers
}

// String returns the chord as it stands in tooltips and under F1.
func (c Chord) String() string {
	var b strings.Builder
	for _, m := range []struct {
		mod  key.Modifiers
		name string
	}{{key.ModCtrl, "Ctrl"}, {key.ModAlt, "Alt"}, {key.ModShift, "Shift"}} {
		if c.Mods.Contain(m.mod) {
			b.WriteString(m.name + "+")
		}
	}
	if n, ok := keyWords[c.Key]; ok {
		b.WriteString(n)
	} else {
		b.WriteString(string(c.Key))
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

// On is the one chord of a key by itself.
func On(k key.Name) []Chord { return []Chord{{Key: k}} }

// WithMod is the one chord of a key with modifiers.
func WithMod(m key.Modifiers, k key.Name) []Chord { return []Chord{{k, m}} }

// Command is something the coach can do. One table of them feeds the keys, the
// buttons, the tooltips and the help under F1.
type Command struct {
	// ID names the command in code and in tests.
	ID string
	// Group is the heading it stands under in the help, one of Groups.
	Group string
	// After is the ID of the command it follows in the help; "" puts it behind
	// all there are.
	After string
	// Help says what it does, in the coach's words.
	Help string
	// Keys are the chords that call it; the first one is shown on buttons.
	Keys []Chord
	// Do does it.
	Do func()
	// Enabled says whether it can be done now; nil means always.
	Enabled func() bool
	// Lacking is a sentence for whoever asks for it where Enabled says that it can't; "" says
	// nothing.
	Lacking string
	// Anywhere says that it also works where no swing is on the bench.
	Anywhere bool
	// Hidden leaves it out of the help, for second keys of the same kind.
	Hidden bool
}

// Groups are the headings of the help, in order.
var Groups = []string{"Frames", "Key positions", "Marks", "Explain", "Picture", "Lesson"}

// Changes reports whether the command changes the swing on the bench, which is
// not done while two swings are compared.
func (c *Command) Changes() bool {
	switch c.ID {
	case "left", "right", "fine left", "fine right", "let go", "next position", "previous position":
		return false
	}
	return c.Group == "Marks" || c.Group == "Key positions" && !strings.HasPrefix(c.ID, "go to ")
}
