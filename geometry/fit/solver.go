package fit

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// Iteration limits of the stages of a solve.
const (
	maxFirstIterations = 40
	maxBlockIterations = 25
	maxJointIterations = 100
)

// Solver fits swings. It keeps its last solution, so that a solve after a
// small change starts from there. A Solver must not be used by two goroutines
// at once.
type Solver struct {
	last   *Solution
	engine *engine
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
	p          *problem
	st         *state
	post       *posterior
	influences []influence // see findInfluences
	gives      []give      // see findGives
	noise      *varianceEstimate
	usualCost  float64 // of its beginning
	// residuals are those of the marks, by their
	// index in the swing; see residual.
	residuals []markResidual
	cands     []candidate // see candidates
	modes     []mode
	skew      [geometry.NumChains][][]float64 // see meanShift

	reflections []reflection
}

// Solve fits one swing: the most probable cameras, segment lengths and points
// given the marks, the ground and what is known of golfers beforehand.
//
// It returns *Insufficient when nothing can be fitted or the input is out of
// range, ctx.Err() when ctx ends first, and ErrNotConverged together with a
// Solution that is not to be trusted; where a mistake of the whole swing is why,
// Solution.Mistake says so and there is no error. The same input gives the same output,
// bit for bit, from the same history of the Solver; a new Solver has none.
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
	p := newProblem(&sw)
	if last := s.last; last != nil && last.sw.SameButMarks(&sw) && hasSharedBias(&last.sw) == hasSharedBias(&sw) {
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
		p = newProblem(&sw)
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

func (s *Solver) keep(ctx context.Context, sol *Solution, err error) (*Solution, error) {
	if err != nil {
		return nil, err
	}
	sol.finish()
	if err := sol.findSuspects(ctx, s.engine); err != nil {
		return nil, err
	}
	if sol.Summary.Status != geometry.Converged {
		s.last = nil
		return sol, geometry.ErrNotConverged
	}
	s.last = sol
	return sol, nil
}

func (s *Solver) engineFor(p *problem, st *state) *engine {
	e := s.engine
	if e == nil || e.p.nG != p.nG || len(e.p.names) != len(p.names) {
		e = newEngine(p, st)
		s.engine = e
	}
	e.p = p
	return e
}

// cold solves from nothing: the address and the cameras first, then each other
// position by itself, then everything together.
func (s *Solver) cold(ctx context.Context, sw geometry.Swing, p *problem) (*Solution, error) {
	b, err := s.placed(ctx, sw, p)
	if err != nil {
		return nil, err
	}
	return s.goOn(ctx, b)
}

// beginning is a cold solve at the usual spread of the marks.
type beginning struct {
	sw         geometry.Swing // as fitted
	st         *state
	cost       float64 // and the marks' variances; see placed
	iterations int
}

// goOn is the rest of a cold solve: it learns the spread of the marks.
func (s *Solver) goOn(ctx context.Context, b *beginning) (*Solution, error) {
	e := s.engine
	// Pixels per metre, by which a misplacement on the body becomes one in the
	// picture, were those of the first guess of the cameras.
	e.p.setSigmas(&b.sw, b.st) // the scales are right only now
	settled, err := e.settle(ctx, b.sw, b.st)
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

// begin is the way of a cold solve to where everything is fitted together for the first
// time, with each camera started that far round the golfer from its line, radians. It
// returns the cost and the iterations it took.
func (s *Solver) begin(ctx context.Context, sw geometry.Swing, p *problem, turns []float64) (st *state, cost float64, iterations int, err error) {
	st = p.firstState(turns)
	p.setSigmas(&sw, st)
	e := s.engineFor(p, st)
	e.warm = false
	active := make([]bool, len(p.names))
	first := p.firstPosition()
	active[first] = true
	f := geometry.StanceFor(p.names[first]).Figure(p.statureM, p.clubM)
	p.seed(st, first, &f)
	if p.anyOffLine() {
		// The marks of one position do not tell from where a camera looks that may stand
		// anywhere; those of all do.
		for i := range p.names {
			f := geometry.StanceFor(p.names[i]).Figure(p.statureM, p.clubM)
			p.seed(st, i, &f)
		}
		active = everyPosition(len(p.names))
		e.loose = true
	}
	alone, err := e.minimise(ctx, st, active, false, maxFirstIterations)
	if err != nil {
		return nil, 0, 0, err
	}
	e.loose = false
	p.setSigmas(&sw, st)
	for i := range p.names {
		if i != first {
			if _, err := e.startPosition(ctx, st, i); err != nil {
				return nil, 0, 0, err
			}
		}
	}
	e.loose = true
	together, err := e.minimise(ctx, st, everyPosition(len(p.names)), false, maxJointIterations)
	e.loose = false
	return st, together.Cost, alone.Iterations + together.Iterations, err
}

// startPosition fits one position with everything shared held fixed, from each
// of its start figures, and leaves the best in st.
func (e *engine) startPosition(ctx context.Context, st *state, pos int) (float64, error) {
	active := make([]bool, len(e.p.names))
	active[pos] = true
	best := math.Inf(1)
	var keep []float64
	for _, f := range e.p.figures(st, pos) {
		e.p.seed(st, pos, &f)
		r, err := e.minimise(ctx, st, active, true, maxBlockIterations)
		if err != nil {
			return 0, err
		}
		if r.Cost < best {
			best = r.Cost
			keep = append(keep[:0], st.p[pos]...)
		}
	}
	if keep != nil {
		copy(st.p[pos], keep)
	}
	return best, nil
}

// maxChanges is how many times a solve may go over to a mirror image that
// turned out better.
const maxChanges = 4

// joint solves for everything together from st, going over to a mirror image of
// a position where that proves better.
func (s *Solver) joint(ctx context.Context, sw geometry.Swing, e *engine, st *state, last *Solution) (*Solution, error) {
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
		if !e.warm {
			n, err := e.settle(ctx, sw, st)
			if err != nil {
				return nil, err
			}
			iterations += n
		}
	}
}

// jointFrom solves for everything together from st alone. last is the solution
// that st comes from, or nil.
func (s *Solver) jointFrom(ctx context.Context, sw geometry.Swing, e *engine, st *state, last *Solution) (*Solution, error) {
	p := e.p
	r, err := e.minimise(ctx, st, everyPosition(len(p.names)), false, maxJointIterations)
	if err != nil {
		return nil, err
	}
	sol := &Solution{sw: sw, p: p, st: st}
	sol.Summary = geometry.Summary{Status: geometry.NotConverged, Iterations: r.Iterations, Cost: r.Cost, Unknowns: p.nG + blockSize*len(p.names)}
	if r.Converged {
		sol.Summary.Status = geometry.Converged
	}
	sol.post = newPosterior(e, st)
	return sol, sol.findModes(ctx, e, last)
}

// finish fills the parts of a solution that are read directly.
func (s *Solution) finish() {
	p := s.p
	for c := range p.clips {
		s.Cameras = append(s.Cameras, geometry.CameraEstimate{Clip: c, Camera: s.st.cams[c]})
	}
	s.Points = make([][geometry.NumPoints]geometry.PointEstimate, len(p.names))
	unknown := 0
	s.post.covariances()
	if s.post.m != nil {
		s.noise = s.estimateComponents()
		s.findInfluences()
		s.findGives()
	}
	for i := range p.names {
		if s.post.m == nil {
			break // numerically singular: nothing is known
		}
		cov := &s.post.block[i].point
		for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
			s.Points[i][pt] = geometry.PointEstimate{At: s.st.at(i, pt), Covariance: cov[pt]}
			w := sq(wideSigma(pt))
			n := undetermined(cov[pt], w)
			unknown += n
			s.Points[i][pt].Known = n == 0 && spread(cov[pt]) < knownSigmaM
		}
		if p.names[i] != geometry.Finish {
			o := p.oBall
			s.Points[i][geometry.Ball] = geometry.PointEstimate{
				Known:      len(p.ballMarks) > 0 && spread(s.post.globalCovariance(o)) < knownSigmaM,
				At:         r3.Vec{X: s.st.g[o], Y: s.st.g[o+1], Z: s.st.g[o+2]},
				Covariance: s.post.globalCovariance(o),
			}
		}
	}
	s.Summary.Rank = s.Summary.Unknowns - unknown
	s.Summary.Observations = 2 * len(p.ballMarks)
	for i := range p.marks {
		s.Summary.Observations += 2 * len(p.marks[i])
	}
	for c := range p.clips {
		s.Summary.Observations += 4 * len(p.clips[c].GroundLines)
	}
}

// knownSigmaM is the largest standard deviation, along any axis, at which a
// point's place is said to be known.
const knownSigmaM = 0.15

// spread is the largest standard deviation along an axis.
func spread(c [3][3]float64) float64 {
	return math.Sqrt(math.Max(c[0][0], math.Max(c[1][1], c[2][2])))
}
