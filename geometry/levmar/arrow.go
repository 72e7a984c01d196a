package levmar

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// Arrow is a normal matrix shaped like an arrow head: one dense block for each
// key position, which touches only itself and the shared (global) unknowns, and
// one dense block for those.
//
//	| G    B0ᵀ  B1ᵀ … |   | xG |   | rG |
//	| B0   A0         |   | x0 |   | r0 |
//	| B1        A1    | · | x1 | = | r1 |
//	| ⋮            ⋱  |   | ⋮  |   | ⋮  |
//
// Eliminating the position blocks onto the global block (the Schur complement)
// solves it in a time that grows linearly with the number of positions: with Aₚ
// = UₚᵀUₚ and Wₚ = Uₚ⁻ᵀBₚ,
//
//	S = G − Σ WₚᵀWₚ,   S xG = rG − Σ Wₚᵀ Uₚ⁻ᵀ rₚ,   Uₚ xₚ = Uₚ⁻ᵀ rₚ − Wₚ xG.
//
// For 7 positions of 69 unknowns and 60 shared ones a factorisation takes some
// 4 million multiplications, a dense one of the same 543 unknowns 53 million
// (Triggs et al. 2000, section 6; Golub & Van Loan, Matrix Computations, 4.2).
type Arrow struct {
	// Sizes of the global block and of each position's.
	nG, nB int
	g      []float64   // nG×nG, row major, upper triangle used
	a      [][]float64 // each nB×nB, upper triangle used
	b      [][]float64 // each nB×nG
	// The right-hand side is the gradient of the cost with its sign turned.
	rhsG []float64
	rhsP [][]float64
	// c holds what the second derivatives of the segments' lengths add to a:
	// the difference between Newton's matrix and Gauss-Newton's.
	c [][]float64

	// The factors: a = uᵀu, w = u⁻ᵀb, s = g − Σwᵀw = sUᵀ sU.
	u, w [][]float64
	s    []float64
	// fixedG says that the factors hold the global unknowns at their values.
	fixedG bool
	// active lists the positions that take part; the others are held.
	active []bool
}

// NewArrow returns a matrix of zeros for nG global unknowns and nP blocks of nB
// unknowns each, of which none is active.
func NewArrow(nG, nB, nP int) *Arrow {
	m := &Arrow{nG: nG, nB: nB,
		g: make([]float64, nG*nG), rhsG: make([]float64, nG), s: make([]float64, nG*nG),
		active: make([]bool, nP)}
	for i := 0; i < nP; i++ {
		m.a = append(m.a, make([]float64, nB*nB))
		m.b = append(m.b, make([]float64, nB*nG))
		m.c = append(m.c, make([]float64, nB*nB))
		m.u = append(m.u, make([]float64, nB*nB))
		m.w = append(m.w, make([]float64, nB*nG))
		m.rhsP = append(m.rhsP, make([]float64, nB))
	}
	return m
}

// SetActive says which blocks take part; those that don't are held at their
// values.
func (m *Arrow) SetActive(active []bool) { copy(m.active, active) }

// Clear zeroes the parts that belong to the active positions and the global
// block.
func (m *Arrow) Clear() {
	clear(m.g)
	clear(m.rhsG)
	for i := range m.a {
		if m.active[i] {
			clear(m.a[i])
			clear(m.b[i])
			clear(m.c[i])
			clear(m.rhsP[i])
		}
	}
}

// Add accumulates one residual: with j its derivatives, w jjᵀ goes to the
// matrix and −w·res·j to the right-hand side. pos is −1 for a residual of
// global unknowns alone. The weight is the inverse of the residual's variance,
// times the weight of the robust loss where it has one. Only the upper
// triangles of G and Aₚ are kept, so entries are added where column ≥ row;
// indices in r need not be sorted.
func (m *Arrow) Add(pos int, r *Row, res, w float64) {
	nG, nB := m.nG, m.nB
	for i := 0; i < r.ng; i++ {
		gi, wv := r.gi[i], w*r.gv[i]
		m.rhsG[gi] -= wv * res
		base := gi * nG
		for j := 0; j < r.ng; j++ {
			if gj := r.gi[j]; gj >= gi {
				m.g[base+gj] += wv * r.gv[j]
			}
		}
	}
	if pos < 0 {
		return
	}
	a, b, rhs := m.a[pos], m.b[pos], m.rhsP[pos]
	for i := 0; i < r.nl; i++ {
		li, wv := r.li[i], w*r.lv[i]
		rhs[li] -= wv * res
		base := li * nB
		for j := 0; j < r.nl; j++ {
			if lj := r.li[j]; lj >= li {
				a[base+lj] += wv * r.lv[j]
			}
		}
		base = li * nG
		for j := 0; j < r.ng; j++ {
			b[base+r.gi[j]] += wv * r.gv[j]
		}
	}
}

