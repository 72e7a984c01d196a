package geometry

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// posterior is the information matrix of a fit at its solution, factorised:
// the inverse of it is the covariance of all unknowns (Bayesian linearisation;
// see for instance Triggs et al. 2000, Bundle Adjustment, section 9).
type posterior struct {
	m     *arrow
	covG  []float64 // see covariances
	block []blockCovariance
	xG    []float64 // work space of solveFor
	xP    [][]float64
}

// newPosterior factorises the normal matrix at st into storage of its own.
func newPosterior(e *engine, st *state) *posterior {
	n := len(e.p.names)
	m := newArrow(e.p.nG, blockSize, n)
	for i := range m.active {
		m.active[i] = true
	}
	ev := evaluator{problem: e.p, st: st, out: m, cautious: true}
	ev.run(m.active, true)
	q := &posterior{m: m, xG: make([]float64, m.nG), xP: make([][]float64, n)}
	for i := range q.xP {
		q.xP[i] = make([]float64, blockSize)
	}
	// Every unknown has a proper prior, so the matrix is positive definite;
	// a failure can only be numerical and shows as infinite variances.
	if !m.factor(0, false, true) && !m.factor(0, false, false) && !m.factor(1e-9, false, false) {
		q.m = nil
	}
	return q
}

// gradient is the derivative of a scalar by the unknowns of a few
// positions and by global unknowns.
type gradient struct {
	pos [numSlots]int // −1 where unused
	p   [numSlots][]float64
	g   []float64 // nil for none
}

// solveFor computes covariance times gradient into xG and xP, for the positions
// wanted (nil: only the gradient's own), and returns gradientᵀ·cov·gradient.
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
	q.m.solve(q.xG, xP)
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
	point   [numBody][3][3]float64
	segment [][3][3]float64 // by bodyLengths; rows those of its first end
	global  []float64
}

// covariances computes, once, the covariance of the global unknowns and of
// each position: with a = uᵀu, w = u⁻ᵀb and s = sᵤᵀsᵤ the Schur complement,
//
//	C_gg = s⁻¹,  C_pg = −u⁻¹ w s⁻¹,  C_pp = u⁻¹(I + w s⁻¹ wᵀ)u⁻ᵀ.
func (q *posterior) covariances() {
	if q.covG != nil || q.m == nil {
		return
	}
	m := q.m
	nG, nB := m.nG, m.nB
	q.covG = make([]float64, nG*nG)
	copy(q.covG, m.s)
	sym := blas64.Symmetric{Uplo: blas.Upper, N: nG, Stride: nG, Data: q.covG}
	lapack64.Potri(blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: nG, Stride: nG, Data: q.covG})
	for i := 0; i < nG; i++ {
		for j := 0; j < i; j++ {
			sym.Data[i*nG+j] = sym.Data[j*nG+i]
		}
	}
	inv := make([]float64, nB*nB)
	y := make([]float64, nB*nG)
	for p := range m.a {
		clear(inv)
		for i := 0; i < nB; i++ {
			inv[i*nB+i] = 1
		}
		u := m.tri(p)
		blas64.Trsm(blas.Left, blas.NoTrans, 1, u, blas64.General{Rows: nB, Cols: nB, Stride: nB, Data: inv})
		copy(y, m.w[p])
		ym := blas64.General{Rows: nB, Cols: nG, Stride: nG, Data: y}
		blas64.Trsm(blas.Left, blas.NoTrans, 1, u, ym)         // u⁻¹w
		blas64.Trsm(blas.Right, blas.NoTrans, 1, m.triG(), ym) // u⁻¹w sᵤ⁻¹
		c := blockCovariance{global: make([]float64, nB*nG)}
		entry := func(i, j int) float64 {
			return blas64.Dot(vec(inv[i*nB:(i+1)*nB]), vec(inv[j*nB:(j+1)*nB])) +
				blas64.Dot(vec(y[i*nG:(i+1)*nG]), vec(y[j*nG:(j+1)*nG]))
		}
		for pt := 0; pt < numBody; pt++ {
			for i := 0; i < 3; i++ {
				for j := i; j < 3; j++ {
					v := entry(3*pt+i, 3*pt+j)
					c.point[pt][i][j], c.point[pt][j][i] = v, v
				}
			}
		}
		c.segment = make([][3][3]float64, len(bodyLengths))
		for k, l := range bodyLengths {
			for i := 0; i < 3; i++ {
				for j := 0; j < 3; j++ {
					c.segment[k][i][j] = entry(3*int(l.a)+i, 3*int(l.b)+j)
				}
			}
		}
		copy(c.global, y)
		blas64.Trsm(blas.Right, blas.Trans, -1, m.triG(), blas64.General{Rows: nB, Cols: nG, Stride: nG, Data: c.global})
		q.block = append(q.block, c)
	}
}

// globalCovariance returns the 3×3 covariance of three global unknowns that
// start at index o.
func (q *posterior) globalCovariance(o int) (out [3][3]float64) {
	for i := range out {
		for j := range out {
			if q.m == nil {
				out[i][j] = math.Inf(1)
			} else {
				out[i][j] = q.covG[(o+i)*q.m.nG+o+j]
			}
		}
	}
	return out
}

// pixelCovariance is the 2×2 covariance of the picture of a point whose
// derivatives are pr, in a clip; pos is −1 and o the first index for a point
// of the global block.
func (q *posterior) pixelCovariance(pr *projection, clip, pos int, pt Point, o int) (out [2][2]float64) {
	nG := q.m.nG
	const n = camUnknowns + 3 // the camera, the time of the frame, what a mark is off by
	var at [n]int
	var jg [2][n]float64
	var jp [2][3]float64
	for a := range at {
		at[a] = clip*camUnknowns + a
	}
	at[camUnknowns], at[n-2], at[n-1] = pr.late, pr.stay, pr.stay+1
	for i := 0; i < 2; i++ {
		d, w := pr.dp[i], pr.dw[i]
		jg[i] = [n]float64{-d.X, -d.Y, -d.Z, w.X, w.Y, w.Z, pr.df[i], pr.dk[i], pr.dt[i]}
		jg[i][camUnknowns+1+i] = pr.staysPx
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
// half that of its wide prior: those the marks say next to nothing about.
func undetermined(c [3][3]float64, prior float64) int {
	if spread(c) < math.Sqrt(prior)*0.4 {
		return 0 // no eigenvalue of c exceeds its trace
	}
	var e mat.EigenSym
	s := mat.NewSymDense(3, []float64{c[0][0], c[0][1], c[0][2], c[0][1], c[1][1], c[1][2], c[0][2], c[1][2], c[2][2]})
	if !finite(s.RawSymmetric().Data...) || !e.Factorize(s, false) {
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
