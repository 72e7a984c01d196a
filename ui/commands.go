package ui

import (
	"strconv"

	"gioui.org/io/key"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
)

// ownCommands are the commands that no room has, in the order of the help.
func ownCommands(a *App) []kit.Command {
	note := func(do func(b *bench.Bench) bench.Note) func() {
		return func() { a.notices.Tell(do(a.desk.Bench)) }
	}
	step := func(n int) func() {
		return func() {
			a.desk.Show().Pause()
			a.desk.Show().Step(n)
		}
	}
	// An arrow nudges the mark in hand, else it steps through the frames.
	arrow := func(dx, dy float64, frames int) func() {
		return func() {
			if _, ok := a.desk.Bench.Selected(); ok && a.desk.Comparing == nil {
				a.nudge(dx, dy)
				return
			}
			step(frames)()
		}
	}
	// What is shown can be moved while two swings are compared, too.
	shown := func(do func(s *bench.Show) bench.Note) func() {
		return func() { a.notices.Tell(do(a.desk.Show())) }
	}
	const fine = 0.1
	list := []kit.Command{
		{ID: "play", Group: "Frames", Help: "Play or stop", Keys: kit.On(key.NameSpace), Do: a.playOrStop},
		{ID: "step back", Group: "Frames", Help: "One frame back", Keys: kit.On("S"), Do: step(-1)},
		{ID: "step forward", Group: "Frames", Help: "One frame on", Keys: kit.On("D"), Do: step(1)},
		{ID: "leap back", Group: "Frames", Help: "Ten frames back", Keys: kit.WithMod(key.ModShift, "S"), Do: step(-10)},
		{ID: "leap forward", Group: "Frames", Help: "Ten frames on", Keys: kit.WithMod(key.ModShift, "D"), Do: step(10)},
		{ID: "first frame", Group: "Frames", Help: "First frame", Keys: kit.On(key.NameHome), Do: step(-1 << 30)},
		{ID: "last frame", Group: "Frames", Help: "Last frame", Keys: kit.On(key.NameEnd), Do: step(1 << 30)},
		{ID: "slower", Group: "Frames", Help: "Play slower", Keys: kit.On("Q"), Do: shown((*bench.Show).Slower)},
		{ID: "faster", Group: "Frames", Help: "Play faster", Keys: kit.On("W"), Do: shown((*bench.Show).Faster)},
		{ID: "repeat", Group: "Frames", Help: "Repeat from this frame; again: up to this frame; again: no more", Keys: kit.On("R"), Do: shown((*bench.Show).NextRepeat)},
		{ID: "lock", Group: "Frames", Help: "Lock the two clips as one swing, as two swings, or let them go", Keys: kit.On("L"), Do: shown((*bench.Show).NextLock)},
		{ID: "other stage", Group: "Frames", Help: "Work on the other view", Keys: kit.On("T"),
			Do: func() { s := a.desk.Show(); s.Activate(1 - s.Active) }},

		{ID: "left", Group: "Marks", Help: "Move the mark in hand one pixel left; without one, one frame back", Keys: kit.On(key.NameLeftArrow), Do: arrow(-1, 0, -1)},
		{ID: "right", Group: "Marks", Help: "Move the mark in hand one pixel right; without one, one frame on", Keys: kit.On(key.NameRightArrow), Do: arrow(1, 0, 1)},
		{ID: "up", Group: "Marks", Help: "Move the mark in hand one pixel up", Keys: kit.On(key.NameUpArrow), Do: arrow(0, -1, 0)},
		{ID: "down", Group: "Marks", Help: "Move the mark in hand one pixel down", Keys: kit.On(key.NameDownArrow), Do: arrow(0, 1, 0)},
		{ID: "fine left", Hidden: true, Keys: kit.WithMod(key.ModShift, key.NameLeftArrow), Do: arrow(-fine, 0, -10)},
		{ID: "fine right", Hidden: true, Keys: kit.WithMod(key.ModShift, key.NameRightArrow), Do: arrow(fine, 0, 10)},
		{ID: "fine up", Hidden: true, Keys: kit.WithMod(key.ModShift, key.NameUpArrow), Do: arrow(0, -fine, 0)},
		{ID: "fine down", Group: "Marks", Help: "With Shift, an arrow moves the mark a tenth of a pixel", Keys: kit.WithMod(key.ModShift, key.NameDownArrow), Do: arrow(0, fine, 0)},
		{ID: "next point", Group: "Marks", Help: "Ask for the next useful point; again skips it", Keys: kit.On("N"), Do: note((*bench.Bench).SkipPoint)},
		{ID: "telling mark", Group: "Marks", Help: "Go to the mark that would sharpen the numbers most", Keys: kit.WithMod(key.ModCtrl, "N"), Do: note((*bench.Bench).GoToAdvice)},
		{ID: "hide", Group: "Marks", Help: "The point can't be seen here", Keys: kit.On("H"), Do: note((*bench.Bench).Hide)},
		{ID: "unsure", Group: "Marks", Help: "Unsure of this mark, or sure again", Keys: kit.On("U"), Do: note((*bench.Bench).ToggleUnsure)},
		{ID: "delete", Group: "Marks", Help: "Take the mark away", Keys: []kit.Chord{{Key: key.NameDeleteForward}, {Key: key.NameDeleteBackward}}, Do: note((*bench.Bench).Delete)},
		{ID: "copy forward", Group: "Marks", Help: "Copy the marks of the key position before", Keys: kit.On("C"), Do: note((*bench.Bench).CopyForward)},
		{ID: "follow", Group: "Marks", Help: "Propose marks here: follow those around, look for the rest", Keys: kit.On("A"), Do: func() { a.desk.ProposeMarks() }},
		{ID: "follow all", Group: "Marks", Help: "Propose marks at every key position", Keys: kit.WithMod(key.ModCtrl, "A"), Do: func() { a.desk.ProposeAllMarks() }},
		{ID: "accept", Group: "Marks", Help: "Take what is proposed as it is", Keys: []kit.Chord{{Key: key.NameReturn}, {Key: key.NameEnter}}, Do: a.accept},
		{ID: "stick", Group: "Marks", Help: "Draw a ground stick: it tells where the camera stood", Keys: kit.On("G"), Do: note((*bench.Bench).ArmStick)},
		{ID: "let go", Group: "Marks", Help: "Let go of the mark, end the guided pass, close what is open", Keys: kit.On(key.NameEscape), Do: a.escape, Anywhere: true},

		{ID: "next position", Group: "Key positions", Help: "Next key position", Keys: kit.On(key.NamePageDown),
			Do: func() { a.desk.GoToNeighbour(1) }},
		{ID: "previous position", Group: "Key positions", Help: "Key position before", Keys: kit.On(key.NamePageUp),
			Do: func() { a.desk.GoToNeighbour(-1) }},
		{ID: "accept positions", Group: "Key positions", Help: "Take all key positions that are proposed; once they are, all marks proposed here", Keys: kit.WithMod(key.ModShift, key.NameReturn),
			Do: note((*bench.Bench).AcceptAll), Enabled: func() bool { return a.desk.Bench.Proposals() > 0 || a.desk.Bench.Waiting() > 0 }},
		{ID: "clear position", Group: "Key positions", Help: "Take this key position off, with its marks", Keys: kit.WithMod(key.ModCtrl, key.NameDeleteBackward),
			Do: note(func(b *bench.Bench) bench.Note { return b.ClearPosition(b.Position) })},

		{ID: "fit", Group: "Picture", Help: "Whole picture, or filling the stage", Keys: kit.On("F"), Do: a.fitOrFill},
		{ID: "zoom in", Group: "Picture", Help: "Nearer", Keys: kit.On("Z"), Do: func() { a.zoomActive(1.25) }},
		{ID: "zoom out", Group: "Picture", Help: "Farther", Keys: kit.WithMod(key.ModShift, "Z"), Do: func() { a.zoomActive(1 / 1.25) }},
		{ID: "one stage", Group: "Picture", Help: "One view alone, or both", Keys: kit.On("O"), Do: a.toggleAlone},
		{ID: "bones", Group: "Picture", Help: "Lines between the marks, on or off", Keys: kit.On("B"), Do: a.toggleBones},

		{ID: "undo", Group: "Lesson", Help: "Undo", Keys: kit.WithMod(key.ModCtrl, "Z"), Do: note((*bench.Bench).Undo),
			Enabled: func() bool { _, ok := a.desk.Bench.Editor().CanUndo(); return ok }},
		{ID: "redo", Group: "Lesson", Help: "Redo", Keys: []kit.Chord{{Key: "Z", Mods: key.ModCtrl | key.ModShift}, {Key: "Y", Mods: key.ModCtrl}}, Do: note((*bench.Bench).Redo),
			Enabled: func() bool { _, ok := a.desk.Bench.Editor().CanRedo(); return ok }},
		{ID: "copy sheet", Group: "Lesson", Help: "Copy the sheet as text", Keys: kit.WithMod(key.ModCtrl, "C"), Do: func() {
			if m := a.desk.Result.Sheet; m != nil {
				a.clip.copy(m.Text())
			}
		}},
		{ID: "next swing", Group: "Lesson", Help: "Next swing of the lesson", Keys: kit.WithMod(key.ModCtrl, key.NamePageDown), Do: func() { a.desk.NextSwing() },
			Enabled: func() bool { return len(a.desk.Bench.Lesson().Swings) > 1 }},
		{ID: "home", Group: "Lesson", Help: "Close the lesson; everything is saved", Keys: kit.WithMod(key.ModCtrl, "W"),
			Do: func() { a.closeLesson(); a.notices.EndPassing() }}, // it was about the lesson
	}
	for i, name := range geometry.KeyPositions {
		digit := key.Name(strconv.Itoa(i + 1))
		list = append(list,
			kit.Command{ID: "set " + string(name), Group: "Key positions", Help: "This frame is " + bench.InText(name), Keys: kit.On(digit),
				Do: note(func(b *bench.Bench) bench.Note { return b.SetPosition(name) })},
			kit.Command{ID: "go to " + string(name), Group: "Key positions", Help: "Show " + bench.InText(name), Keys: kit.WithMod(key.ModAlt, digit),
				Do: func() { a.desk.GoTo(name) }})
	}
	return list
}
