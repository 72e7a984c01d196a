package session

import (
	"context"
	"sync"
	"time"

	"turngauge/annotations"
	"turngauge/geometry/fit"
	"turngauge/ui/fault"
	"turngauge/ui/sheet"
)

// fitter solves the swing in the background, always for the newest state of
// the lesson: a request that was overtaken is never started.
type fitter struct {
	box     *Mailbox
	done    func(Result)
	advised func(advised)
	faulty  func(*fault.Error) // called from the fitter's own goroutine

	mu      sync.Mutex
	next    *request
	hurry   context.CancelFunc // ends a solve that a newer request has overtaken; nil for none
	wake    chan struct{}
	cancel  context.CancelFunc
	stopped chan struct{}
}

// request asks for a swing of a lesson to be solved.
type request struct {
	Terms
	lesson   *annotations.Lesson
	swing    string
	revision uint64
	// visit are the measured swings of the lesson, earlier those compared with, if any;
	// alone says that the numbers are to be of this swing.
	visit, earlier []*annotations.Result
	alone          bool
	apart          bool // two swings of the visit are compared, each alone
}

func newFitter(box *Mailbox, done func(Result), advised func(advised), faulty func(*fault.Error)) *fitter {
	ctx, cancel := context.WithCancel(context.Background())
	f := &fitter{
		box: box, done: done, advised: advised, faulty: faulty, cancel: cancel,
		wake: make(chan struct{}, 1), stopped: make(chan struct{}),
	}
	go f.run(ctx)
	return f
}

// request asks for the swing of a lesson to be solved.
func (f *fitter) request(r request) {
	f.mu.Lock()
	f.next = &r
	if f.hurry != nil {
		f.hurry()
	}
	f.mu.Unlock()
	select {
	case f.wake <- struct{}{}:
	default:
	}
}

// close stops the work and waits for it to end.
func (f *fitter) close() {
	f.cancel()
	<-f.stopped
}

func (f *fitter) run(ctx context.Context) {
	defer close(f.stopped)
	solver := fit.NewSolver()
	for {
		select {
		case <-ctx.Done():
			return
		case <-f.wake:
		}
		f.mu.Lock()
		r := f.next
		f.next = nil
		f.mu.Unlock()
		if r == nil {
			continue
		}
		err := fault.Guard(func() error { solver = f.serve(ctx, solver, r); return nil })()
		if err != nil {
			solver = fit.NewSolver() // what the other one keeps may be half done
			f.failed(r, err.(*fault.Error))
		}
	}
}

// serve answers one request and returns the solver for the next.
func (f *fitter) serve(ctx context.Context, solver *fit.Solver, r *request) *fit.Solver {
	out, more := solve(ctx, solver, r)
	if ctx.Err() != nil {
		return solver
	}
	f.box.Post(func() { f.done(out) })
	if out.Summary.Warm {
		// Once the hand rests, the numbers are those of the marks alone: the
		// same after any undo and redo, and when the lesson is opened again.
		fresh := fit.NewSolver()
		settled, adviser := f.settle(ctx, fresh, r)
		switch {
		case adviser != nil:
			solver, more = fresh, adviser
			f.box.Post(func() { f.done(settled) })
		case f.overtaken(ctx):
			return solver
		}
	}
	// What would sharpen each number takes longer than the numbers, so it
	// follows when the hand rests.
	if adv, ok := more.advise(func() bool { return f.overtaken(ctx) }); ok {
		f.box.Post(func() { f.advised(adv) })
	}
	return solver
}

// restsAfter is how long nothing is asked for before the hand is taken to rest.
const restsAfter = 120 * time.Millisecond

// settle solves a request from nothing once the hand rests. It gives up, and
// returns no adviser, when a newer request comes first.
func (f *fitter) settle(ctx context.Context, solver *fit.Solver, r *request) (Result, *adviser) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	f.mu.Lock()
	f.hurry = cancel
	waiting := f.next != nil
	f.mu.Unlock()
	if waiting {
		return Result{}, nil
	}
	timer := time.NewTimer(restsAfter)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return Result{}, nil
	case <-timer.C:
	}
	out, more := solve(ctx, solver, r)
	if ctx.Err() != nil {
		return Result{}, nil
	}
	return out, more
}

// failed answers a request that the fit broke on: without numbers.
func (f *fitter) failed(r *request, err *fault.Error) {
	out := r.result()
	out.Problem = "These marks can't be measured: " + err.Error() + ". Undo the last change to go on."
	out.Sheet = sheet.Build(sheet.Input{Why: out.Problem})
	f.box.Post(func() { f.done(out) })
	f.faulty(err)
}

// overtaken reports whether a newer request, or the end, is waiting.
func (f *fitter) overtaken(ctx context.Context) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.next != nil || ctx.Err() != nil
}
