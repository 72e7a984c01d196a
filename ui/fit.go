package ui

import (
	"context"
	"errors"
	"sync"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/fault"
	"turngauge/ui/session"
	"turngauge/ui/sheet"
)

// fitter solves the swing in the background, always for the newest state of
// the lesson: a request that was overtaken is never started.
type fitter struct {
	box     *session.Mailbox
	done    func(fitted)
	advised func(advised)
	faulty  func(*fault.Error) // called from the fitter's own goroutine

	mu      sync.Mutex
	next    *fitRequest
	hurry   context.CancelFunc // ends a solve that a newer request has overtaken; nil for none
	wake    chan struct{}
	cancel  context.CancelFunc
	stopped chan struct{}
}

type fitRequest struct {
	lesson   *annotations.Lesson
	swing    string
	revision uint64
	imperial bool
	// previous are the measures of the swing compared with, if any.
	previous *annotations.Result
	targets  annotations.Targets
	rules    annotations.Rules
}

// fitted is what came of a request.
type fitted struct {
	revision uint64
	lesson   *annotations.Lesson
	result   *annotations.Result // nil where the fit broke
	// measures and missing are the numbers and the reasons for their absence.
	measures []geometry.Measure
	missing  []geometry.Missing
	sheet    *sheet.Model
	points   [][geometry.NumPoints]geometry.PointEstimate // per position of the swing
	suspects []suspect
	advice   []bench.Advice
	gains    map[annotations.MarkKey]annotations.Gain // what each mark not made yet would sharpen; nil until known
	summary  geometry.Summary
	findings []annotations.Proposal // what the rules suggest, for the coach to take or leave
	seen     [][]explain.Seen       // what the fit expects to see, per clip and position
	problem  string                 // why the fit is not to be trusted, or ""
}

// suspect is a mark that does not agree with the others.
type suspect struct {
	clip     string
	position geometry.PositionName
	point    geometry.Point
	reason   string
}

func newFitter(box *session.Mailbox, done func(fitted), advised func(advised), faulty func(*fault.Error)) *fitter {
	ctx, cancel := context.WithCancel(context.Background())
	f := &fitter{
		box: box, done: done, advised: advised, faulty: faulty, cancel: cancel,
		wake: make(chan struct{}, 1), stopped: make(chan struct{}),
	}
	go f.run(ctx)
	return f
}

// request asks for the swing of a lesson to be solved.
func (f *fitter) request(r fitRequest) {
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
func (f *fitter) serve(ctx context.Context, solver *fit.Solver, r *fitRequest) *fit.Solver {
	out, more := solve(ctx, solver, *r)
	if ctx.Err() != nil {
		return solver
	}
	f.box.Post(func() { f.done(out) })
	if out.summary.Warm {
		// Once the hand rests, the numbers are those of the marks alone: the
		// same after any undo and redo, and when the lesson is opened again.
		fresh := fit.NewSolver()
		settled, adviser := f.settle(ctx, fresh, r)
		switch {
		case adviser != nil:
			solver, more = fresh, adviser
			f.box.Post(func() { f.done(settled) })
		case f.overtaken() || ctx.Err() != nil:
			return solver
		}
	}
	// What would sharpen each number takes longer than the numbers, so it
	// follows when the hand rests.
	if adv, ok := more.advise(f.overtaken); ok {
		f.box.Post(func() { f.advised(adv) })
	}
	return solver
}

// restsAfter is how long nothing is asked for before the hand is taken to rest.
const restsAfter = 120 * time.Millisecond

// settle solves a request from nothing once the hand rests. It gives up, and
// returns no adviser, when a newer request comes first.
func (f *fitter) settle(ctx context.Context, solver *fit.Solver, r *fitRequest) (fitted, *adviser) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	f.mu.Lock()
	f.hurry = cancel
	waiting := f.next != nil
	f.mu.Unlock()
	if waiting {
		return fitted{}, nil
	}
	timer := time.NewTimer(restsAfter)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return fitted{}, nil
	case <-timer.C:
	}
	out, more := solve(ctx, solver, *r)
	if ctx.Err() != nil {
		return fitted{}, nil
	}
	return out, more
}

