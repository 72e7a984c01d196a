package fit

import (
	"context"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// Solver fits swings. It keeps its last solution, so that a solve after a
// small change starts from there. A Solver must not be used by two goroutines
// at once.
//
// What is remembered decides nothing but where the iteration starts, and which searches that
// found nothing lately are not made again. The storage of the normal matrix, some megabytes, is
// used again by every solve of the same shape.
type Solver struct {
	last   *Solution
	engine *bundle.Minimiser
}

// NewSolver returns a Solver with no memory.
func NewSolver() *Solver { return &Solver{} }

// Solution is the result of a fit: the most probable cameras and points given
// all marks, and what is needed to ask for measures, their uncertainty, and
// the marks that would sharpen them. It does not change after Solve returns,
// but its methods share work space: it must not be used by two goroutines at
// once.
type Solution struct {
	Summary geometry.Summary
	Cameras []geometry.CameraEstimate
	// Points holds, for each position of the swing, every point. The ball's
	// place is the same at all positions up to impact.
	Points   [][geometry.NumPoints]geometry.PointEstimate
	Suspects []geometry.Suspect
	// Mistake is a mistake of the whole swing, nil for none. With one, measures
	// are missing.
	Mistake *geometry.Mistake

	sw         geometry.Swing // as fitted: mirrored for a left-hander
	p          *bundle.Problem
	st         *bundle.State
	post       *bundle.Posterior
	influences []influence           // see findInfluences
	hanging    map[measureAt]hanging // see Shares
	gives      []give                // see findGives
	noise      *varianceEstimate
	usualCost  float64 // of its beginning
	// residuals are those of the marks, by their
	// index in the swing; see residual.
	residuals []markResidual
	cands     []candidate // see candidates
	modes     []mode

	reflections []reflection
	unswapped   map[pair]int // see isUnswapped
}

// Solve fits one swing: the most probable cameras, segment lengths and points
// given the marks, the ground and what is known of golfers beforehand.
//
// It returns *Insufficient when nothing can be fitted or the input is out of
// range, ctx.Err() when ctx ends first, and ErrNotConverged together with a
// Solution that is not to be trusted; where a mistake of the whole swing is why,
// Solution.Mistake says so and there is no error. The same input gives the same output,
// bit for bit, from the same history of the Solver; a new Solver has none.
//
// The order of things: the marks are checked; a left-hander is mirrored; if the Solver has
// solved nearly the same swing it goes on from there (warm); else from nothing, in three
// steps, the usual spread (Minimiser.Begin), the spread learned (settle), the mirror images
// (joint). Then the covariance, suspects, and what may be wrong with the swing as a whole. A
// camera far off its line is the one mistake that is not only named: the fit is made again with
// it where it stood.
func (s *Solver) Solve(ctx context.Context, sw geometry.Swing) (*Solution, error) {
	if bad := sw.Check(); bad != nil {
		return nil, bad
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	given := sw
	offLine := s.last != nil && s.last.Mistake != nil && s.last.Mistake.What == geometry.CameraOffLine && s.last.Mistake.Clip < len(sw.Clips)
	if offLine {
		sw, _ = s.last.Mistake.Mend(sw) // found where it stood, until the fit starts anew
	}
	sw = sw.Mirrored()
	p := bundle.NewProblem(&sw)
	if last := s.last; last != nil && last.sw.SameButMarks(&sw) && bundle.HasSharedBias(&last.sw) == bundle.HasSharedBias(&sw) {
		sol, err := s.warm(ctx, sw, p)
		if err != nil || sol != nil {
			if sol != nil { // looked for again when the hand rests
				sol.Mistake = last.Mistake
			}
			return s.keep(ctx, sol, err)
		}
	}
	if offLine {
		sw = given.Mirrored()
		p = bundle.NewProblem(&sw)
	}
	sol, err := s.cold(ctx, sw, p)
	sol, err = s.keep(ctx, sol, err)
	if sol == nil {
		return nil, err
	}
	var stop error
	if sol.Mistake, stop = s.findMistake(ctx, given, sol); stop != nil {
		return nil, stop
	}
	if m := sol.Mistake; m != nil && m.What == geometry.CameraOffLine {
		found, stop := s.offLine(ctx, given, m)
		if stop != nil {
			return nil, stop
		}
		if found != nil {
			return found, nil
		}
		sol.Mistake = nil
	}
	if sol.Mistake != nil && sol.spoilt() {
		err = nil // why it did not settle, if it did not
	}
	return sol, err
}

// A fit that did not settle is not started from again: the next one begins from nothing.
func (s *Solver) keep(ctx context.Context, sol *Solution, err error) (*Solution, error) {
	if err != nil {
		return nil, err
	}
	sol.finish()
	var before *Solution
	if sol.Summary.Warm {
		before = s.last
	}
	if err := sol.findSuspects(ctx, s.engine, before); err != nil {
		return nil, err
	}
	if sol.Summary.Status != geometry.Converged {
		s.last = nil
		return sol, geometry.ErrNotConverged
	}
	s.last = sol
	return sol, nil
}

// cold solves from nothing: the address and the cameras first, then each other
// position by itself, then everything together.
func (s *Solver) cold(ctx context.Context, sw geometry.Swing, p *bundle.Problem) (*Solution, error) {
	b, err := s.placed(ctx, sw, p)
	if err != nil {
		return nil, err
	}
	return s.goOn(ctx, b)
}

// beginning is a cold solve at the usual spread of the marks.
type beginning struct {
	sw         geometry.Swing // as fitted
	st         *bundle.State
	cost       float64 // and the marks' variances; see placed
	iterations int
}

// goOn is the rest of a cold solve: it learns the spread of the marks.
//
// The cost at the usual spread is kept beside (usualCost): it is what other readings of the same
// marks are first compared by, before the spread is learned anew for each (tryReadings).
func (s *Solver) goOn(ctx context.Context, b *beginning) (*Solution, error) {
	e := s.engine
	// Pixels per metre, by which a misplacement on the body becomes one in the
	// picture, were those of the first guess of the cameras.
	e.Problem.SetSigmas(&b.sw, b.st) // the scales are right only now
	settled, err := settle(ctx, e, b.sw, b.st)
	if err != nil {
		return nil, err
	}
	sol, err := s.joint(ctx, b.sw, e, b.st, nil)
	if err != nil {
		return nil, err
	}
	sol.usualCost = b.cost
	sol.Summary.Iterations += b.iterations + settled
	return sol, nil
}

// maxChanges is how many times a solve may go over to a mirror image that
// turned out better.
const maxChanges = 4

// joint solves for everything together from st, going over to a mirror image of
// a position where that proves better.
//
// maxChanges bounds a walk among minima: each change must lower the cost by modeBetter, so that
// it can't go round, but a swing whose marks are nonsense may have many.
func (s *Solver) joint(ctx context.Context, sw geometry.Swing, e *bundle.Minimiser, st *bundle.State, last *Solution) (*Solution, error) {
	iterations := 0
	for change := 0; ; change++ {
		sol, err := s.jointFrom(ctx, sw, e, st, last)
		if err != nil {
			return nil, err
		}
		sol.Summary.Iterations += iterations
		l := sol.betterMode()
		if sol.Summary.Status != geometry.Converged || l == nil || change == maxChanges {
			return sol, nil
		}
		st, iterations, last = l.st, sol.Summary.Iterations, nil
		// Which marks fit decides what their scatter is: in the other mirror image
		// the components are others.
		if !e.Warm {
			n, err := settle(ctx, e, sw, st)
			if err != nil {
				return nil, err
			}
			iterations += n
		}
	}
}

// jointFrom solves for everything together from st alone. last is the solution
// that st comes from, or nil.
func (s *Solver) jointFrom(ctx context.Context, sw geometry.Swing, e *bundle.Minimiser, st *bundle.State, last *Solution) (*Solution, error) {
	p := e.Problem
	r, err := e.MinimiseAll(ctx, st)
	if err != nil {
		return nil, err
	}
	sol := &Solution{sw: sw, p: p, st: st}
	sol.Summary = geometry.Summary{Status: geometry.NotConverged, Iterations: r.Iterations, Cost: r.Cost, Unknowns: p.Unknowns()}
	if r.Converged {
		sol.Summary.Status = geometry.Converged
	}
	sol.post = e.Posterior(st)
	return sol, sol.findModes(ctx, e, last)
}

// finish fills the parts of a solution that are read directly.
//
// Rank counts what is known against what there is: the unknowns less the directions of points
// that marks say next to nothing of (bundle.Undetermined). Observations are the scalars that
// were seen, two a mark and four a stick; priors are not among them.
func (s *Solution) finish() {
	p := s.p
	for c := range p.Clips {
		s.Cameras = append(s.Cameras, geometry.CameraEstimate{Clip: c, Camera: s.st.Cameras[c]})
	}
	s.Points = make([][geometry.NumPoints]geometry.PointEstimate, len(p.Names))
	unknown := 0
	s.post.Covariances()
	if s.post.Determined() {
		s.noise = s.estimateComponents()
		s.findInfluences()
		s.findGives()
	}
	for i := range p.Names {
		if !s.post.Determined() {
			break // numerically singular: nothing is known
		}
		for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
			cov := s.post.PointCovariance(i, pt)
			n := bundle.Undetermined(cov, pt)
			unknown += n
			s.Points[i][pt] = geometry.PointEstimate{At: s.st.At(i, pt), Covariance: cov, Known: n == 0 && bundle.Spread(cov) < knownSigmaM}
		}
		if p.Names[i] != geometry.Finish {
			cov := s.post.BallCovariance()
			s.Points[i][geometry.Ball] = geometry.PointEstimate{
				Known:      len(p.BallMarks) > 0 && bundle.Spread(cov) < knownSigmaM,
				At:         p.Ball(s.st),
				Covariance: cov,
			}
		}
	}
	s.Summary.Rank = s.Summary.Unknowns - unknown
	s.Summary.Observations = 2 * len(p.BallMarks)
	for i := range p.Marks {
		s.Summary.Observations += 2 * len(p.Marks[i])
	}
	for c := range p.Clips {
		s.Summary.Observations += 4 * len(p.Clips[c].GroundLines)
	}
}

// knownSigmaM is the largest standard deviation, along any axis, at which a
// point's place is said to be known.
const knownSigmaM = 0.15

// sq is the square of a number.
func sq(x float64) float64 { return x * x }
