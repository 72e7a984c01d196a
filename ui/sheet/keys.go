package sheet

import (
	"gioui.org/io/key"
	"gioui.org/layout"
)

// Keys lists the keys of the sheet while it has the keyboard and what they do,
// for the help; see updateKeys.
var Keys = [...][2]string{
	{"Up, Down", "The row above or below"},
	{"Page Up, Page Down", "A screenful up or down"},
	{"Home, End", "The first or the last row"},
	{"Alt+Up, Alt+Down", "Move the row: its measure stands there from now on"},
	{"Alt+Home", "Rows in their usual order again"},
	{"Enter", "Show the row's key position on the stages"},
	{"Ctrl+C", "Copy the row; with Shift the whole sheet"},
}

func (s *Sheet) updateKeys(gtx layout.Context) (Event, bool) {
	for {
		ev, ok := gtx.Event(
			key.FocusFilter{Target: s},
			key.Filter{Focus: s, Name: key.NameUpArrow, Optional: key.ModAlt},
			key.Filter{Focus: s, Name: key.NameDownArrow, Optional: key.ModAlt},
			key.Filter{Focus: s, Name: key.NamePageUp},
			key.Filter{Focus: s, Name: key.NamePageDown},
			key.Filter{Focus: s, Name: key.NameHome, Optional: key.ModAlt},
			key.Filter{Focus: s, Name: key.NameEnd},
			key.Filter{Focus: s, Name: key.NameReturn},
			key.Filter{Focus: s, Name: "C", Required: key.ModShortcut, Optional: key.ModShift},
		)
		if !ok {
			return Event{}, false
		}
		switch e := ev.(type) {
		case key.FocusEvent:
			if e.Focus && s.index() < 0 {
				if r := s.step(-1, 1); r != nil {
					s.cursor, s.reveal = r.Key, true
				}
			}
			switch {
			case e.Focus:
				s.keyed, s.away = s.cursor, false
			case !s.away:
				s.keyed = ""
			}
		case key.Event:
			if e.State != key.Press {
				continue
			}
			if out, ok := s.key(e); ok {
				return out, true
			}
		}
	}
}

func (s *Sheet) key(e key.Event) (Event, bool) {
	i := s.index()
	if e.Modifiers.Contain(key.ModAlt) {
		switch e.Name {
		case key.NameUpArrow:
			return s.move(-1)
		case key.NameDownArrow:
			return s.move(1)
		case key.NameHome:
			return Event{Kind: Ordered}, true
		}
		return Event{}, false
	}
	var to *Row
	switch e.Name {
	case key.NameUpArrow:
		to = s.step(i, -1)
	case key.NameDownArrow:
		to = s.step(i, 1)
	case key.NameHome:
		to = s.step(-1, 1)
	case key.NameEnd:
		to = s.step(len(s.items), -1)
	case key.NamePageUp:
		to = s.page(i, -1)
	case key.NamePageDown:
		to = s.page(i, 1)
	case key.NameReturn:
		if i >= 0 {
			s.keyed, s.away = s.cursor, true
			return Event{Kind: Opened, Row: s.items[i].row}, true
		}
	case "C":
		if e.Modifiers.Contain(key.ModShift) {
			return Event{Kind: Copied, Text: s.built.model.Text()}, true
		}
		if i >= 0 {
			r := s.items[i].row
			return Event{Kind: Copied, Row: r, Text: r.Text() + "\n"}, true
		}
	}
	if to == nil || to.Key == s.cursor {
		return Event{}, false
	}
	s.cursor, s.reveal, s.detail, s.keyed, s.away = to.Key, true, "", to.Key, false
	return Event{Kind: Selected, Row: to}, true
}
