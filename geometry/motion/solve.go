package motion

import (
	"context"

	"gonum.org/v1/gonum/blas/blas64"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// state is a value of all unknowns. Cameras are kept as such and moved in their
// tangent space; the border has by how much they have moved, which their prior
// is about.
type state struct {
	x    [][]float64 // by instant, blockSize each
	cams []geometry.Camera
	g    []float64 // the border; the cameras' part is how far they are from their prior
}

// clone returns a copy that shares nothing.
func (s *state) clone() *state {
	c := &state{cams: append([]geometry.Camera(nil), s.cams...), g: append([]float64(nil), s.g...)}
	for _, x := range s.x {
		c.x = append(c.x, append([]float64(nil), x...))
	}
	return c
}

// stepFrom makes s what o becomes by a step, without allocating.
func (s *state) stepFrom(o *state, dX [][]float64, dG []float64) {
	for i := range s.x {
		for j, v := range o.x[i] {
			s.x[i][j] = v + dX[i][j]
		}
	}
	for j, v := range o.g {
		s.g[j] = v + dG[j]
	}
	for c := range s.cams {
		s.cams[c] = o.cams[c]
		s.cams[c].Move(dG[c*geometry.CameraUnknowns:])
	}
}

// Settings of the iteration. It ends when the cost is not expected to fall by more
// than tolerance: the step is then a fourteenth of a standard deviation in any
// direction. So do slowSteps steps that each lower it by less than slow.
const (
	maxIterations = 60
	firstLambda   = 1e-3
	tolerance     = 2.5e-3
	slow          = 5e-3
	slowSteps     = 3
)

// minimise runs Levenberg-Marquardt to the most probable motion.
//
// progress is told a number that rises from 0 toward 1: how many steps there will be is not known
// before, and some six are usual.
func (f *problem) minimise(ctx context.Context, progress func(float64)) error {
	f.dX, f.dG = f.m.Columns(1)
	r, err := levmar.Minimise(ctx, f, levmar.Settings{FirstLambda: firstLambda, MaxIterations: maxIterations,
		Tolerance: f.loosely * tolerance, Slow: f.loosely * slow, SlowSteps: slowSteps, Shorten: true,
		Progress: func(i int) { progress(float64(i) / (float64(i) + 6)) }})
	if err != nil {
		return err
	}
	f.summary = geometry.Summary{Status: geometry.NotConverged, Iterations: r.Iterations, Observations: 2 * len(f.observations), Unknowns: f.nG + blockSize*len(f.times)}
	if !r.Converged {
		return geometry.ErrNotConverged
	}
	f.summary.Status, f.summary.Cost = geometry.Converged, r.Cost
	return f.finish()
}

// Cost is the cost of the current state, one of the methods of a levmar.Problem.
func (f *problem) Cost() float64 { return f.total(f.st, nil) }

// Linearise sums the normal matrix.
func (f *problem) Linearise() {
	f.m.Clear()
	f.total(f.st, f.m)
}

// Factor factorises it.
func (f *problem) Factor(lambda float64) bool { return f.m.Factor(lambda) }

// Step solves for the step.
func (f *problem) Step() float64 { return f.m.Step(f.dX, f.dG) }

// Scale multiplies the step by k.
func (f *problem) Scale(k float64) {
	for _, x := range f.dX {
		blas64.Scal(k, blas64.Vector{N: len(x), Inc: 1, Data: x})
	}
	blas64.Scal(k, blas64.Vector{N: len(f.dG), Inc: 1, Data: f.dG})
}

// Try moves the trial state.
func (f *problem) Try() float64 {
	f.trial.stepFrom(f.st, f.dX, f.dG)
	return f.total(f.trial, nil)
}

// Accept takes the trial state over.
func (f *problem) Accept() { f.st, f.trial = f.trial, f.st }

// finish factorises the normal matrix at the solution, as the covariance needs:
// with the weights of observations capped at one (see fit's evaluator),
// undamped. All unknowns have proper priors, so that the rank is that of the
// unknowns.
//
// This is H at the solution: its inverse is the covariance of all unknowns (Laplace's
// approximation of the posterior), whose blocks measure.go reads and from which draw.go
// draws.
func (f *problem) finish() error {
	f.cautious = true
	f.Linearise()
	if !f.m.Factor(0) && !f.m.Factor(1e-9) {
		return geometry.ErrNotConverged
	}
	f.summary.Rank = f.summary.Unknowns
	return nil
}
