package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// posterior is the information matrix of a fit at its solution, factorised: the
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
type posterior struct {
	m      *levmar.Arrow
	nG     int
	covG   []float64     // see covariances
	shared *mat.Cholesky // see sharedVariance
	block  []blockCovariance
	// The work space makes the methods of a Solution unfit for several
	// goroutines.
	xG []float64 // work space of solveFor
	xP [][]float64
}

// newPosterior factorises the normal matrix at st into storage of its own.
func newPosterior(e *engine, st *state) *posterior {
	return factorised(e, st, levmar.NewArrow(e.p.nG, blockSize, len(e.p.names)))
}

// posteriorAt is newPosterior in the engine's own storage: good until the engine
// is used again.
func (e *engine) posteriorAt(st *state) *posterior { return factorised(e, st, e.m) }

// factorised sums and factorises the matrix in m. Weights of marks are capped
// at one (evaluator.cautious): a mark that happens to lie near the middle of
// the t distribution is no better than others.
func factorised(e *engine, st *state, m *levmar.Arrow) *posterior {
	n := len(e.p.names)
	active := everyPosition(n)
	m.SetActive(active)
	m.Clear()
	ev := evaluator{problem: e.p, st: st, out: m, cautious: true}
	ev.run(active, true)
	q := &posterior{m: m, nG: e.p.nG, xG: make([]float64, e.p.nG), xP: make([][]float64, n)}
	for i := range q.xP {
		q.xP[i] = make([]float64, blockSize)
	}
	// Every unknown has a proper prior, so the matrix is positive definite;
	// a failure can only be numerical and shows as infinite variances.
	if !m.Factor(0, false, true) && !m.Factor(0, false, false) && !m.Factor(1e-9, false, false) {
		q.m = nil
	}
	return q
}

// gradient is the derivative of a scalar by the unknowns of a few positions and
// by global unknowns, Unit of the scalar per unit of the unknown.
type gradient struct {
	pos [geometry.NumSlots]int // −1 where unused
	p   [geometry.NumSlots][]float64
	g   []float64 // nil for none
}

// solveFor computes covariance times gradient into xG and xP, for the positions
// wanted (nil: only the gradient's own), and returns gradientᵀ·cov·gradient:
// the variance of the scalar to first order (JCGM 100:2008, 5.2). Element i of
// xG and xP is then the covariance of the scalar with unknown i, which is what
// leverage, advice and the marking variance are made from. It is +Inf where the
// matrix could not be factorised.
func (q *posterior) solveFor(gr *gradient, all bool) float64 {
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
	for k, i := range gr.pos {
		if i >= 0 {
			if xP[i] == nil {
				clear(q.xP[i])
				xP[i] = q.xP[i]
			}
			for j, v := range gr.p[k] {
				xP[i][j] += v
			}
		}
	}
	q.m.Solve(q.xG, xP)
	var v float64
	for k, i := range gr.pos {
		if i >= 0 {
			for j, d := range gr.p[k] {
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

// blockCovariance holds what is wanted of one position's covariance: that of
// every point (3×3, metres squared), of the two ends of every segment with each
// other, and of every unknown with the global ones (blockSize×nG).
type blockCovariance struct {
	point   [geometry.NumBody][3][3]float64
	segment [][3][3]float64 // by BodySegments; rows those of its first end
	global  []float64
}

// covariances computes, once, what is wanted of the covariance of all unknowns.
func (q *posterior) covariances() {
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

// globalCovariance returns the 3×3 covariance of three global unknowns that
// start at index o, m² for the ball.
func (q *posterior) globalCovariance(o int) (out [3][3]float64) {
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

// pixelCovariance is the 2×2 covariance, px², of the picture of a point whose
// derivatives are pr, in a clip; pos is −1 and o the first index for a point of
// the global block. With J_g the derivatives by the camera, the time of the
// frame and the shared bias, and J_p those by the point,
//
//	C = J_g C_gg J_gᵀ + J_g C_gp J_pᵀ + (…)ᵀ + J_p C_pp J_pᵀ.
//
// Indices 0 of a time or a bias that is not there meet derivatives of zero.
func (q *posterior) pixelCovariance(pr *projection, clip, pos int, pt geometry.Point, o int) (out [2][2]float64) {
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
					if pos >= 0 {
						c = q.block[pos].global[(3*int(pt)+b)*nG+ga]
					} else {
						c = q.covG[(o+b)*nG+ga]
					}
					v += jg[i][a]*c*jp[j][b] + jp[i][b]*c*jg[j][a]
				}
			}
			for a := 0; a < 3; a++ {
				for b := 0; b < 3; b++ {
					if pos >= 0 {
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

// undetermined counts the directions in which a point's variance is more than
// half that of its wide prior: those the marks say next to nothing about. They
// are the eigenvectors of its 3×3 covariance c, m². The trace bounds the
// largest eigenvalue and mostly decides.
func undetermined(c [3][3]float64, prior float64) int {
	if spread(c) < math.Sqrt(prior)*0.4 {
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
