package bundle

import (
	"context"

	"turngauge/geometry/levmar"
)

// Levenberg-Marquardt settings.
const (
	lmFirstLambda = 1e-4
	// lmTolerance ends the iteration when the step is expected to lower the
	// cost by less: costs are in units of half a squared standard deviation,
	// so the step is then no longer than √(2·2e-6) = 0.002 of a standard
	// deviation in any direction.
	lmTolerance = 2e-6
	// lmSlowSteps steps in a row that each lower the cost by less than this
	// also end it: what is left lies along a direction that the marks hardly
	// fix. A warm solve, which a moving hand waits for, gives up earlier.
	lmSlowCold  = 1e-5
	lmSlowWarm  = 2e-4
	lmSlowSteps = 8
	// lmLoose ends it within a few hundredths of a standard deviation, where the
	// fit is to be repeated with other variances.
	lmLoose = 5e-4
	// lmLengthen is how often a step is repeated that was too short.
	lmLengthen = 6
)

// Minimiser holds a problem, its normal matrix and the work space of the
// iteration, so that repeated solves allocate little.
type Minimiser struct {
	Problem *Problem
	m       *levmar.Arrow
	dG      []float64
	dP      [][]float64
	trial   *State
	Loose   bool // what follows will solve again
	Warm    bool // solving from an earlier solution, to follow the hand

	// What minimise works on.
	state  *State
	active []bool
	fixedG bool
}

// NewMinimiser returns an engine for a problem: old, where it has the same shape.
func NewMinimiser(p *Problem, old *Minimiser) *Minimiser {
	if old != nil && old.Problem.nG == p.nG && len(old.Problem.Names) == len(p.Names) {
		old.Problem = p
		return old
	}
	e := &Minimiser{Problem: p, m: levmar.NewArrow(p.nG, BlockSize, len(p.Names)), dG: make([]float64, p.nG), trial: p.Blank()}
	for range p.Names {
		e.dP = append(e.dP, make([]float64, BlockSize))
	}
	return e
}

// minimise runs Levenberg-Marquardt on the active positions and, unless fixedG,
// the global block, improving st in place.
func (e *Minimiser) minimise(ctx context.Context, st *State, active []bool, fixedG bool, maxIter int) (levmar.Result, error) {
	e.state, e.active, e.fixedG = st, active, fixedG
	e.m.SetActive(active)
	s := levmar.Settings{FirstLambda: lmFirstLambda, MaxIterations: maxIter, Tolerance: lmTolerance,
		Slow: lmSlowCold, SlowSteps: lmSlowSteps, Lengthen: lmLengthen}
	if e.Warm {
		s.Slow = lmSlowWarm
	}
	if e.Loose {
		s.Slow, s.Tolerance = lmSlowWarm, lmLoose
	}
	return levmar.Minimise(ctx, e, s)
}

// Cost, Linearise, Factor, Step, Scale, Try and Accept are those of a
// levmar.Problem.

// Cost is the cost of the current state.
func (e *Minimiser) Cost() float64 { return e.Problem.total(e.state, e.active, !e.fixedG, nil) }

// Linearise sums the normal matrix and the second derivatives of the lengths.
func (e *Minimiser) Linearise() {
	e.m.Clear()
	e.Problem.total(e.state, e.active, !e.fixedG, e.m)
}

// Factor factorises Newton's matrix or, where that is not positive definite,
// Gauss-Newton's, which by its priors always is.
func (e *Minimiser) Factor(lambda float64) bool {
	// Newton's matrix converges faster and is the right curvature at the minimum, but far from it
	// squeezed segments may make it indefinite; Gauss-Newton's descends from anywhere.
	return e.m.Factor(lambda, e.fixedG, true) || e.m.Factor(lambda, e.fixedG, false)
}

// Step solves for the step.
func (e *Minimiser) Step() float64 { return e.m.Step(e.dG, e.dP) }

// Scale multiplies the step by k.
func (e *Minimiser) Scale(k float64) {
	for i := range e.dG {
		e.dG[i] *= k
	}
	for _, d := range e.dP {
		for i := range d {
			d[i] *= k
		}
	}
}

// Try moves the trial state. The current one is left as it is, to be gone back
// to.
func (e *Minimiser) Try() float64 {
	e.trial.copyFrom(e.state)
	e.trial.step(e.dG, e.dP)
	return e.Problem.total(e.trial, e.active, !e.fixedG, nil)
}

// Accept takes the trial state over.
func (e *Minimiser) Accept() { e.state.copyFrom(e.trial) }

// MinimiseAll minimises over everything.
//
// st is improved in place, Converged of the result says whether a minimum was reached within
// maxJointIterations, and the only error is that of ctx.
func (e *Minimiser) MinimiseAll(ctx context.Context, st *State) (levmar.Result, error) {
	return e.minimise(ctx, st, everyPosition(len(e.Problem.Names)), false, maxJointIterations)
}

// MinimisePosition minimises over one position with everything shared held.
//
// The other positions do not take part: given the shared unknowns they are independent, so that
// what comes out is the exact conditional minimum. Its cost is an upper bound of what everything
// together would reach.
func (e *Minimiser) MinimisePosition(ctx context.Context, st *State, pos, maxIter int) (levmar.Result, error) {
	active := make([]bool, len(e.Problem.Names))
	active[pos] = true
	return e.minimise(ctx, st, active, true, maxIter)
}

// OneStep takes one, hardly damped, step of everything from st, which shows what the
// shared unknowns would give way by. It returns by how much the cost falls, 0 where the
// step was too far and st is left; ok is false where there is none.
func (e *Minimiser) OneStep(st *State) (gain float64, ok bool) {
	e.state, e.active, e.fixedG = st, everyPosition(len(e.Problem.Names)), false
	e.m.SetActive(e.active)
	e.m.Clear()
	cost := e.Problem.total(st, e.active, true, e.m)
	if !e.Factor(1e-6) {
		return 0, false
	}
	e.Step()
	if gain = cost - e.Try(); !(gain > 0) {
		return 0, true
	}
	st.copyFrom(e.trial)
	return gain, true
}

// everyPosition lists all of n positions as active.
func everyPosition(n int) []bool {
	active := make([]bool, n)
	for i := range active {
		active[i] = true
	}
	return active
}
