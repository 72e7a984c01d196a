package ui

import (
	"context"
	"errors"
	"fmt"

	"turngauge/annotations/library"
	"turngauge/ui/fault"
	"turngauge/ui/shelf/worker"
)

// startLibrary opens the library in the background.
func (a *App) startLibrary() {
	a.worker = worker.Start(a.libraryFolder(), worker.Events{
		Opened: func(l *library.Library, err error) {
			var notes []string
			if l != nil {
				notes = l.Notices()
			}
			a.work.Post(func() { a.libraryOpened(err, notes) })
		},
		Trouble: func(text string, err error) {
			if err != nil {
				text += ": " + err.Error()
			}
			if f := (*fault.Error)(nil); errors.As(err, &f) {
				text += "." + a.work.Report(f)
			}
			a.work.Post(func() { a.notices.Alert(text) })
		},
		Changed: func() { a.work.Post(a.libraryChanged) },
	})
	a.worker.JudgeBy(a.baseTargets)
}

// ask runs do on the goroutine of the library's worker and then, with what it
// returned, on the window's.
func ask[T any](a *App, what string, do func(ctx context.Context, l *library.Library) (T, error), then func(T, error)) {
	if a.worker == nil {
		return
	}
	a.worker.Ask(func(ctx context.Context, l *library.Library) {
		var out T
		err := fmt.Errorf("%s: there is no library", what)
		if l != nil {
			err = fault.Guard(func() (err error) { out, err = do(ctx, l); return err })()
		}
		if ctx.Err() != nil {
			return
		}
		a.work.Post(func() { then(out, err) })
	})
}

// aside runs do, with the library opened a second time, on a goroutine of its
// own, for what would hold the worker up; then runs on the window's.
func aside[T any](a *App, what string, do func(ctx context.Context, l *library.Library) (T, error), then func(T, error)) (stop context.CancelFunc) {
	ctx, stop := context.WithCancel(context.Background())
	a.work.Go(what, func() {
		defer stop()
		var out T
		err := a.worker.Beside(ctx, func(ctx context.Context, l *library.Library) (err error) {
			out, err = do(ctx, l)
			return err
		})
		a.work.Post(func() { then(out, err) })
	}, func() {
		var out T
		then(out, context.Canceled) // the fault itself is told
	})
	return stop
}
