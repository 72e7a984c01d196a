package geometry

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// arrow is the normal matrix of the fit, shaped like an arrow head: one dense
// block for each key position, which touches only itself and the shared
// (global) unknowns, and one dense block for those.
//
//	| G    B0ᵀ  B1ᵀ … |
//	| B0   A0         |
//	| B1        A1    |
//
// Eliminating the position blocks onto the global block (the Schur complement)
// solves it in a time that grows linearly with the number of positions.
type arrow struct {
	nG, nB int
	g      []float64   // nG×nG, row major, upper triangle used
	a      [][]float64 // each nB×nB, upper triangle used
	b      [][]float64 // each nB×nG
	rhsG   []float64
	rhsP   [][]float64
	// c holds what the second derivatives of the segments' lengths add to a:
	// the difference between Newton's matrix and Gauss-Newton's.
	c [][]float64

	// The factors: a = uᵀu, w = u⁻ᵀb, s = g − Σwᵀw = sUᵀ sU.
	u, w [][]float64
	s    []float64
	// fixedG says that the factors hold the global unknowns at their values.
	fixedG bool
	active []bool
	tmpG   []float64
}

func newArrow(nG, nB, nP int) *arrow {
	m := &arrow{nG: nG, nB: nB,
		g: make([]float64, nG*nG), rhsG: make([]float64, nG), s: make([]float64, nG*nG),
		tmpG: make([]float64, nG), active: make([]bool, nP)}
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

// clear zeroes the parts that belong to the active positions and the global
// block.
func (m *arrow) clear() {
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

// row is one residual's derivatives: global entries and entries of one
// position's block.
type row struct {
	ng, nl int
	gi, li [28]int
	gv, lv [28]float64
}

func (r *row) reset()                  { r.ng, r.nl = 0, 0 }
func (r *row) global(i int, v float64) { r.gi[r.ng], r.gv[r.ng] = i, v; r.ng++ }
func (r *row) local(i int, v float64)  { r.li[r.nl], r.lv[r.nl] = i, v; r.nl++ }

// add accumulates a residual res with derivatives r and weight w; pos is −1
// for a residual of global unknowns alone.
func (m *arrow) add(pos int, r *row, res, w float64) {
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

// curve adds k·h to the second derivatives by the points a and b of a
// position, times their coefficients ca and cb.
func (m *arrow) curve(pos int, a, b Point, k float64, h *[3][3]float64) {
	if pos < 0 || a > b {
		return // the lower triangle is not kept
	}
	c := m.c[pos]
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			if ri, rj := 3*int(a)+i, 3*int(b)+j; rj >= ri {
				c[ri*m.nB+rj] += k * h[i][j]
			}
		}
	}
}

// factor factorises the matrix with lambda times the diagonal of the
// Gauss-Newton matrix added; newton takes in the second derivatives. It
// reports false when the matrix is not numerically positive definite.
func (m *arrow) factor(lambda float64, fixedG, newton bool) bool {
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
		sym := blas64.Symmetric{Uplo: blas.Upper, N: nB, Stride: nB, Data: m.u[p]}
		if _, ok := lapack64.Potrf(sym); !ok {
			return false
		}
		if fixedG {
			continue
		}
		copy(m.w[p], m.b[p])
		w := blas64.General{Rows: nB, Cols: nG, Stride: nG, Data: m.w[p]}
		blas64.Trsm(blas.Left, blas.Trans, 1, m.tri(p), w)
		blas64.Syrk(blas.Trans, -1, w, 1, blas64.Symmetric{Uplo: blas.Upper, N: nG, Stride: nG, Data: m.s})
	}
	if fixedG {
		return true
	}
	_, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: nG, Stride: nG, Data: m.s})
	return ok
}

func (m *arrow) tri(p int) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: m.nB, Stride: m.nB, Data: m.u[p]}
}

func (m *arrow) triG() blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: m.nG, Stride: m.nG, Data: m.s}
}

func vec(x []float64) blas64.Vector { return blas64.Vector{N: len(x), Inc: 1, Data: x} }

// solve replaces the right-hand side xG, xP by the solution of the factorised
// system. A nil entry of xP stands for zeros on the way in and is not computed
// on the way out.
func (m *arrow) solve(xG []float64, xP [][]float64) {
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

// forward turns x into u⁻ᵀx and takes its part off the global side.
func (m *arrow) forward(p int, x, xG []float64) {
	blas64.Trsv(blas.Trans, m.tri(p), vec(x))
	if !m.fixedG {
		w := blas64.General{Rows: m.nB, Cols: m.nG, Stride: m.nG, Data: m.w[p]}
		blas64.Gemv(blas.Trans, -1, w, vec(x), 1, vec(xG))
	}
}

// backward finishes what forward began, once the global side xG is solved.
func (m *arrow) backward(p int, x, xG []float64) {
	if !m.fixedG {
		w := blas64.General{Rows: m.nB, Cols: m.nG, Stride: m.nG, Data: m.w[p]}
		blas64.Gemv(blas.NoTrans, -1, w, vec(xG), 1, vec(x))
	}
	blas64.Trsv(blas.NoTrans, m.tri(p), vec(x))
}

// sq is the square of a number.
func sq(x float64) float64 { return x * x }
