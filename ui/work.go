package ui

import (
	"errors"
	"os"

	"turngauge/ui/fault"
	"turngauge/ui/profile"
)

// stopped puts the lesson away after the window itself has broken, and returns
// what is said on the terminal. The next start says it in the window.
func (a *App) stopped(f *fault.Error) error {
	text := "Turngauge had to close: " + f.Error() + "."
	if d := a.desk; d != nil && d.Flush() == nil {
		text += " The lesson is saved as " + d.Path + "."
	}
	_ = fault.Guard(func() error { a.closeLesson(); return nil })() // as far as it goes
	text += a.work.Report(f)
	_ = profile.WriteJSON(a.dirs.StopFile(), text) // it is told here, if not again
	return errors.New(text)
}

// tellOfStop says, once, why the program closed by itself the last time.
func (a *App) tellOfStop() {
	var text string
	if profile.ReadJSON(a.dirs.StopFile(), &text) == nil {
		a.notices.Alert("The last time, " + text)
		_ = os.Remove(a.dirs.StopFile())
	}
}