// Curve adds k·h to the second derivatives of a block by two of its triples of
// unknowns, a place each, whose first are i and j. Those with i beyond j are left
// out, since the lower triangle is not kept.
//
// Gauss-Newton leaves out Σ rᵢ ∂²rᵢ, which is nothing where residuals are small or linear.
// A segment's length |a − b| is neither where one picture leaves its depth open: its second
// derivative is (I − uuᵀ)/|a − b|, and with it the covariance there is right.
func (m *Arrow) Curve(pos, i, j int, k float64, h *[3][3]float64) {
	if pos < 0 || i > j {
		return
	}
	c := m.c[pos]
	for r := range 3 {
		for s := range 3 {
			if ri, sj := i+r, j+s; sj >= ri {
				c[ri*m.nB+sj] += k * h[r][s]
			}
		}
	}
}

// Factor factorises the matrix with lambda times the diagonal of the
// Gauss-Newton matrix added (Marquardt's scaling, which makes a step
// independent of the units of the unknowns); newton takes in the second
// derivatives, which are not damped. It reports false when the matrix is not
// numerically positive definite: with newton that may well happen away from a
// minimum, without it only by rounding, since every unknown has a prior.
func (m *Arrow) Factor(lambda float64, fixedG, newton bool) bool {
	nG, nB := m.nG, m.nB
	m.fixedG = fixedG
	if !fixedG {
		copy(m.s, m.g)
		for i := 0; i < nG; i++ {
			m.s[i*nG+i] *= 1 + lambda
		}
	}
	for p := range m.a {
		if !m.active[p] {
			continue
		}
		copy(m.u[p], m.a[p])
		for i := 0; i < nB; i++ {
			m.u[p][i*nB+i] *= 1 + lambda
		}
		if newton {
			blas64.Axpy(1, vec(m.c[p]), vec(m.u[p]))
		}
		if !cholesky(nB, m.u[p]) {
			return false
		}
		if fixedG {
			continue
		}
		copy(m.w[p], m.b[p])
		// W = U⁻ᵀB, then S −= WᵀW.
		w := general(nB, nG, m.w[p])
		solveTransposed(nB, m.u[p], w)
		takeSquare(w, m.s)
	}
	if fixedG {
		return true
	}
	return cholesky(nG, m.s)
}

// tri is the factor of position p as BLAS takes it.
func (m *Arrow) tri(p int) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: m.nB, Stride: m.nB, Data: m.u[p]}
}

// triG is the factor of the Schur complement.
func (m *Arrow) triG() blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: m.nG, Stride: m.nG, Data: m.s}
}

// vec is a slice as BLAS takes a vector.
func vec(x []float64) blas64.Vector { return blas64.Vector{N: len(x), Inc: 1, Data: x} }

// Solve replaces the right-hand side xG, xP by the solution of the factorised
// system. A nil entry of xP stands for zeros on the way in and is not computed
// on the way out, which saves most of the work where a gradient touches two
// positions of seven.
func (m *Arrow) Solve(xG []float64, xP [][]float64) {
	for p := range m.a {
		if m.active[p] && xP[p] != nil {
			m.forward(p, xP[p], xG)
		}
	}
	if m.fixedG {
		clear(xG)
	} else {
		blas64.Trsv(blas.Trans, m.triG(), vec(xG))
		blas64.Trsv(blas.NoTrans, m.triG(), vec(xG))
	}
	for p := range m.a {
		if m.active[p] && xP[p] != nil {
			m.backward(p, xP[p], xG)
		}
	}
}

// forward turns x into U⁻ᵀx and takes its part Wᵀ U⁻ᵀx off the global side.
func (m *Arrow) forward(p int, x, xG []float64) {
	blas64.Trsv(blas.Trans, m.tri(p), vec(x))
	if !m.fixedG {
		w := blas64.General{Rows: m.nB, Cols: m.nG, Stride: m.nG, Data: m.w[p]}
		blas64.Gemv(blas.Trans, -1, w, vec(x), 1, vec(xG))
	}
}

// backward finishes what forward began, once the global side xG is solved: x
// becomes U⁻¹(x − W xG).
func (m *Arrow) backward(p int, x, xG []float64) {
	if !m.fixedG {
		w := blas64.General{Rows: m.nB, Cols: m.nG, Stride: m.nG, Data: m.w[p]}
		blas64.Gemv(blas.NoTrans, -1, w, vec(xG), 1, vec(x))
	}
	blas64.Trsv(blas.NoTrans, m.tri(p), vec(x))
}

