package bundle

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// Posterior is the information matrix of a fit at its solution, factorised: the
// inverse of it is the covariance of all unknowns (Bayesian linearisation; see
// for instance Triggs et al. 2000, Bundle Adjustment, section 9). With H the
// second derivatives of the cost at the most probable values, the density near
// them is
//
//	p(x | marks) ≈ N(x̂, H⁻¹).
//
// H is Newton's matrix where that is positive definite, as it should be at a
// minimum, and Gauss-Newton's else. All priors are in it, so that an unknown
// without marks has the variance that it has of any golfer, and nothing needs a
// pseudo-inverse.
type Posterior struct {
	p      *Problem
	st     *State
	m      *levmar.Arrow
	nG     int
	covG   []float64     // see covariances
	shared *mat.Cholesky // see sharedVariance
	block  []blockCovariance
	steady [][]partial // see steadyRows
	// The work space makes the methods of a Solution unfit for several
	// goroutines.
	xG   []float64 // work space of SolveFor
	xP   [][]float64
	skew [geometry.NumChains][][]float64 // see meanShift
}

// Posterior factorises the normal matrix at st into storage of its own.
func (e *Minimiser) Posterior(st *State) *Posterior {
	return factorised(e, st, levmar.NewArrow(e.Problem.nG, BlockSize, len(e.Problem.Names)))
}

// PosteriorAt is posterior in the engine's own storage: good until the engine
// is used again.
func (e *Minimiser) PosteriorAt(st *State) *Posterior { return factorised(e, st, e.m) }

// factorised sums and factorises the matrix in m. Weights of marks are capped
// at one (evaluator.cautious): a mark that happens to lie near the middle of
// the t distribution is no better than others.
//
// Why the cap: the loss of a mark at residual d has the weight w(d) = (ν+2)/(ν+d²), which
// exceeds 1 for d² < 2. The mean of w d² over the distribution is what information a mark has;
// at the very middle w says more, by chance of where it fell, than marks of this kind are worth
// over all. Far out w falls, and rightly: such a mark may be on the wrong thing.
func factorised(e *Minimiser, st *State, m *levmar.Arrow) *Posterior {
	n := len(e.Problem.Names)
	active := everyPosition(n)
	m.SetActive(active)
	m.Clear()
	ev := evaluator{Problem: e.Problem, st: st, out: m, cautious: true}
	ev.run(active, true)
	q := &Posterior{p: e.Problem, st: st, m: m, nG: e.Problem.nG, xG: make([]float64, e.Problem.nG), xP: make([][]float64, n)}
	for i := range q.xP {
		q.xP[i] = make([]float64, BlockSize)
	}
	// Every unknown has a proper prior, so the matrix is positive definite;
	// a failure can only be numerical and shows as infinite variances.
	if !m.Factor(0, false, true) && !m.Factor(0, false, false) && !m.Factor(1e-9, false, false) {
		q.m = nil
	}
	return q
}

// SolveFor computes covariance times gradient into xG and xP, for the positions
// wanted (nil: only the gradient's own), and returns gradientᵀ·cov·gradient:
// the variance of the scalar to first order (JCGM 100:2008, 5.2). Element i of
// xG and xP is then the covariance of the scalar with unknown i, which is what
// leverage, advice and the marking variance are made from. It is +Inf where the
// matrix could not be factorised.
//
// With all the work space has the covariance with every unknown afterwards; without, that of
// the positions that the gradient reads alone. The work space is overwritten
// by the next call, and whoever reads it (CovarianceWith, CovarianceWithPosition,
// CovarianceWithSegment, SharedVariance) must do so before.
func (q *Posterior) SolveFor(gr *Gradient, all bool) float64 {
	if q.m == nil {
		return math.Inf(1)
	}
	clear(q.xG)
	if gr.g != nil {
		copy(q.xG, gr.g)
	}
	xP := make([][]float64, len(q.xP))
	for i := range q.xP {
		if all {
			clear(q.xP[i])
			xP[i] = q.xP[i]
		}
	}
	for k, i := range gr.Pos {
		if i >= 0 {
			if xP[i] == nil {
				clear(q.xP[i])
				xP[i] = q.xP[i]
			}
			for j, v := range gr.By[k] {
				xP[i][j] += v
			}
		}
	}
	q.m.Solve(q.xG, xP)
	var v float64
	for k, i := range gr.Pos {
		if i >= 0 {
			for j, d := range gr.By[k] {
				if d != 0 {
					v += d * xP[i][j]
				}
			}
		}
	}
	for j, d := range gr.g {
		v += d * q.xG[j]
	}
	return v
}

