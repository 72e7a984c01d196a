package annotations

import (
	"context"
	"errors"
	"slices"
	"sync"

	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/geometry/motion"
)

// Options say what an evaluation starts from, and what its numbers are held
// against. The zero value is the marks alone, judged by nothing.
type Options struct {
	// Solver starts from its last solution; nil takes a fresh one, whose numbers
	// depend on the marks alone.
	Solver *fit.Solver
	// Targets are the ranges to judge against, Rules what findings are proposed
	// by; nil does neither.
	Targets Targets
	Rules   Rules
	// Decided is the probability from which on a verdict is given; 0 takes
	// geometry.Decided.
	Decided float64
	// Imperial writes the lengths in proposed findings in inches.
	Imperial bool
	// Follow fits the motion between the key positions, once those are fitted; nil
	// takes what the lesson keeps of it. It needs the clips, which this package
	// can't read.
	Follow func(context.Context, *Result) (*motion.Curves, error)
	// MarksAlone leaves out what was followed.
	MarksAlone bool
}

// Result is everything that the marks of a swing tell: the one thing that the
// window, the sheet, what the student takes home, the library and the command
// line show numbers from. It is not changed after Evaluate, and may be shared
// between goroutines, the methods of Solution excepted: they are for this
// package alone, under mu, but for Reproject, which shares nothing.
type Result struct {
	Lesson *Lesson
	Index  int // of the swing in the lesson
	// Problem is what was solved. Its clips and positions have the indices they
	// have in the swing.
	Problem geometry.Swing
	Refs    MarkRefs
	// Solution is nil where nothing could be fitted, or not so that it is to be
	// trusted; Err then says why.
	Solution *fit.Solution
	Err      error
	Fit      *Fit // nil where nothing could be fitted
	Measures []Measured
	Missing  []geometry.Missing // why the others are not there
	// Curves is what Options.Follow returned, with its error.
	Curves    *motion.Curves
	FollowErr error
	Findings  []Proposal // what Options.Rules propose

	decided float64 // of the Options

	shares   *fit.Shares // what other swings of the visit share; nil where nothing is known
	together *Together

	mu *sync.Mutex // of Solution, shared with the result that this was made from
}

// Fit says how a fit went, also one that is not to be trusted.
type Fit struct {
	geometry.Summary
	Cameras []geometry.CameraEstimate
	// Suspects are marks that do not agree with the others, by their indices in
	// Result.Problem; Result.Refs leads to those of the swing.
	Suspects []geometry.Suspect
	Marking  geometry.Marking
	// Mistake is a mistake of the whole swing, nil for none.
	Mistake *geometry.Mistake
}

// Measured is a measure with all it was held against.
type Measured struct {
	geometry.Measure
	Basis Basis
	// One is what this swing alone tells, where the number is the mean over those of a
	// visit; else nil.
	One *geometry.Measure
	// Alone is what the marks alone tell, where the number is a followed one; else
	// nil.
	Alone              *geometry.Measure
	Cloth              *motion.Seen // what the clothes showed of a pelvis turn, nil where nobody looked
	Target             *Target      // the range it is judged against, nil for none
	geometry.Judgement              // by the target; its Verdict is "" without one
	// Before is what it was in the visit compared with, and Change what has become of
	// it since; nil where there is none.
	Before *geometry.Measure
	Change *geometry.Change
}

// Evaluate fits a swing of a lesson, given by its index, and judges what comes of
// it. This is the one way from marks to numbers. A swing that can't be fitted has
// a Result with the reasons; the only error is that of ctx. The lesson must be
// valid.
func Evaluate(ctx context.Context, l *Lesson, swing int, o Options) (*Result, error) {
	problem, refs := Problem(l, swing)
	solver := o.Solver
	if solver == nil {
		solver = fit.NewSolver()
	}
	solution, err := solver.Solve(ctx, problem)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	r := &Result{Lesson: l, Index: swing, Problem: problem, Refs: refs, Err: err, decided: o.Decided, mu: new(sync.Mutex)}
	if solution != nil {
		r.Fit = &Fit{
			Summary: solution.Summary, Cameras: solution.Cameras, Suspects: solution.Suspects,
			Marking: solution.Marking(), Mistake: solution.Mistake,
		}
	}
	var insufficient *geometry.Insufficient
	switch {
	case errors.As(err, &insufficient):
		r.Missing = insufficient.Missing
	case err == nil:
		r.Solution = solution
		var measures []geometry.Measure
		measures, r.Missing = solution.Measures()
		r.shares = solution.Shares()
		if len(measures) > 0 {
			f, err := r.follow(ctx, &o)
			if err != nil {
				return nil, err
			}
			r.Measures = one(measures, f, &r.Problem)
		}
		r.judge(&o)
	}
	r.Findings = o.Rules.Propose(r.Measures, o.Imperial)
	return r, nil
}

