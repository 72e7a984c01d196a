package geometry

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// band is the normal matrix of the fit through time: one block for each
// instant, which touches the next one, and a border of what all share.
//
//	| D0   E0            B0 |
//	| E0ᵀ  D1   E1       B1 |
//	|      E1ᵀ  D2   …   B2 |
//	| B0ᵀ  B1ᵀ  B2ᵀ  …   G  |
//
// Its Cholesky factor has the same shape, so that everything takes a time that
// grows linearly with the number of instants.
type band struct {
	n, nB, nG int
	d, e, b   [][]float64 // nB×nB upper triangle, nB×nB, nB×nG
	g         []float64   // nG×nG, upper triangle
	rhs       [][]float64
	rhsG      []float64

	// The factors: d = uᵀu, w = u⁻ᵀe, v = u⁻ᵀb, s of the border.
	u, w, v [][]float64
	s       []float64
}

func newBand(n, nB, nG int) *band {
	m := &band{n: n, nB: nB, nG: nG, g: make([]float64, nG*nG), s: make([]float64, nG*nG), rhsG: make([]float64, nG)}
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

func (m *band) clear() {
	clear(m.g)
	clear(m.rhsG)
	for i := range m.d {
		clear(m.d[i])
		clear(m.e[i])
		clear(m.b[i])
		clear(m.rhs[i])
	}
}

// bandRow is one residual's derivatives: by the blocks i and i+1, which count
// as one of twice the size, and by the border.
type bandRow struct {
	nl, ng int
	li, gi [48]int
	lv, gv [48]float64
}

func (r *bandRow) reset() { r.nl, r.ng = 0, 0 }
func (r *bandRow) local(i int, v float64) {
	r.li[r.nl], r.lv[r.nl] = i, v
	r.nl++
}
func (r *bandRow) global(i int, v float64) {
	r.gi[r.ng], r.gv[r.ng] = i, v
	r.ng++
}

// add accumulates a residual with weight w that touches the blocks i and i+1.
func (m *band) add(i int, r *bandRow, res, w float64) {
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

func general(rows, cols int, data []float64) blas64.General {
	return blas64.General{Rows: rows, Cols: cols, Stride: cols, Data: data}
}

func upper(n int, data []float64) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: n, Data: data}
}

// factor factorises the matrix with lambda times its diagonal added. It reports
// false when the matrix is not numerically positive definite.
func (m *band) factor(lambda float64) bool {
	nB, nG := m.nB, m.nG
	copy(m.s, m.g)
	for k := range nG {
		m.s[k*nG+k] *= 1 + lambda
	}
	sym := func(n int, data []float64) blas64.Symmetric {
		return blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: data}
	}
	for i := range m.d {
		u := m.u[i]
		copy(u, m.d[i])
		copy(m.v[i], m.b[i])
		for k := range nB {
			u[k*nB+k] *= 1 + lambda
		}
		if i > 0 {
			w := general(nB, nB, m.w[i-1])
			blas64.Syrk(blas.Trans, -1, w, 1, sym(nB, u))
			blas64.Gemm(blas.Trans, blas.NoTrans, -1, w, general(nB, nG, m.v[i-1]), 1, general(nB, nG, m.v[i]))
		}
		if _, ok := lapack64.Potrf(sym(nB, u)); !ok {
			return false
		}
		blas64.Trsm(blas.Left, blas.Trans, 1, upper(nB, u), general(nB, nG, m.v[i]))
		blas64.Syrk(blas.Trans, -1, general(nB, nG, m.v[i]), 1, sym(nG, m.s))
		if i+1 < m.n {
			copy(m.w[i], m.e[i])
			blas64.Trsm(blas.Left, blas.Trans, 1, upper(nB, u), general(nB, nB, m.w[i]))
		}
	}
	_, ok := lapack64.Potrf(sym(nG, m.s))
	return ok
}

// solve replaces right-hand sides, k columns each, by the solution of the
// factorised system: x holds a block of nB rows for each instant, xG one of nG.
func (m *band) solve(x [][]float64, xG []float64, k int) {
	nB, nG := m.nB, m.nG
	if k == 1 {
		m.solveOne(x, xG)
		return
	}
	for i := range x {
		xi := general(nB, k, x[i])
		if i > 0 {
			blas64.Gemm(blas.Trans, blas.NoTrans, -1, general(nB, nB, m.w[i-1]), general(nB, k, x[i-1]), 1, xi)
		}
		blas64.Trsm(blas.Left, blas.Trans, 1, upper(nB, m.u[i]), xi)
		blas64.Gemm(blas.Trans, blas.NoTrans, -1, general(nB, nG, m.v[i]), xi, 1, general(nG, k, xG))
	}
	blas64.Trsm(blas.Left, blas.Trans, 1, upper(nG, m.s), general(nG, k, xG))
	m.backward(x, xG, k)
}

// solveOne is solve for one column.
func (m *band) solveOne(x [][]float64, xG []float64) {
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

// backward turns k columns of u⁻ᵀ times right-hand sides into the solution.
// Given independent standard normal numbers it gives draws from the posterior.
func (m *band) backward(x [][]float64, xG []float64, k int) {
	nB, nG := m.nB, m.nG
	g := general(nG, k, xG)
	blas64.Trsm(blas.Left, blas.NoTrans, 1, upper(nG, m.s), g)
	for i := m.n - 1; i >= 0; i-- {
		xi := general(nB, k, x[i])
		if i+1 < m.n {
			blas64.Gemm(blas.NoTrans, blas.NoTrans, -1, general(nB, nB, m.w[i]), general(nB, k, x[i+1]), 1, xi)
		}
		blas64.Gemm(blas.NoTrans, blas.NoTrans, -1, general(nB, nG, m.v[i]), g, 1, xi)
		blas64.Trsm(blas.Left, blas.NoTrans, 1, upper(nB, m.u[i]), xi)
	}
}

// columns returns a block of zeros for each instant and for the border, k
// columns wide.
func (m *band) columns(k int) (x [][]float64, xG []float64) {
	for range m.n {
		x = append(x, make([]float64, m.nB*k))
	}
	return x, make([]float64, m.nG*k)
}

// blocks returns the covariance of each instant with itself (nB×nB) and with
// the border (nB×nG), and that of the border, exactly: with z all that comes
// after an instant, x = u⁻¹(ξ − w z₁ − v g), so that
//
//	Cov(x, x) = u⁻¹u⁻ᵀ + a Cov(z, z) aᵀ,  a = u⁻¹[w v].
func (m *band) blocks() (own, border [][]float64, g []float64) {
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
		blas64.Trsm(blas.Left, blas.NoTrans, 1, upper(nB, m.u[i]), general(nB, nZ, a))
		blas64.Gemm(blas.NoTrans, blas.NoTrans, -1, general(nB, nZ, a), general(nZ, nZ, z), 0, general(nB, nZ, az))
		own[i], border[i] = make([]float64, nB*nB), make([]float64, nB*nG)
		for r := range nB {
			own[i][r*nB+r] = 1
			copy(border[i][r*nG:][:nG], az[r*nZ+nB:])
		}
		blas64.Trsm(blas.Left, blas.Trans, 1, upper(nB, m.u[i]), general(nB, nB, own[i]))
		blas64.Trsm(blas.Left, blas.NoTrans, 1, upper(nB, m.u[i]), general(nB, nB, own[i]))
		blas64.Gemm(blas.NoTrans, blas.Trans, -1, general(nB, nZ, az), general(nB, nZ, a), 1, general(nB, nB, own[i]))
	}
	return own, border, g
}
