package bundle

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
)

// SteadyBody is how many of the steady unknowns are of the golfer's body, and
// SteadyCamera how many of each camera: its height, roll and pitch, the logarithm of its
// focal length, and k1. Where a camera stands across and along the ground, and where it
// looks there, is counted from the golfer's feet, which are not in the same place in his
// next swing.
const (
	SteadyBody   = geometry.NumSegments + 1 + len(sidedLengths)
	SteadyCamera = 5
)

// Steady is what a fit knows of what other swings of one golfer share, and of the cameras
// that stand where they stood: lengths, stature and the differences of the sides, as they
// stand in the global block, and then SteadyCamera of each clip.
type Steady struct {
	Values     []float64
	Covariance *mat.SymDense
	// Prior is the information that is known of them beforehand, about PriorMean: the
	// same in every swing, and to be counted once.
	Prior     *mat.SymDense
	PriorMean []float64
}

// steadyRows are the derivatives of the steady unknowns by the global ones.
//
// Body and focal length are unknowns themselves; height, roll and pitch are functions of a
// camera's tangent space, roll and pitch the sines r₀·y and r₂·y of cameraTerms, so that their
// priors are the very terms of the fit.
func (q *Posterior) steadyRows() [][]partial {
	if q.steady != nil {
		return q.steady
	}
	p := q.p
	var rows [][]partial
	for i := range SteadyBody { // they stand one after another
		rows = append(rows, []partial{{p.oLengths + i, 1}})
	}
	for c := range p.Clips {
		o, m := c*geometry.CameraUnknowns, &q.st.Cameras[c].Rotation
		// As in evaluator.cameraTerms.
		rows = append(rows,
			[]partial{{o + 1, 1}},
			[]partial{{o + geometry.CameraRotation + 1, m[2][1]}, {o + geometry.CameraRotation + 2, -m[1][1]}},
			[]partial{{o + geometry.CameraRotation, m[1][1]}, {o + geometry.CameraRotation + 1, -m[0][1]}},
			[]partial{{o + geometry.CameraLogFocal, 1}},
			[]partial{{o + geometry.CameraK1, 1}})
	}
	q.steady = rows
	return rows
}

// steadyValues are the steady unknowns of a state.
func (p *Problem) steadyValues(st *State) []float64 {
	out := append([]float64(nil), st.g[p.oLengths:p.oLengths+SteadyBody]...)
	for c := range p.Clips {
		cam := &st.Cameras[c]
		out = append(out, cam.Position.Y, cam.Rotation[0][1], cam.Rotation[2][1], math.Log(cam.FocalPx), cam.K1)
	}
	return out
}

// Steady returns what is known of the steady unknowns; nil where the normal matrix could
// not be factorised.
//
// The covariance is A C_gg Aᵀ, A the sparse rows: one or two entries each. Units are those of the
// unknowns: logarithms, standard deviations of the sides, metres, sines.
func (q *Posterior) Steady() *Steady {
	if q.m == nil {
		return nil
	}
	q.Covariances()
	rows := q.steadyRows()
	s := &Steady{Values: q.p.steadyValues(q.st), Covariance: mat.NewSymDense(len(rows), nil)}
	for i := range rows {
		for j := i; j < len(rows); j++ {
			var v float64
			for _, a := range rows[i] {
				for _, b := range rows[j] {
					v += a.by * b.by * q.covG[a.at*q.nG+b.at]
				}
			}
			s.Covariance.SetSym(i, j, v)
		}
	}
	s.Prior, s.PriorMean = q.steadyPrior(len(rows))
	return s
}

// CovarianceWithSteady is the covariance of the scalar that SolveFor was asked last with
// the steady unknowns.
func (q *Posterior) CovarianceWithSteady() []float64 {
	rows := q.steadyRows()
	out := make([]float64, len(rows))
	for i, r := range rows {
		for _, a := range r {
			out[i] += a.by * q.xG[a.at]
		}
	}
	return out
}

// steadyPrior is the priors of globalTerms on the steady unknowns alone, those with
// heavy tails weighed as in the normal matrix.
//
// A segment's prior couples its length with the stature: of the residual l − h − log(fraction)
// with weight w the information is w on both diagonals and −w between. At the mean all residuals
// are 0, and the matrix is that of the mean and of nothing else.
func (q *Posterior) steadyPrior(n int) (*mat.SymDense, []float64) {
	p, st := q.p, q.st
	info, mean := mat.NewSymDense(n, nil), make([]float64, n)
	add := func(i int, v float64) { info.SetSym(i, i, info.At(i, i)+v) }
	h := p.oStature - p.oLengths
	add(h, 1/sq(p.statureLog))
	mean[h] = math.Log(p.statureM)
	for l := range geometry.SegmentPriors {
		if l == geometry.SegmentClub {
			add(l, 1/sq(p.clubLog))
			mean[l] = math.Log(p.clubM)
			continue
		}
		prior := &geometry.SegmentPriors[l]
		r := st.g[p.oLengths+l] - st.g[p.oStature] - math.Log(prior.Fraction)
		w := math.Min((priorNu+1)/(priorNu+sq(r/prior.LogSigma)), 1) / sq(prior.LogSigma)
		add(l, w)
		add(h, w)
		info.SetSym(l, h, info.At(l, h)-w)
		mean[l] = mean[h] + math.Log(prior.Fraction)
	}
	for k := range sidedLengths {
		add(p.oSides-p.oLengths+k, 1)
	}
	for c := range p.Clips {
		o, nominal := SteadyBody+c*SteadyCamera, &p.nominal[c]
		focal := phoneFocalSigma
		if clip := &p.Clips[c]; clip.FocalPx > 0 {
			if focal = clip.FocalRelSigma; focal <= 0 {
				focal = metadataFocalSigma
			}
		}
		for i, sigma := range [SteadyCamera]float64{cameraHeightSigmaM, cameraRollSigma, cameraPitchSigma, focal, k1Sigma} {
			add(o+i, 1/sq(sigma))
		}
		copy(mean[o:], []float64{nominal.Position.Y, 0, nominal.Rotation[2][1], math.Log(nominal.FocalPx), 0})
	}
	return info, mean
}
