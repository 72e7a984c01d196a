package levmar

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// Band is a normal matrix of blocks in a chain: one block for each instant,
// which touches the next one, and a border of what all share.
//
//	| D0   E0            B0 |   | x0 |   | r0 |
//	| E0ᵀ  D1   E1       B1 |   | x1 |   | r1 |
//	|      E1ᵀ  D2   …   B2 | · | x2 | = | r2 |
//	|           …    …   ⋮  |   | ⋮  |   | ⋮  |
//	| B0ᵀ  B1ᵀ  B2ᵀ  …   G  |   | xG |   | rG |
//
// A residual may touch two neighbouring blocks and the border, which is what a
// Markov motion prior and an observation between two instants need. The
// Cholesky factor has the same shape,
//
//	UᵢᵀUᵢ = Dᵢ − Wᵢ₋₁ᵀWᵢ₋₁,  Wᵢ = Uᵢ⁻ᵀEᵢ,  Vᵢ = Uᵢ⁻ᵀ(Bᵢ − Wᵢ₋₁ᵀVᵢ₋₁),  S = G − Σ VᵢᵀVᵢ,
//
// so that everything takes a time that grows linearly with the number of
// instants: it is a Kalman smoother in information form, with the unknowns that
// do not change over time in the border (Särkkä & Svensson 2023, Bayesian
// Filtering and Smoothing, ch. 12; Golub & Van Loan, Matrix Computations, 4.3
// and 4.5).
type Band struct {
	// Number of blocks, their size and that of the border.
	n, nB, nG int
	d, e, b   [][]float64 // nB×nB upper triangle, nB×nB, nB×nG
	g         []float64   // nG×nG, upper triangle
	rhs       [][]float64
	rhsG      []float64

	// The factors: d = uᵀu, w = u⁻ᵀe, v = u⁻ᵀb, s of the border.
	u, w, v [][]float64
	s       []float64
}

// NewBand returns a matrix of zeros for n blocks of nB unknowns each and a border
// of nG.
func NewBand(n, nB, nG int) *Band {
	m := &Band{n: n, nB: nB, nG: nG, g: make([]float64, nG*nG), s: make([]float64, nG*nG), rhsG: make([]float64, nG)}
	for range n {
		m.d = append(m.d, make([]float64, nB*nB))
		m.e = append(m.e, make([]float64, nB*nB))
		m.b = append(m.b, make([]float64, nB*nG))
		m.u = append(m.u, make([]float64, nB*nB))
		m.w = append(m.w, make([]float64, nB*nB))
		m.v = append(m.v, make([]float64, nB*nG))
		m.rhs = append(m.rhs, make([]float64, nB))
	}
	return m
}

// Len returns the number of blocks.
func (m *Band) Len() int { return m.n }

// RHS returns the right-hand side of the normal equations, the gradient of the
// cost with its sign turned: one vector for each block, and that of the border.
func (m *Band) RHS() (blocks [][]float64, border []float64) { return m.rhs, m.rhsG }

// Clear zeroes the matrix and its right-hand side.
func (m *Band) Clear() {
	clear(m.g)
	clear(m.rhsG)
	for i := range m.d {
		clear(m.d[i])
		clear(m.e[i])
		clear(m.b[i])
		clear(m.rhs[i])
	}
}

// Add accumulates a residual with derivatives r and weight w that touches the
// blocks i and i+1: local index k of r is unknown k of block i below nB, and
// unknown k−nB of block i+1 from there on. i must be below the last block
// unless no index is beyond it.
func (m *Band) Add(i int, r *Row, res, w float64) {
	nB, nG := m.nB, m.nG
	for a := range r.nl {
		k, wv := r.li[a], w*r.lv[a]
		blk := i
		if k >= nB {
			blk, k = i+1, k-nB
		}
		m.rhs[blk][k] -= wv * res
		d, e, b := m.d[blk][k*nB:][:nB], m.e[i], m.b[blk][k*nG:][:nG]
		for c := range r.nl {
			l := r.li[c]
			switch {
			case l >= nB && blk == i:
				e[k*nB+l-nB] += wv * r.lv[c]
			case l >= nB || blk == i:
				if l >= nB {
					l -= nB
				}
				if l >= k {
					d[l] += wv * r.lv[c]
				}
			}
		}
		for c := range r.ng {
			b[r.gi[c]] += wv * r.gv[c]
		}
	}
	for a := range r.ng {
		k, wv := r.gi[a], w*r.gv[a]
		m.rhsG[k] -= wv * res
		g := m.g[k*nG:][:nG]
		for c := range r.ng {
			if l := r.gi[c]; l >= k {
				g[l] += wv * r.gv[c]
			}
		}
	}
}

