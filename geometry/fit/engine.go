package fit

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

// engine holds a problem, its normal matrix and the work space of the
// iteration, so that repeated solves allocate little.
type engine struct {
	p     *problem
	m     *levmar.Arrow
	dG    []float64
	dP    [][]float64
	trial *state
	loose bool // what follows will solve again
	warm  bool // solving from an earlier solution, to follow the hand

	// What minimise works on.
	st     *state
	active []bool
	fixedG bool
}

func newEngine(p *problem, st *state) *engine {
	e := &engine{p: p, m: levmar.NewArrow(p.nG, blockSize, len(p.names)), dG: make([]float64, p.nG), trial: st.clone()}
	for range p.names {
		e.dP = append(e.dP, make([]float64, blockSize))
	}
	return e
}

// minimise runs Levenberg-Marquardt on the active positions and, unless fixedG,
// the global block, improving st in place.
func (e *engine) minimise(ctx context.Context, st *state, active []bool, fixedG bool, maxIter int) (levmar.Result, error) {
	e.st, e.active, e.fixedG = st, active, fixedG
	e.m.SetActive(active)
	s := levmar.Settings{FirstLambda: lmFirstLambda, MaxIterations: maxIter, Tolerance: lmTolerance,
		Slow: lmSlowCold, SlowSteps: lmSlowSteps, Lengthen: lmLengthen}
	if e.warm {
		s.Slow = lmSlowWarm
	}
	if e.loose {
		s.Slow, s.Tolerance = lmSlowWarm, lmLoose
	}
	return levmar.Minimise(ctx, e, s)
}

// Cost, Linearise, Factor, Step, Scale, Try and Accept are those of a
// levmar.Problem.

// Cost is the cost of the current state.
func (e *engine) Cost() float64 { return e.p.total(e.st, e.active, !e.fixedG, nil) }

// Linearise sums the normal matrix and the second derivatives of the lengths.
func (e *engine) Linearise() {
	e.m.Clear()
	e.p.total(e.st, e.active, !e.fixedG, e.m)
}

// Factor factorises Newton's matrix or, where that is not positive definite,
// Gauss-Newton's, which by its priors always is.
func (e *engine) Factor(lambda float64) bool {
	return e.m.Factor(lambda, e.fixedG, true) || e.m.Factor(lambda, e.fixedG, false)
}

// Step solves for the step.
func (e *engine) Step() float64 { return e.m.Step(e.dG, e.dP) }

// Scale multiplies the step by k.
func (e *engine) Scale(k float64) {
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
func (e *engine) Try() float64 {
	e.trial.copyFrom(e.st)
	e.trial.step(e.dG, e.dP)
	return e.p.total(e.trial, e.active, !e.fixedG, nil)
}

// Accept takes the trial state over.
func (e *engine) Accept() { e.st.copyFrom(e.trial) }

// startAt works out one, hardly damped, step of everything from st, and returns
// the cost there; ok is false where there is none. The step is left in the
// engine: Try takes it.
func (e *engine) startAt(st *state, all []bool) (cost float64, ok bool) {
	e.st, e.active, e.fixedG = st, all, false
	e.m.SetActive(all)
	e.m.Clear()
	cost = e.p.total(st, all, true, e.m)
	if !e.Factor(1e-6) {
		return cost, false
	}
	e.Step()
	return cost, true
}

// everyPosition lists all of n positions as active.
func everyPosition(n int) []bool {
	active := make([]bool, n)
	for i := range active {
		active[i] = true
	}
	return active
}
