package ui

import (
	"strconv"

	"gioui.org/io/key"

	"turngauge/geometry"
	"turngauge/ui/bench"
)

// commandTable lists everything the coach can do, in the order of the help.
func commandTable() []command {
	note := func(do func(b *bench.Bench) bench.Note) func(*App) {
		return func(a *App) { a.tell(do(a.desk.bench)) }
	}
	step := func(n int) func(*App) {
		return func(a *App) {
			a.desk.show().Pause()
			a.desk.show().Step(n)
		}
	}
	// An arrow nudges the mark in hand, else it steps through the frames.
	arrow := func(dx, dy float64, frames int) func(*App) {
		return func(a *App) {
			if _, ok := a.desk.bench.Selected(); ok && a.desk.comparing == nil {
				a.nudge(dx, dy)
				return
			}
			step(frames)(a)
		}
	}
	// What is shown can be moved while two swings are compared, too.
	shown := func(do func(s *bench.Show) bench.Note) func(*App) {
		return func(a *App) { a.tell(do(a.desk.show())) }
	}
	const fine = 0.1
	list := []command{
		{id: "play", group: "Frames", help: "Play or stop", keys: on(key.NameSpace), do: (*App).playOrStop},
		{id: "step back", group: "Frames", help: "One frame back", keys: on("S"), do: step(-1)},
		{id: "step forward", group: "Frames", help: "One frame on", keys: on("D"), do: step(1)},
		{id: "leap back", group: "Frames", help: "Ten frames back", keys: withMod(key.ModShift, "S"), do: step(-10)},
		{id: "leap forward", group: "Frames", help: "Ten frames on", keys: withMod(key.ModShift, "D"), do: step(10)},
		{id: "first frame", group: "Frames", help: "First frame", keys: on(key.NameHome), do: step(-1 << 30)},
		{id: "last frame", group: "Frames", help: "Last frame", keys: on(key.NameEnd), do: step(1 << 30)},
		{id: "slower", group: "Frames", help: "Play slower", keys: on("Q"), do: shown((*bench.Show).Slower)},
		{id: "faster", group: "Frames", help: "Play faster", keys: on("W"), do: shown((*bench.Show).Faster)},
		{id: "repeat", group: "Frames", help: "Repeat from this frame; again: up to this frame; again: no more", keys: on("R"), do: shown((*bench.Show).NextRepeat)},
		{id: "lock", group: "Frames", help: "Lock the two clips as one swing, as two swings, or let them go", keys: on("L"), do: shown((*bench.Show).NextLock)},
		{id: "other stage", group: "Frames", help: "Work on the other view", keys: on("T"),
			do: func(a *App) { s := a.desk.show(); s.Activate(1 - s.Active) }},

		{id: "left", group: "Marks", help: "Move the mark in hand one pixel left; without one, one frame back", keys: on(key.NameLeftArrow), do: arrow(-1, 0, -1)},
		{id: "right", group: "Marks", help: "Move the mark in hand one pixel right; without one, one frame on", keys: on(key.NameRightArrow), do: arrow(1, 0, 1)},
		{id: "up", group: "Marks", help: "Move the mark in hand one pixel up", keys: on(key.NameUpArrow), do: arrow(0, -1, 0)},
		{id: "down", group: "Marks", help: "Move the mark in hand one pixel down", keys: on(key.NameDownArrow), do: arrow(0, 1, 0)},
		{id: "fine left", hidden: true, keys: withMod(key.ModShift, key.NameLeftArrow), do: arrow(-fine, 0, -10)},
		{id: "fine right", hidden: true, keys: withMod(key.ModShift, key.NameRightArrow), do: arrow(fine, 0, 10)},
		{id: "fine up", hidden: true, keys: withMod(key.ModShift, key.NameUpArrow), do: arrow(0, -fine, 0)},
		{id: "fine down", group: "Marks", help: "With Shift, an arrow moves the mark a tenth of a pixel", keys: withMod(key.ModShift, key.NameDownArrow), do: arrow(0, fine, 0)},
		{id: "next point", group: "Marks", help: "Ask for the next useful point; again skips it", keys: on("N"), do: note((*bench.Bench).SkipPoint)},
		{id: "telling mark", group: "Marks", help: "Go to the mark that would sharpen the numbers most", keys: withMod(key.ModCtrl, "N"), do: note((*bench.Bench).GoToAdvice)},
		{id: "points", group: "Marks", help: "Choose a point from the list", keys: on("P"), do: (*App).togglePoints},
		{id: "hide", group: "Marks", help: "The point can't be seen here", keys: on("H"), do: note((*bench.Bench).Hide)},
		{id: "unsure", group: "Marks", help: "Unsure of this mark, or sure again", keys: on("U"), do: note((*bench.Bench).ToggleUnsure)},
		{id: "delete", group: "Marks", help: "Take the mark away", keys: []chord{{key: key.NameDeleteForward}, {key: key.NameDeleteBackward}}, do: note((*bench.Bench).Delete)},
		{id: "copy forward", group: "Marks", help: "Copy the marks of the key position before", keys: on("C"), do: note((*bench.Bench).CopyForward)},
		{id: "follow", group: "Marks", help: "Propose marks here: follow those around, look for the rest", keys: on("A"), do: (*App).proposeMarks},
		{id: "follow all", group: "Marks", help: "Propose marks at every key position", keys: withMod(key.ModCtrl, "A"), do: (*App).proposeAllMarks},
		{id: "accept", group: "Marks", help: "Take what is proposed as it is", keys: []chord{{key: key.NameReturn}, {key: key.NameEnter}}, do: (*App).accept},
		{id: "stick", group: "Marks", help: "Draw a ground stick: it tells where the camera stood", keys: on("G"), do: note((*bench.Bench).ArmStick)},
		{id: "mark again", group: "Marks", help: "Mark this key position again, blind: shows how well your marks repeat", keys: on("M"), do: (*App).markAgain},
		{id: "repeatability", group: "Marks", help: "How well your marks repeat", keys: withMod(key.ModShift, "M"), do: (*App).showRepeatability},
		{id: "let go", group: "Marks", help: "Let go of the mark, end the guided pass, close what is open", keys: on(key.NameEscape), do: (*App).escape, anywhere: true},

		{id: "next position", group: "Key positions", help: "Next key position", keys: on(key.NamePageDown),
			do: func(a *App) { a.goToNeighbour(1) }},
		{id: "previous position", group: "Key positions", help: "Key position before", keys: on(key.NamePageUp),
			do: func(a *App) { a.goToNeighbour(-1) }},
		{id: "accept positions", group: "Key positions", help: "Take all key positions that are proposed; once they are, all marks proposed here", keys: withMod(key.ModShift, key.NameReturn),
			do: note((*bench.Bench).AcceptAll), enabled: func(a *App) bool { return a.desk.bench.Proposals() > 0 || a.desk.bench.Waiting() > 0 }},
		{id: "clear position", group: "Key positions", help: "Take this key position off, with its marks", keys: withMod(key.ModCtrl, key.NameDeleteBackward),
			do: note(func(b *bench.Bench) bench.Note { return b.ClearPosition(b.Position) })},

		{id: "fit", group: "Picture", help: "Whole picture, or filling the stage", keys: on("F"), do: (*App).fitOrFill},
		{id: "zoom in", group: "Picture", help: "Nearer", keys: on("Z"), do: func(a *App) { a.zoomActive(1.25) }},
		{id: "zoom out", group: "Picture", help: "Farther", keys: withMod(key.ModShift, "Z"), do: func(a *App) { a.zoomActive(1 / 1.25) }},
		{id: "one stage", group: "Picture", help: "One view alone, or both", keys: on("O"), do: (*App).toggleAlone},
		{id: "bones", group: "Picture", help: "Lines between the marks, on or off", keys: on("B"), do: (*App).toggleBones},
		{id: "dark", group: "Picture", help: "Dark or light window", keys: withMod(key.ModCtrl, "D"), do: (*App).toggleDark, anywhere: true},
		{id: "larger text", group: "Picture", help: "Larger text", keys: []chord{{"=", key.ModCtrl}, {"+", key.ModCtrl | key.ModShift}, {"+", key.ModCtrl}}, do: func(a *App) { a.scaleText(1.1) }, anywhere: true},
		{id: "smaller text", group: "Picture", help: "Smaller text", keys: withMod(key.ModCtrl, "-"), do: func(a *App) { a.scaleText(1 / 1.1) }, anywhere: true},

		{id: "open", group: "Lesson", help: "Open a lesson, or clips for this one", keys: withMod(key.ModCtrl, "O"), do: (*App).openDialog, anywhere: true},
		{id: "library", group: "Lesson", help: "The library: students and their lessons, search", keys: withMod(key.ModCtrl, "L"), do: (*App).toggleLibrary, anywhere: true},
		{id: "progress", group: "Lesson", help: "Progress of this student over all lessons", keys: withMod(key.ModCtrl, "P"), do: (*App).showProgress},
		{id: "ranges", group: "Lesson", help: "Target ranges: your own, and for this student", keys: withMod(key.ModCtrl, "T"), do: (*App).openRanges, anywhere: true},
		{id: "undo", group: "Lesson", help: "Undo", keys: withMod(key.ModCtrl, "Z"), do: note((*bench.Bench).Undo),
			enabled: func(a *App) bool { _, ok := a.desk.bench.Editor().CanUndo(); return ok }},
		{id: "redo", group: "Lesson", help: "Redo", keys: []chord{{"Z", key.ModCtrl | key.ModShift}, {"Y", key.ModCtrl}}, do: note((*bench.Bench).Redo),
			enabled: func(a *App) bool { _, ok := a.desk.bench.Editor().CanRedo(); return ok }},
		{id: "findings", group: "Lesson", help: "Findings and prescription, or the sheet", keys: on("K"), do: (*App).toggleFindings},
		{id: "shots", group: "Lesson", help: "Shots: log them, and hold two blocks against each other", keys: on("Y"), do: (*App).openShots},
		{id: "compare", group: "Lesson", help: "Compare with another swing; again: back to the bench", keys: on("V"), do: (*App).toggleCompare},
		{id: "compared view", group: "Lesson", help: "While comparing: both swings from the other view", keys: withMod(key.ModShift, "T"), do: (*App).compareOtherView,
			enabled: func(a *App) bool { return a.desk.comparing != nil }},
		{id: "choose other", group: "Lesson", help: "Choose the swing to compare with", keys: withMod(key.ModShift, "V"), do: (*App).chooseOther},
		{id: "copy sheet", group: "Lesson", help: "Copy the sheet as text", keys: withMod(key.ModCtrl, "C"), do: (*App).copySheet},
		{id: "next swing", group: "Lesson", help: "Next swing of the lesson", keys: withMod(key.ModCtrl, key.NamePageDown), do: (*App).nextSwing,
			enabled: func(a *App) bool { return len(a.desk.bench.Lesson().Swings) > 1 }},
		{id: "home", group: "Lesson", help: "Close the lesson; everything is saved", keys: withMod(key.ModCtrl, "W"),
			do: func(a *App) { a.closeLesson(); a.notices.passing = "" }}, // it was about the lesson
		{id: "preferences", group: "Lesson", help: "How you like it: units, text, light or dark, memory", keys: withMod(key.ModCtrl, ","), do: (*App).openPreferences, anywhere: true},
		{id: "tour", group: "Lesson", help: "A tour of the window in five steps", keys: withMod(key.ModShift, key.NameF1), do: (*App).startTour, anywhere: true},
		{id: "help", group: "Lesson", help: "This list of keys", keys: on(key.NameF1), do: (*App).toggleHelp, anywhere: true},
	}
	list = append(list, explainCommands()...)
	list = append(list, curvesCommands()...)
	for i, name := range geometry.KeyPositions {
		digit := key.Name(strconv.Itoa(i + 1))
		list = append(list,
			command{id: "set " + string(name), group: "Key positions", help: "This frame is " + bench.InText(name), keys: on(digit),
				do: note(func(b *bench.Bench) bench.Note { return b.SetPosition(name) })},
			command{id: "go to " + string(name), group: "Key positions", help: "Show " + bench.InText(name), keys: withMod(key.ModAlt, digit),
				do: func(a *App) { a.goTo(name) }})
	}
	return list
}