// AddBorder adds v to the second derivative of the cost by the border's unknowns
// i and j, i not beyond j, for priors that are no sum of squares of a few of them.
//
// Only the upper triangle is kept; a term off the diagonal is added once.
func (m *Band) AddBorder(i, j int, v float64) { m.g[i*m.nG+j] += v }

// AddBorderGradient adds v to the derivative of the cost by the border's unknown
// i.
func (m *Band) AddBorderGradient(i int, v float64) { m.rhsG[i] -= v }

// general is a row-major matrix as BLAS takes it.
func general(rows, cols int, data []float64) blas64.General {
	return blas64.General{Rows: rows, Cols: cols, Stride: cols, Data: data}
}

// upper is an n×n upper triangle as BLAS takes it.
func upper(n int, data []float64) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: n, Data: data}
}

// Factor factorises the matrix with lambda times its diagonal added. It reports
// false when the matrix is not numerically positive definite, which by a proper
// prior of every unknown only rounding can bring about.
//
// Marquardt's damping scales the diagonal and does not add to it, so that the step does not
// depend on the units of the unknowns: metres, radians and their speeds stand side by side.
func (m *Band) Factor(lambda float64) bool {
	nB, nG := m.nB, m.nG
	copy(m.s, m.g)
	for k := range nG {
		m.s[k*nG+k] *= 1 + lambda
	}
	for i := range m.d {
		u := m.u[i]
		copy(u, m.d[i])
		copy(m.v[i], m.b[i])
		for k := range nB {
			u[k*nB+k] *= 1 + lambda
		}
		// What the block before has left of this one.
		if i > 0 {
			w := general(nB, nB, m.w[i-1])
			takeSquare(w, u)
			takeTransposed(w, general(nB, nG, m.v[i-1]), general(nB, nG, m.v[i]))
		}
		if !cholesky(nB, u) {
			return false
		}
		solveTransposed(nB, u, general(nB, nG, m.v[i]))
		takeSquare(general(nB, nG, m.v[i]), m.s)
		if i+1 < m.n {
			copy(m.w[i], m.e[i])
			solveTransposed(nB, u, general(nB, nB, m.w[i]))
		}
	}
	return cholesky(nG, m.s)
}

// Solve replaces right-hand sides, k columns each, by the solution of the
// factorised system: x holds a block of nB rows for each instant, xG one of nG,
// all row major. Forward substitution down the chain, then the border, then
// back up.
func (m *Band) Solve(x [][]float64, xG []float64, k int) {
	nB, nG := m.nB, m.nG
	if k == 1 {
		m.solveOne(x, xG)
		return
	}
	for i := range x {
		xi := general(nB, k, x[i])
		if i > 0 {
			takeTransposed(general(nB, nB, m.w[i-1]), general(nB, k, x[i-1]), xi)
		}
		solveTransposed(nB, m.u[i], xi)
		takeTransposed(general(nB, nG, m.v[i]), xi, general(nG, k, xG))
	}
	solveTransposed(nG, m.s, general(nG, k, xG))
	m.Backward(x, xG, k)
}

// solveOne is Solve for one column, by matrix-vector products.
//
// A step of the minimiser is one column, and matrix-matrix products of width one waste most of
// their time on being general.
func (m *Band) solveOne(x [][]float64, xG []float64) {
	nB, nG := m.nB, m.nG
	for i := range x {
		if i > 0 {
			blas64.Gemv(blas.Trans, -1, general(nB, nB, m.w[i-1]), vec(x[i-1]), 1, vec(x[i]))
		}
		blas64.Trsv(blas.Trans, upper(nB, m.u[i]), vec(x[i]))
		blas64.Gemv(blas.Trans, -1, general(nB, nG, m.v[i]), vec(x[i]), 1, vec(xG))
	}
	blas64.Trsv(blas.Trans, upper(nG, m.s), vec(xG))
	blas64.Trsv(blas.NoTrans, upper(nG, m.s), vec(xG))
	for i := m.n - 1; i >= 0; i-- {
		if i+1 < m.n {
			blas64.Gemv(blas.NoTrans, -1, general(nB, nB, m.w[i]), vec(x[i+1]), 1, vec(x[i]))
		}
		blas64.Gemv(blas.NoTrans, -1, general(nB, nG, m.v[i]), vec(xG), 1, vec(x[i]))
		blas64.Trsv(blas.NoTrans, upper(nB, m.u[i]), vec(x[i]))
	}
}

