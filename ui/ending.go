package ui

import "time"

// Once the program is told to end it has a second: what is not put away by then, because
// a file or a disk keeps it waiting, is left. The lesson goes first. Tests wait longer.
var (
	closingTime = 600 * time.Millisecond
	savingTime  = 300 * time.Millisecond
)

// endWithin ends the window, from any goroutine. Where that is not done in time the
// lesson is saved from here, and leave called.
func (a *App) endWithin(done <-chan struct{}, leave func()) {
	a.work.Post(func() { a.ending = true })
	select {
	case <-done:
		return
	case <-time.After(closingTime):
	}
	saved := make(chan struct{})
	go func() {
		defer close(saved)
		if s := a.saving.Load(); s != nil {
			_ = s.Flush() // there is nobody to be told; what fails is kept as a spare copy
		}
	}()
	select {
	case <-saved:
	case <-time.After(savingTime):
	}
	leave()
}
