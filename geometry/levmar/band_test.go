package levmar

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// TestBandAgainstDense holds the banded factor, its solutions, covariances and
// draws against gonum's dense algebra on the same matrix.
func TestBandAgainstDense(t *testing.T) {
	const n, nB, nG = 5, 4, 3
	r := rand.New(rand.NewPCG(1, 1))
	m := NewBand(n, nB, nG)
	size := n*nB + nG
	dense, rhs := mat.NewSymDense(size, nil), mat.NewVecDense(size, nil)
	for range 200 {
		i := r.IntN(n - 1)
		var row Row
		full := mat.NewVecDense(size, nil)
		for k := range 2 * nB {
			if r.Float64() < 0.6 {
				v := r.NormFloat64()
				row.Local(k, v)
				full.SetVec(i*nB+k, v)
			}
		}
		for k := range nG {
			v := r.NormFloat64()
			row.Global(k, v)
			full.SetVec(n*nB+k, v)
		}
		res, w := r.NormFloat64(), 0.5+r.Float64()
		m.Add(i, &row, res, w)
		dense.SymRankOne(dense, w, full)
		rhs.AddScaledVec(rhs, -w*res, full)
	}
	require.True(t, m.Factor(0))
	var chol mat.Cholesky
	require.True(t, chol.Factorize(dense))
	var want mat.VecDense
	require.NoError(t, chol.SolveVecTo(&want, rhs))
	for _, k := range []int{1, 3} {
		x, xG := m.Columns(k)
		for i := range x {
			for j := range nB {
				x[i][j*k] = m.rhs[i][j]
			}
		}
		for j := range nG {
			xG[j*k] = m.rhsG[j]
		}
		m.Solve(x, xG, k)
		for i := range n {
			for j := range nB {
				assert.InDelta(t, want.AtVec(i*nB+j), x[i][j*k], 1e-10)
			}
		}
		for j := range nG {
			assert.InDelta(t, want.AtVec(n*nB+j), xG[j*k], 1e-10)
		}
	}
	var inv mat.SymDense
	require.NoError(t, chol.InverseTo(&inv))
	own, border, g := m.Blocks()
	for i := range n {
		for a := range nB {
			for b := range nB {
				assert.InDelta(t, inv.At(i*nB+a, i*nB+b), own[i][a*nB+b], 1e-10)
			}
			for b := range nG {
				assert.InDelta(t, inv.At(i*nB+a, n*nB+b), border[i][a*nG+b], 1e-10)
			}
		}
	}
	for a := range nG {
		for b := range nG {
			assert.InDelta(t, inv.At(n*nB+a, n*nB+b), g[a*nG+b], 1e-10)
		}
	}
	// Draws: the covariance of u⁻¹ applied to the unit matrix is the inverse.
	x, xG := m.Columns(size)
	for i := range n {
		for a := range nB {
			x[i][a*size+i*nB+a] = 1
		}
	}
	for a := range nG {
		xG[a*size+n*nB+a] = 1
	}
	m.Backward(x, xG, size)
	rows := append([]float64(nil), x[0][:size]...)
	other := x[2][3*size:][:size]
	var c float64
	for i := range rows {
		c += rows[i] * other[i]
	}
	assert.InDelta(t, inv.At(0, 2*nB+3), c, 1e-10)
}
