package session

import (
	"fmt"
	"time"

	"turngauge/ui/fault"
)

// Work does things on goroutines of their own and brings what came of them back
// to the one that owns the window. A mistake in one of them costs no more than
// that piece of work.
type Work struct {
	Mailbox
	// Alert tells the coach of something that went wrong; it is called on the
	// owner's goroutine.
	Alert func(text string)
	// Faults is the folder for reports of faults, and Version is named in them.
	Faults, Version string
}

// Go runs do on a goroutine of its own; what names it for the coach, as in
// "Drawing the picture". Should do panic, the coach is told so, a report is
// kept, and failed, which may be nil, runs on the owner's goroutine to put
// back what do would have put back at its end.
func (w *Work) Go(what string, do, failed func()) {
	go func() {
		err := fault.Guard(func() error { do(); return nil })()
		if err != nil {
			w.Faulty(what, err.(*fault.Error), failed)
		}
	}()
}

// Faulty tells, from any goroutine, of a mistake in the program that cost no
// more than one piece of work.
func (w *Work) Faulty(what string, f *fault.Error, failed func()) {
	text := fmt.Sprintf("%s failed: %v. The lesson is safe, and you can go on.%s", what, f, w.Report(f))
	w.Post(func() {
		if failed != nil {
			failed()
		}
		w.Alert(text)
	})
}

// Report keeps a report of a fault and says where, in a sentence of its own that
// begins with a space.
func (w *Work) Report(f *fault.Error) string {
	path, err := fault.Keep(w.Faults, w.Version, time.Now(), f)
	if err != nil {
		return "" // it is told, if not kept
	}
	return fmt.Sprintf(" A report for the program's makers lies at %s.", path)
}
