// Package worker does the work on the coach's library in the background, for a
// window but without one: what the window asks for first, then lessons that have
// changed, then measuring those whose measures are not known. Nothing that fails
// here stops a lesson.
//
// One goroutine owns the library. What takes long, such as an import, runs beside
// it with the library opened a second time ([Worker.Beside]).
package worker

import (
	"context"
	"sync"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/fault"
)

// closeWait is how long the window waits at its end for the library.
const closeWait = 5 * time.Second

// lookEvery is how often it is looked whether another window has changed the
// library.
const lookEvery = 4 * time.Second

// Events are what a worker tells, from goroutines of its own.
type Events struct {
	// Opened is called once, with the library or with why there is none.
	Opened func(l *library.Library, err error)
	// Trouble is called with a sentence without its stop for the coach and, where
	// there is one, the cause; a *fault.Error is a mistake in the program.
	Trouble func(text string, err error)
	// Changed is called when something in the library has changed.
	Changed func()
}

// Job is something the window asks for. l is nil where there is no library.
type Job func(ctx context.Context, l *library.Library)

// Worker works on one library. Its methods are safe for concurrent use.
type Worker struct {
	events  Events
	measure func(context.Context, *annotations.Lesson, annotations.Options) ([]*annotations.Result, error)
	wake    chan struct{}
	ended   chan struct{}
	stop    context.CancelFunc

	mu        sync.Mutex // guards the next eight
	folder    string
	jobs      []Job
	pending   map[string]change // by path
	targets   annotations.Targets
	decided   float64            // as in annotations.Options
	interrupt context.CancelFunc // of the measuring that is under way
	closing   bool
	busy      bool // with a job or a lesson

	still sync.RWMutex   // held for writing while the library moves, for reading by all that is done beside
	after sync.WaitGroup // looking after the library, which uses lib

	// Of the worker's own goroutine only.
	lib   *library.Library
	stamp string          // of the library's files at the last look
	stale bool            // there may be lessons to measure
	todo  []library.Entry // those
	tried map[string]bool // states of lessons that were measured, or could not be
}

// Start opens the library in a folder in the background.
func Start(folder string, e Events) *Worker {
	ctx, stop := context.WithCancel(context.Background())
	w := newWorker(folder, e, stop)
	go w.run(ctx)
	return w
}

func newWorker(folder string, e Events, stop context.CancelFunc) *Worker {
	return &Worker{
		events: e, measure: annotations.EvaluateAll, folder: folder, stop: stop,
		wake: make(chan struct{}, 1), ended: make(chan struct{}),
		pending: make(map[string]change), tried: make(map[string]bool), stale: true,
	}
}

func (w *Worker) run(ctx context.Context) {
	defer close(w.ended)
	w.guard("The library could not be opened", func() {
		l, err := library.Open(ctx, w.folder)
		w.lib = l
		w.events.Opened(l, err)
	})
	if w.lib != nil {
		defer func() { _ = w.lib.Close() }() // not the one of now: it may move
		defer w.after.Wait()
		l := w.lib
		w.after.Go(func() {
			w.still.RLock()
			defer w.still.RUnlock()
			w.guard("The library is open, but could not be looked after", func() { w.lookAfter(ctx, l) })
		})
	}
	for w.step(ctx) {
	}
}

// step does the next thing there is to do, or waits for one, and reports whether
// the worker goes on.
func (w *Worker) step(ctx context.Context) bool {
	job, path, lesson, wait := w.next()
	switch {
	case job != nil:
		w.guard("Something the library was asked for failed", func() { job(ctx, w.lib) })
	case path != "":
		w.guard("The lesson is saved, but not in the library", func() { w.record(ctx, path, lesson) })
	case ctx.Err() != nil:
		return false
	case w.lib != nil && w.measureNext(ctx):
	default:
		select {
		case <-w.wake:
		case <-time.After(min(wait, lookEvery)):
		}
		w.noticeOthers()
	}
	return true
}

// guard does something; a panic, which is a mistake in the program, is told as a
// sentence with its cause and ends no more than that.
func (w *Worker) guard(sentence string, do func()) {
	if err := fault.Guard(func() error { do(); return nil })(); err != nil {
		w.events.Trouble(sentence, err)
	}
}

// noticeOthers tells when the library's files have changed since the last look.
func (w *Worker) noticeOthers() {
	if w.lib == nil {
		return
	}
	now := w.lib.Stamp()
	if w.stamp != "" && now != w.stamp {
		w.stale = true
		w.events.Changed()
	}
	w.stamp = now
}

// next returns the next job, or the next lesson to be recorded, or how long
// there is none.
func (w *Worker) next() (job Job, path string, lesson change, wait time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.busy = false
	if len(w.jobs) > 0 {
		job = w.jobs[0]
		w.jobs, w.busy = w.jobs[1:], true
		return job, "", lesson, 0
	}
	wait = time.Hour
	for p, c := range w.pending {
		left := time.Until(c.due())
		if c.now || w.closing || left <= 0 {
			delete(w.pending, p)
			w.busy = true
			return nil, p, c, 0
		}
		wait = min(wait, left)
	}
	return nil, "", lesson, wait
}

// Ask puts a job before everything that is not a job. Jobs are done in the order
// in which they were asked for.
func (w *Worker) Ask(job Job) {
	w.mu.Lock()
	w.jobs = append(w.jobs, job)
	w.breakOff()
	w.mu.Unlock()
	w.awake()
}

// breakOff ends the measuring that is under way; mu is held.
func (w *Worker) breakOff() {
	if w.interrupt != nil {
		w.interrupt()
	}
}

func (w *Worker) awake() {
	select {
	case w.wake <- struct{}{}:
	default:
	}
}

// Close records what waits and closes the library, within closeWait.
func (w *Worker) Close() {
	w.mu.Lock()
	w.closing = true
	w.breakOff()
	w.mu.Unlock()
	go func() {
		for w.waiting() {
			time.Sleep(5 * time.Millisecond)
		}
		w.stop()
		w.awake()
	}()
	w.awake()
	select {
	case <-w.ended:
	case <-time.After(closeWait):
		w.stop()
	}
}

func (w *Worker) waiting() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.busy || len(w.pending)+len(w.jobs) > 0
}
