package ui

import (
	"errors"
	"fmt"
	"os"
	"time"

	"turngauge/ui/fault"
)

// work runs do on a goroutine of its own; what names it for the coach, as in
// "Drawing the picture". Should do panic, the coach is told so, a report is
// kept, and failed, which may be nil, runs on the window's goroutine to put
// back what do would have put back at its end.
func (a *App) work(what string, do, failed func()) {
	go func() {
		err := fault.Guard(func() error { do(); return nil })()
		if err != nil {
			a.faulty(what, err.(*fault.Error), failed)
		}
	}()
}

// faulty tells, from any goroutine, of a mistake in the program that cost no
// more than one piece of work.
func (a *App) faulty(what string, f *fault.Error, failed func()) {
	text := fmt.Sprintf("%s failed: %v. The lesson is safe, and you can go on.%s", what, f, a.reported(f))
	a.box.post(func() {
		if failed != nil {
			failed()
		}
		a.alert(text)
	})
}

// reported keeps a report of a fault and says where, in a sentence of its own.
func (a *App) reported(f *fault.Error) string {
	path, err := fault.Keep(a.places.faults(), a.version, time.Now(), f)
	if err != nil {
		return "" // it is told, if not kept
	}
	return fmt.Sprintf(" A report for the program's makers lies at %s.", path)
}

// stopped puts the lesson away after the window itself has broken, and returns
// what is said on the terminal. The next start says it in the window.
func (a *App) stopped(f *fault.Error) error {
	text := "Turngauge had to close: " + f.Error() + "."
	if d := a.desk; d != nil && d.saver.Flush() == nil {
		text += " The lesson is saved as " + d.path + "."
	}
	_ = fault.Guard(func() error { a.closeLesson(); return nil })() // as far as it goes
	text += a.reported(f)
	_ = writeJSON(a.places.stopFile(), text) // it is told here, if not again
	return errors.New(text)
}

// tellOfStop says, once, why the program closed by itself the last time.
func (a *App) tellOfStop() {
	var text string
	if readJSON(a.places.stopFile(), &text) == nil {
		a.alert("The last time, " + text)
		_ = os.Remove(a.places.stopFile())
	}
}
