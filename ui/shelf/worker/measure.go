package worker

import (
	"context"
	"fmt"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/fault"
)

// JudgeBy says which ranges measures are judged against from now on, where the library
// has none of its own.
func (w *Worker) JudgeBy(t annotations.Targets) {
	w.mu.Lock()
	w.targets = t
	w.mu.Unlock()
}

// DecideFrom says from which probability on a verdict counts from now on, as in
// annotations.Options. What is measured already keeps the verdicts that it was given, as
// it keeps the ranges.
func (w *Worker) DecideFrom(probability float64) {
	w.mu.Lock()
	w.decided = probability
	w.mu.Unlock()
}

// Remeasure looks for lessons whose measures are not known.
func (w *Worker) Remeasure() {
	w.Ask(func(context.Context, *library.Library) { w.stale = true })
}

// measureNext measures one lesson whose measures are not known, and reports
// whether there is more to be done at once. A lesson on which measuring fails is
// tried again when it has changed, and at the next start.
func (w *Worker) measureNext(ctx context.Context) bool {
	if w.stale && len(w.todo) == 0 {
		w.stale = false
		list, err := w.lib.Unmeasured(ctx)
		if err != nil {
			return false
		}
		w.todo = list
	}
	if len(w.todo) == 0 || w.lib.ReadOnly() {
		return false
	}
	e := w.todo[0]
	if w.tried[state(e)] {
		w.todo = w.todo[1:]
		return true
	}
	work, done := context.WithCancel(ctx)
	defer done()
	if !w.interruptible(done) {
		return w.waiting()
	}
	defer w.interruptible(nil)
	w.todo = w.todo[1:]
	err := fault.Guard(func() error { return w.measureOne(work, e) })()
	if work.Err() != nil { // interrupted: its turn comes again
		w.stale = true
		return true
	}
	w.tried[state(e)] = true
	if f, ok := err.(*fault.Error); ok {
		w.events.Trouble(fmt.Sprintf("The library could not measure the lesson %s, and goes on without", named(e)), f)
	}
	if err == nil {
		w.events.Changed()
	}
	return true
}

// interruptible says what breaks off the measuring that is about to begin; nil is
// for its end. It is false, and nothing is to begin, where something else came
// meanwhile that goes before it.
func (w *Worker) interruptible(done context.CancelFunc) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.interrupt = nil
	if w.closing || len(w.jobs) > 0 {
		return false
	}
	for _, c := range w.pending {
		if c.now {
			return false
		}
	}
	w.interrupt = done
	return true
}

func (w *Worker) measureOne(ctx context.Context, e library.Entry) error {
	w.mu.Lock()
	o := annotations.Options{Targets: w.targets, Decided: w.decided}
	w.mu.Unlock()
	lesson, sha, err := w.lib.Document(ctx, e.Key)
	if err != nil {
		return err
	}
	if o.Targets, err = w.lib.Targets(ctx, o.Targets, e.StudentKey); err != nil {
		return err
	}
	results, err := w.measure(ctx, lesson, o)
	if err != nil {
		return err
	}
	return w.lib.RecordMeasures(ctx, e.Key, sha, results)
}

// state names a state of a lesson: it is measured once, whatever comes of it.
func state(e library.Entry) string { return fmt.Sprint(e.Key, " ", e.SHA256) }

// named says which lesson an entry is.
func named(e library.Entry) string {
	var parts []string
	for _, p := range []string{e.Student, e.Date, e.Title} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	if len(parts) == 0 {
		return e.Path
	}
	return strings.Join(parts, ", ")
}