// follow returns what was followed: anew, as the lesson keeps it, or nothing. The only
// error is that of ctx.
func (r *Result) follow(ctx context.Context, o *Options) (*Followed, error) {
	if m := r.Mistake(); o.MarksAlone || m != nil && m.Withholds() {
		return nil, nil
	}
	if o.Follow != nil {
		r.Curves, r.FollowErr = o.Follow(ctx, r)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if r.Curves != nil {
			return NewFollowed(&r.Problem, r.Curves.Measures(), r.Curves.Seen), nil
		}
	}
	return r.Swing().Followed, nil
}

// EvaluateAll evaluates every swing of a lesson, and puts them together. The only error
// is that of ctx.
func EvaluateAll(ctx context.Context, l *Lesson, o Options) ([]*Result, error) {
	out := make([]*Result, len(l.Swings))
	for i := range l.Swings {
		r, err := Evaluate(ctx, l, i, o)
		if err != nil {
			return nil, err
		}
		out[i] = r
	}
	return PutTogether(out), nil
}

func (r *Result) judge(o *Options) {
	for i := range r.Measures {
		m := &r.Measures[i]
		if t, ok := o.Targets.Find(m.Name, m.Position, r.Swing().Club.Group(), r.Lesson.Student.Sex); ok {
			m.JudgeBy(t, o.Decided)
		}
	}
}

// JudgeBy holds a measure against a target range. decided is as in Options.
func (m *Measured) JudgeBy(t Target, decided float64) {
	m.Target = &t
	m.Judgement = geometry.Judge(m.Value, m.Sigma, t.Range, decided)
}

// Swing returns the swing that was measured.
func (r *Result) Swing() *Swing { return &r.Lesson.Swings[r.Index] }

// Mistake returns the mistake of the whole swing that the fit found, or nil. r may
// be nil.
func (r *Result) Mistake() *geometry.Mistake {
	if r == nil || r.Fit == nil {
		return nil
	}
	return r.Fit.Mistake
}

// Withheld reports whether a measure is not given because a mistake of the whole
// swing makes it wrong.
func (r *Result) Withheld(name string, position geometry.PositionName) bool {
	if r.Mistake().WithholdsAll() {
		return true
	}
	return slices.ContainsFunc(r.Missing, func(m geometry.Missing) bool {
		return m.Why == geometry.Mistaken && m.Name == name && m.Position == position
	})
}

// Find returns a measure at a position, or nil. r may be nil.
func (r *Result) Find(name string, position geometry.PositionName) *Measured {
	if r == nil {
		return nil
	}
	for i := range r.Measures {
		if m := &r.Measures[i]; m.Name == name && m.Position == position {
			return m
		}
	}
	return nil
}

// Points returns the fitted points of a position, or nil where nothing is known
// of it, as where a mistake of the whole swing puts all of them wrong. r may be nil.
func (r *Result) Points(position geometry.PositionName) *[geometry.NumPoints]geometry.PointEstimate {
	if r == nil || r.Solution == nil || r.Mistake().WithholdsAll() {
		return nil
	}
	i := r.Swing().PositionIndex(position)
	if i < 0 || i >= len(r.Solution.Points) {
		return nil
	}
	return &r.Solution.Points[i]
}

// Values returns the bare measures.
func (r *Result) Values() []geometry.Measure {
	if r == nil {
		return nil
	}
	out := make([]geometry.Measure, len(r.Measures))
	for i := range r.Measures {
		out[i] = r.Measures[i].Measure
	}
	return out
}
