package ui

import (
	"turngauge/ui/kit"
)

// accept takes a proposed mark; at the end of a second marking it shows what
// came of it.
func (a *App) accept() {
	b := a.desk.Bench
	if position, done := b.FinishBlind(); done {
		a.repeats.Show(position)
		return
	}
	a.notices.Tell(b.Accept())
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
	case "points", "telling mark", "unsure", "copy forward", "follow", "follow all", "stick", "compare", "choose other", "next swing":
		return true
	}
	return c.Group == "Explain" || c.Group == "Key positions" && c.ID != "go to "+string(s.Position)
}
