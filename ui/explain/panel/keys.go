package panel

import (
	"strconv"

	"gioui.org/io/key"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
)

// Commands are those of explaining.
func (x *Room) Commands() []kit.Command {
	list := []kit.Command{
		{ID: "explain", Group: "Explain", Help: "Explain: lines, angles and notes on the pictures; again: back to the marks", Keys: kit.On("E"), Do: x.toggle},
	}
	for l := range explain.Line(explain.NumLines) {
		list = append(list, kit.Command{
			ID: l.String(), Group: "Explain", Help: bench.Title(l.String()) + ", on or off",
			Keys: kit.WithMod(key.ModCtrl, key.Name(strconv.Itoa(int(l)+1))), Do: func() { x.toggleLine(l) },
		})
	}
	tool := func(id, help string, letter key.Name, k annotations.DrawingKind) kit.Command {
		return kit.Command{ID: id, Group: "Explain", Help: help, Keys: kit.WithMod(key.ModShift, letter),
			Do: func() { x.takeTool(k) }}
	}
	drawn := func(id, help string, keys []kit.Chord, step int) kit.Command {
		return kit.Command{ID: id, Group: "Explain", Help: help, Keys: keys, Do: func() { x.goToDrawn(step) }, Enabled: x.On}
	}
	return append(list,
		tool("draw line", "Draw a line of your own", "L", annotations.DrawnLine),
		tool("draw angle", "Draw an angle: end, corner, other end", "A", annotations.DrawnAngle),
		tool("write note", "Write a note on the picture", "N", annotations.DrawnNote),
		tool("draw arrow", "Draw an arrow", "R", annotations.DrawnArrow),
		tool("draw circle", "Draw a circle", "C", annotations.DrawnCircle),
		tool("draw box", "Draw a box", "B", annotations.DrawnBox),
		tool("draw freehand", "Draw freehand", "F", annotations.DrawnFreehand),
		kit.Command{ID: "next stroke", Group: "Explain", Help: "What you draw solid, dashed or dotted", Keys: kit.WithMod(key.ModShift, "X"),
			Do: func() { x.host.Tell(x.drawings().NextStroke()) }, Enabled: x.On},
		kit.Command{ID: "stay", Group: "Explain", Help: "The drawing stays on its frame, to the next key position, over the whole clip", Keys: kit.WithMod(key.ModShift, "Y"),
			Do: func() { x.host.Tell(x.drawings().NextStay()) }, Enabled: x.On},
		kit.Command{ID: "stay to here", Group: "Explain", Help: "The drawing in hand last stays to the frame shown", Keys: kit.WithMod(key.ModShift, "U"),
			Do: func() { x.host.Tell(x.drawings().StayToHere()) }, Enabled: x.On},
		drawn("next drawn", "Next frame you have drawn on", kit.On("J"), 1),
		drawn("previous drawn", "Frame before that you have drawn on", kit.WithMod(key.ModShift, "J"), -1),
		kit.Command{ID: "copy still", Group: "Explain", Help: "Copy the pictures shown, with their lines", Keys: kit.WithMod(key.ModCtrl|key.ModShift, "C"), Do: x.copyStill, Enabled: x.On},
		kit.Command{ID: "save still", Group: "Explain", Help: "Save the pictures shown, with their lines, as a PNG file", Keys: kit.WithMod(key.ModCtrl, "S"), Do: x.askStill, Enabled: x.On},
	)
}

// Take does what a key means while explaining, where that differs, and
// reports whether it did. Marks are not touched.
func (x *Room) Take(c *kit.Command) bool {
	if !x.On() {
		return false
	}
	if n, ok := nudges[c.ID]; ok {
		x.nudgeDrawing(n)
		return true
	}
	switch c.ID {
	case "delete":
		x.host.Tell(x.drawings().Delete())
		return true
	case "accept":
		_, _, x.wantsText = x.drawings().Held()
		return true
	}
	if c.Changes() {
		x.host.Tell("Marks are safe while you explain: E or Esc goes back to them.")
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

func (x *Room) nudgeDrawing(n nudge) {
	b := x.host.Session().Show()
	d, _, ok := x.drawings().Held()
	if !ok {
		b.Pause()
		b.Step(n.frames)
		return
	}
	// A whole pixel is one of the picture where that can be seen, else one of
	// the window.
	step := 1.0
	for i := range b.Stages {
		if b.Stages[i].Clip == d.Frame.Clip && max(n.dx, -n.dx, n.dy, -n.dy) == 1 {
			step = max(1/b.Stages[i].Port.Scale, 1)
			break
		}
	}
	x.host.Tell(x.drawings().Nudge(n.dx*step, n.dy*step))
}
