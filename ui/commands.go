package ui

import (
	"gioui.org/io/key"

	"turngauge/ui/bench"
	"turngauge/ui/kit"
)

// ownCommands are the commands that no room has.
func ownCommands(a *App) []kit.Command {
	note := func(do func(b *bench.Bench) bench.Note) func() {
		return func() { a.notices.Tell(do(a.desk.Bench)) }
	}
	return []kit.Command{
		{ID: "let go", Group: "Marks", After: "repeatability", Help: "Let go of the mark, end the guided pass, close what is open", Keys: kit.On(key.NameEscape), Do: a.escape, Anywhere: true},
		{ID: "mend", Group: "Marks", After: "let go", Help: "Mend the mistake that the sheet tells of: swapped views, the other hand, a mirrored clip", Keys: kit.WithMod(key.ModCtrl, key.NameReturn),
			Do: func() { a.desk.Mend() }, Enabled: func() bool { return a.desk.CanMend() }},
		{ID: "undo", Group: "Lesson", After: "ranges", Help: "Undo", Keys: kit.WithMod(key.ModCtrl, "Z"), Do: note((*bench.Bench).Undo),
			Enabled: func() bool { _, ok := a.desk.Bench.Editor().CanUndo(); return ok }},
		{ID: "redo", Group: "Lesson", After: "undo", Help: "Redo", Keys: []kit.Chord{{Key: "Z", Mods: key.ModCtrl | key.ModShift}, {Key: "Y", Mods: key.ModCtrl}}, Do: note((*bench.Bench).Redo),
			Enabled: func() bool { _, ok := a.desk.Bench.Editor().CanRedo(); return ok }},
		{ID: "copy sheet", Group: "Lesson", After: "choose other", Help: "Copy the sheet as text", Keys: kit.WithMod(key.ModCtrl, "C"), Do: func() {
			if m := a.desk.Result.Sheet; m != nil {
				a.clip.copy(m.Text())
			}
		}},
		{ID: "paste", Group: "Lesson", After: "open", Help: "Open the file whose path was copied", Keys: kit.WithMod(key.ModCtrl, "V"), Do: func() { a.clip.wanted = true }, Anywhere: true},
		{ID: "next swing", Group: "Lesson", After: "copy sheet", Help: "Next swing of the lesson", Keys: kit.WithMod(key.ModCtrl, key.NamePageDown), Do: func() { a.desk.NextSwing() },
			Enabled: func() bool { return len(a.desk.Bench.Lesson().Swings) > 1 }},
		a.planCommand(),
		{ID: "home", Group: "Lesson", After: "next swing", Help: "Close the lesson; everything is saved", Keys: kit.WithMod(key.ModCtrl, "W"),
			Do: func() { a.closeLesson(); a.notices.EndPassing() }}, // it was about the lesson
	}
}
