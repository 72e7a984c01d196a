package ui

import (
	"context"
	"fmt"
	"os"
	"sync"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/fault"
)

// How long a lesson that is being worked on waits to be recorded, so that the
// library does not write with every mark: since its last change, and at most.
const (
	recordDelay = 3 * time.Second
	recordLimit = 20 * time.Second
)

// closeWait is how long the window waits at its end for the library.
const closeWait = 5 * time.Second

// keeper does the work on the library on a goroutine of its own: what the window
// asks for first, then lessons that have changed, then measuring those whose
// measures are not known. Nothing that fails here stops a lesson.
type keeper struct {
	folder string
	wake   chan struct{}
	ended  chan struct{}
	stop   context.CancelFunc

	trouble func(text string, err error) // from the keeper's goroutine
	news    func()                       // something in the library has changed

	mu        sync.Mutex
	jobs      []keeperJob
	pending   map[string]pendingRecord // by path
	targets   annotations.Targets
	interrupt context.CancelFunc // of the measuring that is under way
	closing   bool
	busy      bool // with a job or a lesson

	stamp string           // of the library's files at the last look
	stale bool             // there may be lessons to measure
	todo  []library.Entry  // those
	tried map[string]bool  // fingerprints that could not be measured
	lib   *library.Library // the keeper's goroutine only
	aside sync.WaitGroup   // what is done beside it
}

// keeperJob is something the window asks for. l is nil where there is no
// library.
type keeperJob func(ctx context.Context, l *library.Library)

type pendingRecord struct {
	lesson       *annotations.Lesson
	opened       bool
	first, touch time.Time
	now          bool
}

// startKeeper opens the library in a folder in the background; opened is called
// from the keeper's goroutine with what came of it.
func startKeeper(folder string, opened func(l *library.Library, err error), trouble func(string, error), news func()) *keeper {
	ctx, stop := context.WithCancel(context.Background())
	k := &keeper{
		folder: folder, wake: make(chan struct{}, 1), ended: make(chan struct{}), stop: stop, trouble: trouble, news: news,
		pending: make(map[string]pendingRecord), tried: make(map[string]bool), stale: true,
	}
	go func() {
		defer close(k.ended)
		err := fault.Guard(func() error { k.run(ctx, opened); return nil })()
		if err != nil {
			k.trouble("The library stopped working", err)
		}
	}()
	return k
}

func (k *keeper) run(ctx context.Context, opened func(*library.Library, error)) {
	l, err := library.Open(ctx, k.folder)
	opened(l, err)
	if l != nil {
		k.lib = l
		defer func() { _ = k.lib.Close() }()
		defer k.aside.Wait()
		at := k.lib
		k.aside.Go(func() { k.lookAfter(ctx, at) })
	}
	for {
		switch job, path, record, wait := k.next(); {
		case job != nil:
			job(ctx, k.lib)
		case path != "":
			k.record(ctx, path, record)
		case ctx.Err() != nil:
			return
		case k.lib != nil && k.measureNext(ctx):
		default:
			select {
			case <-k.wake:
			case <-time.After(min(wait, lookEvery)):
			}
			k.noticeOthers()
		}
	}
}

// lookEvery is how often it is looked whether another window has changed the
// library.
const lookEvery = 4 * time.Second

// noticeOthers tells when the library's files have changed since the last look.
func (k *keeper) noticeOthers() {
	if k.lib == nil {
		return
	}
	now := k.lib.Stamp()
	if k.stamp != "" && now != k.stamp {
		k.stale = true
		k.news()
	}
	k.stamp = now
}

// next returns the next job, or the next lesson to be recorded, or how long
// there is none.
func (k *keeper) next() (job keeperJob, path string, record pendingRecord, wait time.Duration) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.busy = false
	if len(k.jobs) > 0 {
		job = k.jobs[0]
		k.jobs, k.busy = k.jobs[1:], true
		return job, "", record, 0
	}
	wait = time.Hour
	for p, r := range k.pending {
		due := r.touch.Add(recordDelay)
		if limit := r.first.Add(recordLimit); limit.Before(due) {
			due = limit
		}
		left := time.Until(due)
		if r.now || k.closing || left <= 0 {
			delete(k.pending, p)
			k.busy = true
			return nil, p, r, 0
		}
		wait = min(wait, left)
	}
	return nil, "", record, wait
}

// ask puts a job before everything that is not a job.
func (k *keeper) ask(job keeperJob) {
	k.mu.Lock()
	k.jobs = append(k.jobs, job)
	if k.interrupt != nil {
		k.interrupt()
	}
	k.mu.Unlock()
	k.awake()
}

// touch says that a lesson has changed, or was opened or closed (now).
func (k *keeper) touch(path string, lesson *annotations.Lesson, opened, now bool) {
	k.mu.Lock()
	r, ok := k.pending[path]
	if !ok {
		r.first = time.Now()
	}
	r.lesson, r.touch = lesson, time.Now()
	r.opened, r.now = r.opened || opened, r.now || now
	k.pending[path] = r
	if k.interrupt != nil {
		k.interrupt()
	}
	k.mu.Unlock()
	k.awake()
}