// SolveForCamera is SolveFor, everywhere, of one of the unknowns of all cameras.
func (q *Posterior) SolveForCamera(i int) float64 {
	unit := make([]float64, q.nG)
	unit[i] = 1
	return q.SolveFor(&Gradient{Pos: [geometry.NumSlots]int{-1, -1, -1}, g: unit}, true)
}

// CovarianceWithPosition is the covariance of the scalar that SolveFor was asked last with
// the unknowns of a position, in its unit times metres.
func (q *Posterior) CovarianceWithPosition(pos int) []float64 { return q.xP[pos] }

// blockCovariance holds what is wanted of one position's covariance: that of
// every point (3×3, metres squared), of the two ends of every segment with each
// other, and of every unknown with the global ones (BlockSize×nG).
type blockCovariance struct {
	point   [geometry.NumBody][3][3]float64
	segment [][3][3]float64 // by BodySegments; rows those of its first end
	global  []float64
}

// Covariances computes, once, what is wanted of the covariance of all unknowns.
//
// Of C only what has a reader is kept: 3×3 blocks on the diagonal, the ends of segments, and the
// columns of the global unknowns. The whole block of a position would be 69×69 numbers, of
// which nine in ten are never read.
func (q *Posterior) Covariances() {
	if q.covG != nil || q.m == nil {
		return
	}
	q.covG = q.m.GlobalCovariance()
	var from levmar.BlockCovariance
	for p := range q.xP {
		q.m.BlockCovariance(p, &from)
		c := blockCovariance{global: from.WithGlobal(), segment: make([][3][3]float64, len(geometry.BodySegments))}
		for pt := 0; pt < geometry.NumBody; pt++ {
			for i := 0; i < 3; i++ {
				for j := i; j < 3; j++ {
					v := from.At(3*pt+i, 3*pt+j)
					c.point[pt][i][j], c.point[pt][j][i] = v, v
				}
			}
		}
		for k, l := range geometry.BodySegments {
			for i := 0; i < 3; i++ {
				for j := 0; j < 3; j++ {
					c.segment[k][i][j] = from.At(3*int(l.A)+i, 3*int(l.B)+j)
				}
			}
		}
		q.block = append(q.block, c)
	}
}

// Determined reports whether the normal matrix could be factorised, so that
// covariances are known.
func (q *Posterior) Determined() bool { return q.m != nil }

// PointCovariance is the covariance of a point of the golfer at a position, m².
func (q *Posterior) PointCovariance(pos int, pt geometry.Point) [3][3]float64 {
	return q.block[pos].point[pt]
}

// BallCovariance is that of the ball, m².
func (q *Posterior) BallCovariance() [3][3]float64 { return q.globalCovariance(q.p.oBall) }

// RotationCovariance is that of a camera's rotation about its own axes, radians squared.
func (q *Posterior) RotationCovariance(clip int) [3][3]float64 {
	return q.globalCovariance(clip*geometry.CameraUnknowns + geometry.CameraRotation)
}

// CameraCovariance is the covariance of two of the unknowns of all cameras.
func (q *Posterior) CameraCovariance(i, j int) float64 { return q.covG[i*q.nG+j] }

// LogDeterminant is the logarithm of the determinant of the normal matrix.
func (q *Posterior) LogDeterminant() float64 { return q.m.LogDeterminant() }

// globalCovariance returns the 3×3 covariance of three global unknowns that
// start at index o, m² for the ball.
func (q *Posterior) globalCovariance(o int) (out [3][3]float64) {
	for i := range out {
		for j := range out {
			if q.m == nil {
				out[i][j] = math.Inf(1)
			} else {
				out[i][j] = q.covG[(o+i)*q.nG+o+j]
			}
		}
	}
	return out
}

