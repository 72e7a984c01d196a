package levmar

import (
	"context"
	"math"
)

// Problem is a least-squares problem at a current state. It holds the state, a
// trial state, a step between the two, and the normal equations; Minimise calls
// its methods in the order
//
//	Cost, then again and again Linearise, (Factor, Step, Try)+, Accept
//
// and sees nothing of the unknowns themselves, so that rotations may be stepped
// in their tangent space.
type Problem interface {
	// Cost is the cost of the current state.
	Cost() float64
	// Linearise sums the normal equations at the current state.
	Linearise()
	// Factor factorises them with lambda times their diagonal added. It reports
	// false where the matrix is not numerically positive definite.
	Factor(lambda float64) bool
	// Step solves the factorised equations for the step and returns by how much
	// the linear model expects it to lower the cost: half its product with the
	// right-hand side.
	Step() (expected float64)
	// Scale multiplies the step by k.
	Scale(k float64)
	// Try makes the trial state the current one moved by the step, and returns
	// its cost.
	Try() float64
	// Accept makes the trial state the current one.
	Accept()
}

// Settings steer the iteration. Costs are in units of half a squared standard
// deviation.
type Settings struct {
	FirstLambda   float64
	MaxIterations int
	// Tolerance ends the iteration when a step is expected to lower the cost by
	// less: no direction then has a step longer than √(2·Tolerance) of a standard
	// deviation in it. That last step is not taken, so that state, normal matrix
	// and cost are those of one place.
	Tolerance float64
	// SlowSteps steps in a row that each lower the cost by no more than Slow also
	// end it: what is left lies along a direction that the observations hardly
	// fix.
	Slow      float64
	SlowSteps int
	// Lengthen is how often a step is repeated that lowered the cost by more than
	// lengthenGain of what was expected, as long as the cost falls. Where an
	// observation is about to lose its influence the weights of the robust loss
	// make every step too short.
	Lengthen int
	// Shorten says to look, where the cost bends more than its linear model
	// knows, for the lowest place along the step before its end.
	Shorten bool
	// Progress, which may be nil, is called with the number of each iteration.
	Progress func(iteration int)
}

// Result says how an iteration ended.
type Result struct {
	Cost       float64
	Iterations int
	Converged  bool
}

const (
	maxLambda = 1e10 // beyond it a step is too short to count
	minLambda = 1e-9
	// lengthenGain is the share of the expected decrease from which on a step is
	// taken to have been too short.
	lengthenGain = 1.3
	// A step is shortened to between these parts of itself; less is left to the
	// damping, more is not worth another evaluation.
	shortenLeast, shortenMost = 0.05, 0.8
)

// Minimise runs Levenberg-Marquardt on p from its current state, with the damping
// of Nielsen (1999, Damping parameter in Marquardt's method, IMM-REP-1999-05) with
// bolder constants: after a step that gained the share g of what was expected
// lambda is multiplied by max(1/10, 1 − (2g−1)³), after one that raised the cost
// by 4, then 8, 16, …. A result that has not converged carries the best state
// found. The error is ctx's.
//
// The step solves (H + λ diag H) δ = −∇F. With λ small it is Newton's, with λ large a short one
// down the gradient, each unknown in its own scale. Small costs are differences of large ones, so
// that a step which raises the cost by rounding alone is refused as well; near the end λ then
// rises until the step is below Tolerance, and the iteration ends rightly. Costs are not compared
// over solves with other variances.
func Minimise(ctx context.Context, p Problem, s Settings) (Result, error) {
	r := Result{Cost: p.Cost()}
	lambda, grow, slow := s.FirstLambda, 4.0, 0
	for ; r.Iterations < s.MaxIterations; r.Iterations++ {
		if s.Progress != nil {
			s.Progress(r.Iterations)
		}
		p.Linearise()
		for {
			if err := ctx.Err(); err != nil {
				return r, err
			}
			if !(lambda <= maxLambda) {
				return r, nil
			}
			if !p.Factor(lambda) {
				lambda *= 10
				continue
			}
			expected := p.Step()
			if !(expected >= 0) || math.IsInf(expected, 0) {
				lambda *= 10
				continue
			}
			if expected < s.Tolerance {
				r.Converged = true
				return r, nil
			}
			c := p.Try()
			if s.Shorten {
				c = shorten(p, r.Cost, c, expected)
			}
			if !(c <= r.Cost) || math.IsInf(r.Cost, 0) {
				lambda *= grow
				grow *= 2
				continue
			}
			gain := (r.Cost - c) / expected
			if r.Cost-c > s.Slow {
				slow = 0
			} else {
				slow++
			}
			p.Accept()
			r.Cost = c
			if slow == s.SlowSteps {
				r.Iterations++
				r.Converged = true
				return r, nil
			}
			if gain > lengthenGain {
				r.Cost = lengthen(p, r.Cost, s.Lengthen)
			}
			lambda = math.Max(lambda*math.Max(1.0/10, 1-math.Pow(2*gain-1, 3)), minLambda)
			grow = 4
			break
		}
	}
	return r, nil
}

// shorten goes to the lowest place of the parabola along the step that has the
// slope −2·expected at its start, cost there and trial at its end.
//
// Along the step, from 0 to 1, the cost is c − 2e s + q s² with c at its start, e = expected
// the linear model's fall at its end (whose slope at 0 is −2e), and q such that it is trial
// at s = 1: q = trial − c + 2e. The lowest place is s = e/q.
func shorten(p Problem, cost, trial, expected float64) float64 {
	part := expected / (trial - cost + 2*expected)
	if !(part > shortenLeast && part < shortenMost) {
		return trial
	}
	p.Scale(part)
	return p.Try()
}

// lengthen repeats the step up to most times, as long as the cost falls, and
// returns the cost.
//
// Near a mark that the robust loss is about to let go the reweighted least squares goes on
// in one direction with steps of a constant ratio; repeating one is cheaper than another
// normal matrix.
func lengthen(p Problem, cost float64, most int) float64 {
	for range most {
		c := p.Try()
		if !(c < cost) {
			break
		}
		p.Accept()
		cost = c
	}
	return cost
}
