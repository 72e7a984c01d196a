package worker

import (
	"context"
	"os"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/library"
)

// How long a lesson that is being worked on waits to be recorded, so that the
// library does not write with every mark: since its last change, and at most.
const (
	recordDelay = 3 * time.Second
	recordLimit = 20 * time.Second
)

// change is a lesson that is not recorded yet.
type change struct {
	lesson       *annotations.Lesson
	opened       bool
	first, touch time.Time // of the changes that are not recorded
	now          bool
}

func (c change) due() time.Time {
	due, limit := c.touch.Add(recordDelay), c.first.Add(recordLimit)
	if limit.Before(due) {
		return limit
	}
	return due
}

// Touch says that a lesson has changed, or was opened or closed (now).
func (w *Worker) Touch(path string, lesson *annotations.Lesson, opened, now bool) {
	w.mu.Lock()
	c, ok := w.pending[path]
	if !ok {
		c.first = time.Now()
	}
	c.lesson, c.touch = lesson, time.Now()
	c.opened, c.now = c.opened || opened, c.now || now
	w.pending[path] = c
	w.breakOff()
	w.mu.Unlock()
	w.awake()
}

func (w *Worker) record(ctx context.Context, path string, c change) {
	if w.lib == nil {
		return // it was told when the library was not opened
	}
	if _, err := os.Stat(path); err != nil {
		return // not at its place, as its saver says
	}
	if _, err := w.lib.Record(ctx, path, c.lesson, c.opened); err != nil {
		if ctx.Err() == nil {
			w.events.Trouble("The lesson is saved, but not in the library", err)
		}
		return
	}
	w.stale = true
	w.events.Changed()
}

// lookAfter does, once and beside everything else, what a library needs from
// time to time.
func (w *Worker) lookAfter(ctx context.Context, l *library.Library) {
	if l.ReadOnly() {
		return
	}
	replaced, err := l.Check(ctx)
	if replaced {
		for _, n := range l.Notices() {
			w.events.Trouble(n, nil)
		}
		w.events.Changed()
	}
	if err == nil {
		var n int
		if n, err = l.Refresh(ctx); n > 0 {
			w.Remeasure()
			w.events.Changed()
		}
	}
	if err == nil {
		err = l.Backup(ctx)
	}
	if err == nil {
		_, err = l.EmptyTrash(ctx)
	}
	if err != nil && ctx.Err() == nil {
		w.events.Trouble("The library is open, but could not be looked after", err)
	}
}