// judgeBy says which ranges measures are judged against from now on.
func (k *keeper) judgeBy(t annotations.Targets) {
	k.mu.Lock()
	k.targets = t
	k.mu.Unlock()
}

func (k *keeper) awake() {
	select {
	case k.wake <- struct{}{}:
	default:
	}
}

// close records what waits and closes the library, within closeWait.
func (k *keeper) close() {
	k.mu.Lock()
	k.closing = true
	if k.interrupt != nil {
		k.interrupt()
	}
	idle := !k.busy && len(k.pending)+len(k.jobs) == 0
	k.mu.Unlock()
	if idle {
		k.stop()
	} else {
		go func() {
			for k.waiting() {
				time.Sleep(5 * time.Millisecond)
			}
			k.stop()
			k.awake()
		}()
	}
	k.awake()
	select {
	case <-k.ended:
	case <-time.After(closeWait):
		k.stop()
	}
}

func (k *keeper) waiting() bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.busy || len(k.pending)+len(k.jobs) > 0
}

func (k *keeper) record(ctx context.Context, path string, r pendingRecord) {
	if k.lib == nil {
		return // it was told when the library was not opened
	}
	if _, err := os.Stat(path); err != nil {
		return // not at its place, as its saver says
	}
	if _, err := k.lib.Record(ctx, path, r.lesson, r.opened); err != nil {
		if ctx.Err() == nil {
			k.trouble("The lesson is saved, but not in the library", err)
		}
		return
	}
	k.stale = true
	k.news()
}

// lookAfter does, once and beside everything else, what a library needs from
// time to time.
func (k *keeper) lookAfter(ctx context.Context, l *library.Library) {
	if l.ReadOnly() {
		return
	}
	replaced, err := l.Check(ctx)
	if replaced {
		for _, n := range l.Notices() {
			k.trouble(n, nil)
		}
		k.news()
	}
	if err == nil {
		var n int
		if n, err = l.Refresh(ctx); n > 0 {
			k.remeasure()
			k.news()
		}
	}
	if err == nil {
		err = l.Backup(ctx)
	}
	if err == nil {
		_, err = l.EmptyTrash(ctx)
	}
	if err != nil && ctx.Err() == nil {
		k.trouble("The library is open, but could not be looked after", err)
	}
}

// measureNext measures one lesson whose measures are not known, and reports
// whether there was one.
func (k *keeper) measureNext(ctx context.Context) bool {
	if k.stale && len(k.todo) == 0 {
		k.stale = false
		list, err := k.lib.Unmeasured(ctx)
		if err != nil {
			return false
		}
		k.todo = list
	}
	if len(k.todo) == 0 || k.lib.ReadOnly() {
		return false
	}
	e := k.todo[0]
	k.todo = k.todo[1:]
	if k.tried[once(e)] {
		return true
	}
	work, done := context.WithCancel(ctx)
	defer done()
	k.mu.Lock()
	k.interrupt = done
	base, closing := k.targets, k.closing
	k.mu.Unlock()
	defer func() {
		k.mu.Lock()
		k.interrupt = nil
		k.mu.Unlock()
	}()
	if closing {
		return false
	}
	var report *annotations.Report
	lesson, sha, err := k.lib.Document(work, e.Key)
	if err == nil {
		base, err = k.lib.Targets(work, base, e.StudentKey)
	}
	if err == nil {
		report, err = annotations.Measure(work, lesson, nil, base)
	}
	if work.Err() != nil { // interrupted: its turn comes again
		k.stale = true
		return true
	}
	k.tried[once(e)] = true
	if err != nil {
		return true
	}
	if err := k.lib.RecordMeasures(ctx, e.Key, sha, report); err != nil {
		return true
	}
	k.news()
	return true
}

// ask runs do on the keeper's goroutine and then, with what it returned, on the
// window's.
func ask[T any](a *App, what string, do func(ctx context.Context, l *library.Library) (T, error), then func(T, error)) {
	if a.keeper == nil {
		return
	}
	a.keeper.ask(func(ctx context.Context, l *library.Library) {
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

// once names a state of a lesson: it is measured once, whatever comes of it.
func once(e library.Entry) string { return fmt.Sprint(e.Key, " ", e.SHA256) }

// aside runs do, with the library opened a second time, on a goroutine of its
// own, for what would hold the keeper up; then runs on the window's.
func aside[T any](a *App, what string, do func(ctx context.Context, l *library.Library) (T, error), then func(T, error)) (stop context.CancelFunc) {
	ctx, stop := context.WithCancel(context.Background())
	folder := a.libraryFolder()
	a.work.Go(what, func() {
		defer stop()
		var out T
		l, err := library.Open(ctx, folder)
		if err == nil {
			out, err = do(ctx, l)
			_ = l.Close()
		}
		a.work.Post(func() { then(out, err) })
	}, func() {
		var out T
		then(out, context.Canceled) // the fault itself is told
	})
	return stop
}