// Backward turns k columns of U⁻ᵀ times right-hand sides into the solution. If
// F is the whole factor, it computes F⁻¹ξ, and Cov(F⁻¹ξ) = (FᵀF)⁻¹ for ξ of
// unit covariance: given independent standard normal numbers it gives draws
// from the posterior (Rue & Held 2005, Gaussian Markov Random Fields, alg.
// 2.4).
func (m *Band) Backward(x [][]float64, xG []float64, k int) {
	nB, nG := m.nB, m.nG
	g := general(nG, k, xG)
	solveUpper(nG, m.s, g)
	for i := m.n - 1; i >= 0; i-- {
		xi := general(nB, k, x[i])
		if i+1 < m.n {
			take(general(nB, nB, m.w[i]), general(nB, k, x[i+1]), xi)
		}
		take(general(nB, nG, m.v[i]), g, xi)
		solveUpper(nB, m.u[i], xi)
	}
}

// Columns returns a block of zeros for each instant and for the border, k
// columns wide, as Solve takes them.
func (m *Band) Columns(k int) (x [][]float64, xG []float64) {
	for range m.n {
		x = append(x, make([]float64, m.nB*k))
	}
	return x, make([]float64, m.nG*k)
}

// Blocks returns the covariance of each instant with itself (nB×nB) and with
// the border (nB×nG), and that of the border (nG×nG), exactly, without
// inverting the whole. With z all that comes after an instant, which is the
// next block and the border, x = U⁻¹(ξ − W z₁ − V g), so that going up from the
// last instant
//
//	Cov(x, x) = U⁻¹U⁻ᵀ + A Cov(z, z) Aᵀ,  Cov(x, z) = −A Cov(z, z),  A = U⁻¹[W V].
//
// These are the entries of the inverse that lie where the factor has any
// (Takahashi, Fagan & Chin 1973; Erisman & Tinney 1975, Comm ACM 18:177).
func (m *Band) Blocks() (own, border [][]float64, g []float64) {
	nB, nG := m.nB, m.nG
	own, border = make([][]float64, m.n), make([][]float64, m.n)
	g = make([]float64, nG*nG)
	copy(g, m.s)
	lapack64.Potri(upper(nG, g))
	for i := range nG {
		for j := range i {
			g[i*nG+j] = g[j*nG+i]
		}
	}
	nZ := nB + nG
	// The covariance of what comes after: the next block, then the border.
	z, a, az := make([]float64, nZ*nZ), make([]float64, nB*nZ), make([]float64, nB*nZ)
	for i := m.n - 1; i >= 0; i-- {
		clear(a)
		clear(z)
		for r := range nB {
			if i+1 < m.n {
				copy(a[r*nZ:], m.w[i][r*nB:][:nB])
				copy(z[r*nZ:], own[i+1][r*nB:][:nB])
				copy(z[r*nZ+nB:], border[i+1][r*nG:][:nG])
			}
			copy(a[r*nZ+nB:], m.v[i][r*nG:][:nG])
		}
		for r := range nG {
			if i+1 < m.n {
				for c := range nB {
					z[(nB+r)*nZ+c] = border[i+1][c*nG+r]
				}
			}
			copy(z[(nB+r)*nZ+nB:], g[r*nG:][:nG])
		}
		solveUpper(nB, m.u[i], general(nB, nZ, a))
		clear(az)
		take(general(nB, nZ, a), general(nZ, nZ, z), general(nB, nZ, az))
		own[i], border[i] = make([]float64, nB*nB), make([]float64, nB*nG)
		for r := range nB {
			own[i][r*nB+r] = 1
			copy(border[i][r*nG:][:nG], az[r*nZ+nB:])
		}
		solveTransposed(nB, m.u[i], general(nB, nB, own[i]))
		solveUpper(nB, m.u[i], general(nB, nB, own[i]))
		blas64.Gemm(blas.NoTrans, blas.Trans, -1, general(nB, nZ, az), general(nB, nZ, a), 1, general(nB, nB, own[i]))
	}
	return own, border, g
}

// Step solves the factorised equations for the step, dX for each block and dG for
// the border, and returns half its product with the right-hand side, by which the
// linear model expects the cost to fall.
//
// With H x = r the model's fall is rᵀx − ½ xᵀHx = ½ rᵀx; with damping it falls a little less.
func (m *Band) Step(dX [][]float64, dG []float64) (expected float64) {
	for i := range dX {
		copy(dX[i], m.rhs[i])
	}
	copy(dG, m.rhsG)
	m.Solve(dX, dG, 1)
	for i := range dX {
		for j, v := range dX[i] {
			expected += 0.5 * v * m.rhs[i][j]
		}
	}
	for j, v := range dG {
		expected += 0.5 * v * m.rhsG[j]
	}
	return expected
}
