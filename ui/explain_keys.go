package ui

import (
	"strconv"

	"gioui.org/io/key"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
)

// explainCommands are the commands of explaining.
func explainCommands() []command {
	list := []command{
		{id: "explain", group: "Explain", help: "Explain: lines, angles and notes on the pictures; again: back to the marks", keys: on("E"), do: (*App).toggleExplain,
			enabled: func(a *App) bool { return a.desk.comparing == nil }},
	}
	for l := range explain.Line(explain.NumLines) {
		list = append(list, command{
			id: l.String(), group: "Explain", help: bench.Title(l.String()) + ", on or off",
			keys: withMod(key.ModCtrl, key.Name(strconv.Itoa(int(l)+1))), do: func(a *App) { a.toggleLine(l) },
			enabled: func(a *App) bool { return a.desk.comparing == nil },
		})
	}
	tool := func(id, help string, letter key.Name, k annotations.DrawingKind) command {
		return command{id: id, group: "Explain", help: help, keys: withMod(key.ModShift, letter),
			do:      func(a *App) { a.takeTool(k) },
			enabled: func(a *App) bool { return a.desk.comparing == nil }}
	}
	drawn := func(id, help string, keys []chord, step int) command {
		return command{id: id, group: "Explain", help: help, keys: keys, do: func(a *App) { a.goToDrawn(step) }, enabled: (*App).explains}
	}
	return append(list,
		tool("draw line", "Draw a line of your own", "L", annotations.DrawnLine),
		tool("draw angle", "Draw an angle: end, corner, other end", "A", annotations.DrawnAngle),
		tool("write note", "Write a note on the picture", "N", annotations.DrawnNote),
		drawn("next drawn", "Next frame you have drawn on", on("J"), 1),
		drawn("previous drawn", "Frame before that you have drawn on", withMod(key.ModShift, "J"), -1),
		command{id: "copy still", group: "Explain", help: "Copy the pictures shown, with their lines", keys: withMod(key.ModCtrl|key.ModShift, "C"), do: (*App).copyStill, enabled: (*App).explains},
		command{id: "save still", group: "Explain", help: "Save the pictures shown, with their lines, as a PNG file", keys: withMod(key.ModCtrl, "S"), do: (*App).askStill, enabled: (*App).explains},
	)
}

// explainKey does what a key means while explaining, where that differs, and
// reports whether it did. Marks are not touched.
func (a *App) explainKey(c *command) bool {
	if !a.explains() {
		return false
	}
	if n, ok := nudges[c.id]; ok {
		a.nudgeDrawing(n)
		return true
	}
	switch c.id {
	case "delete":
		a.tell(a.board().Delete())
		return true
	case "accept":
		_, _, a.explain.wantsText = a.board().Held()
		return true
	}
	if c.changes() {
		a.tell("Marks are safe while you explain: E or Esc goes back to them.")
		return true
	}
	return false
}

// nudge is what an arrow does: it moves what is in hand by pixels, one or a tenth,
// and without anything in hand it steps.
type nudge struct {
	dx, dy float64
	frames int
}

var nudges = map[string]nudge{
	"left": {-1, 0, -1}, "right": {1, 0, 1}, "up": {0, -1, 0}, "down": {0, 1, 0},
	"fine left": {-0.1, 0, -10}, "fine right": {0.1, 0, 10}, "fine up": {0, -0.1, 0}, "fine down": {0, 0.1, 0},
}

func (a *App) nudgeDrawing(n nudge) {
	b := a.desk.bench
	d, _, ok := a.board().Held()
	if !ok {
		b.Pause()
		b.Step(n.frames)
		return
	}
	// A whole pixel is one of the picture where that can be seen, else one of
	// the window.
	step := 1.0
	if st, ok := b.StageOf(d.Frame.Clip); ok && max(n.dx, -n.dx, n.dy, -n.dy) == 1 {
		step = max(1/b.Stages[st].Port.Scale, 1)
	}
	a.tell(a.board().Nudge(n.dx*step, n.dy*step))
}