// failed answers a request that the fit broke on: without numbers.
func (f *fitter) failed(r *fitRequest, err *fault.Error) {
	out := fitted{revision: r.revision, lesson: r.lesson}
	out.problem = "These marks can't be measured: " + err.Error() + ". Undo the last change to go on."
	out.sheet = sheet.Build(sheet.Input{Why: out.problem})
	f.box.Post(func() { f.done(out) })
	f.faulty(err)
}

// overtaken reports whether a newer request, or the end, is waiting.
func (f *fitter) overtaken() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.next != nil
}

// mostAdvice is how many marks are advised, for a coach who can't place the first.
const mostAdvice = 24

// telling says which mark would sharpen the numbers most, and which of them how far.
func telling(s *geometry.Suggestion, imperial bool) string {
	return words.Ask(s) + ": " + words.Gain(s, imperial)
}

// solve evaluates a swing and makes everything the window shows of the result,
// and what it needs to advise on it.
func solve(ctx context.Context, solver *fit.Solver, r fitRequest) (fitted, *adviser) {
	out := fitted{revision: r.revision, lesson: r.lesson}
	result, err := annotations.Evaluate(ctx, r.lesson, r.lesson.SwingIndex(r.swing), annotations.Options{
		Solver: solver, Targets: r.targets, Rules: r.rules, Imperial: r.imperial, Previous: r.previous,
	})
	if err != nil {
		return out, nil // overtaken
	}
	out.result, out.findings = result, result.Findings
	var insufficient *geometry.Insufficient
	switch {
	case result.Solution != nil:
		sw := result.Swing()
		out.measures, out.points, out.summary = result.Values(), result.Solution.Points, result.Fit.Summary
		out.seen = explain.See(result.Solution, &result.Problem)
		for _, s := range result.Fit.Suspects {
			reason := words.Suspect(&result.Problem, &s)
			ring := func(mark int) {
				m := &sw.Marks[result.Refs[mark]]
				out.suspects = append(out.suspects, suspect{m.Clip, m.Position, m.Point, reason})
			}
			ring(s.Mark)
			if s.Swapped {
				ring(s.Other)
			}
		}
		for _, s := range result.NextMarks(mostAdvice) {
			k := result.Key(&s)
			out.advice = append(out.advice, bench.Advice{Clip: k.Clip, Position: k.Position, Point: k.Point, Text: telling(&s, r.imperial), OK: true})
		}
	case !errors.As(result.Err, &insufficient):
		out.problem = words.Trouble(result.Err)
	}
	for _, m := range result.Missing {
		if m.Name == "" {
			out.problem = words.Missing(&m, r.imperial)
			continue
		}
		out.missing = append(out.missing, m)
	}
	in := sheet.Input{
		Measures: result.Measures, Missing: out.missing, Imperial: r.imperial,
		Why: out.problem, Proposed: proposedMarks(&result.Problem),
	}
	out.sheet = sheet.Build(in)
	if len(out.measures) == 0 {
		return out, nil
	}
	return out, &adviser{result: result, input: in, base: out.sheet}
}

// proposedMarks counts the marks that the coach has not taken yet.
func proposedMarks(sw *geometry.Swing) int {
	n := 0
	for i := range sw.Marks {
		if s := sw.Marks[i].State; s == geometry.Proposed || s == geometry.Tracked {
			n++
		}
	}
	return n
}

// targetOf is the range that a measure should lie in at a key position; ok is
// false where there is none.
func (a *App) targetOf(name string, at geometry.PositionName) (r geometry.Range, ok bool) {
	l := a.desk.Bench.Lesson()
	t, ok := a.targets.Find(name, at, a.desk.Bench.Swing().Club.Group(), l.Student.Sex)
	return t.Range, ok
}

// measured is a measure at a key position from the marks alone.
func (d *desk) measured(name string, at geometry.PositionName) (m geometry.Measure, ok bool) {
	for i := range d.result.measures {
		if m := &d.result.measures[i]; m.Name == name && m.Position == at {
			return *m, true
		}
	}
	return m, false
}
