package geometry

import (
	"context"
	"math"
)

// Levenberg-Marquardt settings.
const (
	lmFirstLambda = 1e-4
	lmMaxLambda   = 1e10
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
	// From which share of the expected decrease on a step is taken to have been
	// too short, and how often it is then repeated.
	lmFurtherGain  = 1.3
	lmFurtherSteps = 6
)

// engine holds a problem, its normal matrix and the work space of the
// iteration, so that repeated solves allocate little.
type engine struct {
	p     *problem
	m     *arrow
	dG    []float64
	dP    [][]float64
	trial *state
	warm  bool // solving from an earlier solution, to follow the hand
}

func newEngine(p *problem, st *state) *engine {
	e := &engine{p: p, m: newArrow(p.nG, blockSize, len(p.names)), dG: make([]float64, p.nG), trial: st.clone()}
	for range p.names {
		e.dP = append(e.dP, make([]float64, blockSize))
	}
	return e
}

// minimise runs Levenberg-Marquardt (Marquardt 1963; Nocedal & Wright, ch. 10)
// on the active positions and, unless fixedG, the global block, improving st
// in place. It returns the cost, the number of iterations and whether it
// converged.
func (e *engine) minimise(ctx context.Context, st *state, active []bool, fixedG bool, maxIter int) (cost float64, iter int, converged bool, err error) {
	copy(e.m.active, active)
	cost = e.p.total(st, active, !fixedG, nil)
	lambda, grow, slow := lmFirstLambda, 4.0, 0
	least := lmSlowCold
	if e.warm {
		least = lmSlowWarm
	}
	for iter = 0; iter < maxIter; iter++ {
		if err := ctx.Err(); err != nil {
			return cost, iter, false, err
		}
		e.m.clear()
		e.p.total(st, active, !fixedG, e.m)
		for {
			if !(lambda <= lmMaxLambda) {
				return cost, iter, false, nil
			}
			if !e.m.factor(lambda, fixedG, true) && !e.m.factor(lambda, fixedG, false) {
				lambda *= 10
				continue
			}
			expected := e.stepFrom(active)
			if !(expected >= 0) || math.IsInf(expected, 0) {
				lambda *= 10
				continue
			}
			if expected < lmTolerance {
				// The last, tiny step is not taken: the state, the
				// normal matrix and the cost stay those of one place.
				return cost, iter, true, nil
			}
			e.trial.copyFrom(st)
			e.trial.step(e.dG, e.dP)
			c := e.p.total(e.trial, active, !fixedG, nil)
			if c <= cost && !math.IsInf(cost, 0) {
				gain := (cost - c) / expected
				if cost-c > least {
					slow = 0
				} else if slow++; slow == lmSlowSteps {
					st.copyFrom(e.trial)
					return c, iter + 1, true, nil
				}
				st.copyFrom(e.trial)
				cost = c
				if gain > lmFurtherGain {
					cost = e.further(st, cost, active, fixedG)
				}
				lambda *= math.Max(1.0/10, 1-math.Pow(2*gain-1, 3))
				lambda, grow = math.Max(lambda, 1e-9), 4
				break
			}
			lambda *= grow
			grow *= 2
		}
	}
	return cost, iter, false, nil
}

// further repeats the step that led to st as long as the cost falls: where a
// mark is about to lose its pull the weights of the robust loss make every step
// too short.
func (e *engine) further(st *state, cost float64, active []bool, fixedG bool) float64 {
	for k := 0; k < lmFurtherSteps; k++ {
		e.trial.step(e.dG, e.dP)
		c := e.p.total(e.trial, active, !fixedG, nil)
		if !(c < cost) {
			break
		}
		st.copyFrom(e.trial)
		cost = c
	}
	return cost
}

// stepFrom solves for the step of the factorised normal equations and returns
// the decrease of the cost the linear model expects from it.
func (e *engine) stepFrom(active []bool) float64 {
	copy(e.dG, e.m.rhsG)
	for p := range e.dP {
		if active[p] {
			copy(e.dP[p], e.m.rhsP[p])
		} else {
			clear(e.dP[p])
		}
	}
	e.m.solve(e.dG, e.dP)
	var expected float64
	if !e.m.fixedG {
		for i, d := range e.dG {
			expected += 0.5 * d * e.m.rhsG[i]
		}
	}
	for p := range e.dP {
		if active[p] {
			for i, d := range e.dP[p] {
				expected += 0.5 * d * e.m.rhsP[p][i]
			}
		}
	}
	return expected
}