// PixelCovariance is the 2×2 covariance, px², of the picture of a point whose
// derivatives are pr, in a clip; the ball is a point of
// the global block. With J_g the derivatives by the camera, the time of the
// frame and the shared bias, and J_p those by the point,
//
//	C = J_g C_gg J_gᵀ + J_g C_gp J_pᵀ + (…)ᵀ + J_p C_pp J_pᵀ.
//
// Indices 0 of a time or a bias that is not there meet derivatives of zero.
func (q *Posterior) PixelCovariance(pr *Projection, clip, pos int, pt geometry.Point) (out [2][2]float64) {
	body, o := pt != geometry.Ball, q.p.oBall
	nG := q.nG
	const n = geometry.CameraUnknowns + 3 // the camera, the time of the frame, what a mark is off by
	var at [n]int
	var jg [2][n]float64
	var jp [2][3]float64
	for a := range at {
		at[a] = clip*geometry.CameraUnknowns + a
	}
	at[geometry.CameraUnknowns], at[n-2], at[n-1] = pr.oTime, pr.oBias, pr.oBias+1
	for i := 0; i < 2; i++ {
		d, cam := pr.ByPoint[i], pr.ByCamera(i)
		copy(jg[i][:], cam[:])
		jg[i][geometry.CameraUnknowns] = pr.dt[i]
		jg[i][geometry.CameraUnknowns+1+i] = pr.biasPx
		jp[i] = [3]float64{d.X, d.Y, d.Z}
	}
	for i := 0; i < 2; i++ {
		for j := 0; j < 2; j++ {
			var v float64
			for a, ga := range at {
				for b, gb := range at {
					v += jg[i][a] * q.covG[ga*nG+gb] * jg[j][b]
				}
				for b := 0; b < 3; b++ {
					var c float64
					if body {
						c = q.block[pos].global[(3*int(pt)+b)*nG+ga]
					} else {
						c = q.covG[(o+b)*nG+ga]
					}
					v += jg[i][a]*c*jp[j][b] + jp[i][b]*c*jg[j][a]
				}
			}
			for a := 0; a < 3; a++ {
				for b := 0; b < 3; b++ {
					if body {
						v += jp[i][a] * q.block[pos].point[pt][a][b] * jp[j][b]
					} else {
						v += jp[i][a] * q.covG[(o+a)*nG+o+b] * jp[j][b]
					}
				}
			}
			out[i][j] = v
		}
	}
	return out
}

// CovarianceWith is the covariance of the scalar that SolveFor was asked last, everywhere, with the
// two coordinates of a point's picture, in its unit times pixels.
//
// The picture is linearised as J x over the camera's eight unknowns, the point's three
// coordinates, the frame's time and the mark's bias; the covariance is J times that of the
// scalar with each, summed in that order.
func (q *Posterior) CovarianceWith(pr *Projection, clip, pos int, pt geometry.Point) [2]float64 {
	var out [2]float64
	xG := q.xG
	point := xG[q.p.oBall:]
	if pt != geometry.Ball {
		point = q.xP[pos][3*pt:]
	}
	o := clip * geometry.CameraUnknowns
	for i := range out {
		d, w := pr.ByPoint[i], pr.ByRotation[i]
		out[i] = d.X*(point[0]-xG[o]) + d.Y*(point[1]-xG[o+1]) + d.Z*(point[2]-xG[o+2]) +
			w.X*xG[o+3] + w.Y*xG[o+4] + w.Z*xG[o+5] + pr.ByLogFocal[i]*xG[o+geometry.CameraLogFocal] + pr.ByK1[i]*xG[o+geometry.CameraK1] + pr.dt[i]*xG[pr.oTime] + pr.biasPx*xG[pr.oBias+i]
	}
	return out
}

// Undetermined counts the directions in which a point's variance is more than
// half that of its wide prior (figureTerms): those the marks say next to nothing about. They
// are the eigenvectors of its 3×3 covariance c, m². The trace bounds the
// largest eigenvalue and mostly decides.
//
// Half is where marks and prior tell as much as each other: the posterior's information 1/v is
// twice the prior's. A rank in the sense of linear algebra there is none, since every unknown
// has a prior; this is what Summary.Rank counts in its place.
func Undetermined(c [3][3]float64, pt geometry.Point) int {
	prior := sq(wideSigma(pt))
	if Spread(c) < math.Sqrt(prior)*0.4 {
		return 0 // no eigenvalue of c exceeds its trace
	}
	var e mat.EigenSym
	s := mat.NewSymDense(3, []float64{c[0][0], c[0][1], c[0][2], c[0][1], c[1][1], c[1][2], c[0][2], c[1][2], c[2][2]})
	if !geometry.Finite(s.RawSymmetric().Data...) || !e.Factorize(s, false) {
		return 3
	}
	n := 0
	for _, v := range e.Values(nil) {
		if v > 0.5*prior {
			n++
		}
	}
	return n
}

// Spread is the largest standard deviation along an axis.
func Spread(c [3][3]float64) float64 {
	return math.Sqrt(math.Max(c[0][0], math.Max(c[1][1], c[2][2])))
}