// Step solves the factorised equations for the step: dG for the global unknowns,
// zeros where they are held, dP for each block, zeros where it is not active. It
// returns half the product of the step with the right-hand side, by which the
// linear model expects the cost to fall.
func (m *Arrow) Step(dG []float64, dP [][]float64) (expected float64) {
	copy(dG, m.rhsG)
	for p := range dP {
		if m.active[p] {
			copy(dP[p], m.rhsP[p])
		} else {
			clear(dP[p])
		}
	}
	m.Solve(dG, dP)
	if !m.fixedG {
		for i, d := range dG {
			expected += 0.5 * d * m.rhsG[i]
		}
	}
	for p := range dP {
		if m.active[p] {
			for i, d := range dP[p] {
				expected += 0.5 * d * m.rhsP[p][i]
			}
		}
	}
	return expected
}

// GlobalCovariance returns the covariance of the global unknowns, nG×nG: the
// inverse s⁻¹ of the Schur complement. The matrix must have been factorised
// without damping and with the global unknowns free.
func (m *Arrow) GlobalCovariance() []float64 {
	nG := m.nG
	out := make([]float64, nG*nG)
	copy(out, m.s)
	lapack64.Potri(blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: nG, Stride: nG, Data: out})
	for i := 0; i < nG; i++ {
		for j := 0; j < i; j++ {
			out[i*nG+j] = out[j*nG+i]
		}
	}
	return out
}

// BlockCovariance gives the covariance of one block with itself and with the
// global unknowns. It is filled by Arrow.BlockCovariance and may be used again
// for another block of the same matrix.
type BlockCovariance struct {
	m   *Arrow
	inv []float64 // u⁻¹, nB×nB
	y   []float64 // u⁻¹ w sU⁻¹, nB×nG
	yt  []float64 // its transpose, nG×nB
}

// BlockCovariance prepares c for block p: with a = uᵀu, w = u⁻ᵀb and s = sUᵀsU
// the Schur complement,
//
//	C_gg = s⁻¹,  C_pg = −u⁻¹ w s⁻¹,  C_pp = u⁻¹(I + w s⁻¹ wᵀ)u⁻ᵀ.
//
// Entries of C_pp are worked out one by one, since few of them are wanted.
func (m *Arrow) BlockCovariance(p int, c *BlockCovariance) {
	nG, nB := m.nG, m.nB
	if c.m != m {
		*c = BlockCovariance{m: m, inv: make([]float64, nB*nB), y: make([]float64, nB*nG), yt: make([]float64, nG*nB)}
	}
	clear(c.inv)
	for i := 0; i < nB; i++ {
		c.inv[i*nB+i] = 1
	}
	solveUpper(nB, m.u[p], general(nB, nB, c.inv))
	copy(c.y, m.w[p])
	y, yt := general(nB, nG, c.y), general(nG, nB, c.yt)
	solveUpper(nB, m.u[p], y)
	// From the right is from the left of the transpose: (x sU⁻¹)ᵀ = sU⁻ᵀxᵀ.
	transpose(yt, y)
	solveTransposed(nG, m.s, yt)
	transpose(y, yt)
}

// At returns the covariance of two unknowns of the block.
//
// C_pp = u⁻¹u⁻ᵀ + (u⁻¹ w sU⁻¹)(…)ᵀ is the sum of two products of a matrix with its transpose, so
// that an entry is two dot products of rows.
func (c *BlockCovariance) At(i, j int) float64 {
	nB, nG := c.m.nB, c.m.nG
	return blas64.Dot(vec(c.inv[i*nB:(i+1)*nB]), vec(c.inv[j*nB:(j+1)*nB])) +
		blas64.Dot(vec(c.y[i*nG:(i+1)*nG]), vec(c.y[j*nG:(j+1)*nG]))
}

// WithGlobal returns the covariance of the block's unknowns with the global ones,
// nB×nG.
//
// From C_pg = −u⁻¹ w s⁻¹ with y = u⁻¹ w sU⁻¹ it is −y sU⁻ᵀ, whose transpose is −sU⁻¹yᵀ.
func (c *BlockCovariance) WithGlobal() []float64 {
	nB, nG := c.m.nB, c.m.nG
	t, out := append([]float64(nil), c.yt...), make([]float64, nB*nG)
	solveUpper(nG, c.m.s, general(nG, nB, t))
	transpose(general(nB, nG, out), general(nG, nB, t))
	blas64.Scal(-1, vec(out))
	return out
}

// LogDeterminant is the natural logarithm of the determinant of the factorised
// matrix, all blocks and the global unknowns taking part.
//
// The determinant of a Cholesky factor is the product of its diagonal, that of the matrix its
// square; the Schur complement makes it |A| = Π|Aₚ|·|S|.
func (m *Arrow) LogDeterminant() float64 {
	var sum float64
	for i := 0; i < m.nG; i++ {
		sum += math.Log(m.s[i*m.nG+i])
	}
	for p := range m.u {
		for i := 0; i < m.nB; i++ {
			sum += math.Log(m.u[p][i*m.nB+i])
		}
	}
	return 2 * sum
}
