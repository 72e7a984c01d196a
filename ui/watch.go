package ui

import (
	"time"

	"turngauge/ui/bench"
)

// watchEvery is how often an open clip's file is looked at.
const watchEvery = 2 * time.Second

// watch tells, once each, when a clip's file has gone or is another one now,
// and when parts of it can't be decoded, until the film is closed. Only then is
// the window woken.
func (a *App) watch(f *film) {
	ticker := time.NewTicker(watchEvery)
	defer ticker.Stop()
	gone, trouble := "", ""
	for {
		select {
		case <-f.closed:
			return
		case <-ticker.C:
		}
		now := ""
		if err := f.source.Check(); err != nil {
			now = err.Error()
		}
		if now != "" && now != gone {
			a.work.Post(func() { a.notices.Alert(now) })
		}
		gone = now
		if t := f.reader.Stats().Trouble(); t != "" && trouble == "" {
			trouble = t
			a.work.Post(func() { a.notices.Tell(bench.Note(t)) })
		}
	}
}
