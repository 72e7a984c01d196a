package worker

import (
	"context"
	"errors"

	"turngauge/annotations/library"
	"turngauge/ui/fault"
)

// Folder returns where the library is.
func (w *Worker) Folder() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.folder
}

// Beside does, on the caller's goroutine, what would hold the worker up, with the
// library opened a second time. While the library moves it waits; and a move waits
// until do has returned, so that nothing is written to a place that is given up.
func (w *Worker) Beside(ctx context.Context, do func(ctx context.Context, l *library.Library) error) error {
	w.still.RLock()
	defer w.still.RUnlock()
	l, err := library.Open(ctx, w.Folder())
	if err != nil {
		return err
	}
	defer func() { _ = l.Close() }()
	return do(ctx, l)
}

// Move moves the library, once nothing is done beside any more, and goes on with
// it at its new place. Until then questions are answered. done is called with
// what came of it, from a goroutine of the worker.
func (w *Worker) Move(to string, done func(error)) {
	go func() {
		w.still.Lock()
		defer w.still.Unlock()
		err := errors.New("the window was closed before the library could be moved")
		moved := make(chan struct{})
		w.Ask(func(ctx context.Context, l *library.Library) {
			defer close(moved)
			err = fault.Guard(func() error { return w.move(ctx, l, to) })()
		})
		select {
		case <-moved:
		case <-w.ended:
		}
		done(err)
	}()
}

func (w *Worker) move(ctx context.Context, l *library.Library, to string) error {
	if l == nil {
		return errors.New("there is no library to move")
	}
	moved, err := l.Move(ctx, to)
	if err != nil {
		return err
	}
	w.lib = moved
	w.mu.Lock()
	w.folder = moved.Folder()
	w.mu.Unlock()
	return nil
}
