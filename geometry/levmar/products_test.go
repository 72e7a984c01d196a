package levmar

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

func numbers(r *rand.Rand, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = r.NormFloat64()
	}
	return out
}

// definite is a random positive definite matrix, full.
func definite(r *rand.Rand, n int) []float64 {
	j, a := numbers(r, 2*n*n), make([]float64, n*n)
	blas64.Gemm(blas.Trans, blas.NoTrans, 1, general(2*n, n, j), general(2*n, n, j), 0, general(n, n, a))
	return a
}

// The products and factors are those of gonum's own matrix-matrix routines.
func TestProducts(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 9))
	for _, size := range [][2]int{{1, 1}, {1, 5}, {7, 1}, {12, 0}, {69, 60}, {90, 130}} {
		n, m := size[0], size[1]
		same := func(what string, want, got []float64) {
			t.Helper()
			assert.InDeltaSlice(t, want, got, 1e-9, "%s of %v", what, size)
		}
		a := definite(r, n)
		u, v := slices.Clone(a), slices.Clone(a)
		_, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: u})
		require.True(t, ok)
		require.True(t, cholesky(n, v))
		same("the factor", u, v)
		v[0] = -1
		assert.False(t, cholesky(n, v))
		if m == 0 { // gonum's refuse it
			solveTransposed(n, u, general(n, m, nil))
			solveUpper(n, u, general(n, m, nil))
			takeSquare(general(n, m, nil), nil)
			take(general(n, n, u), general(n, m, nil), general(n, m, nil))
			takeTransposed(general(n, n, u), general(n, m, nil), general(n, m, nil))
			continue
		}
		b := numbers(r, n*m)
		for _, transposed := range []blas.Transpose{blas.Trans, blas.NoTrans} {
			want, got := slices.Clone(b), slices.Clone(b)
			blas64.Trsm(blas.Left, transposed, 1, upper(n, u), general(n, m, want))
			if transposed == blas.Trans {
				solveTransposed(n, u, general(n, m, got))
			} else {
				solveUpper(n, u, general(n, m, got))
			}
			same("the solution", want, got)

			c := numbers(r, n*m)
			got = slices.Clone(c)
			blas64.Gemm(transposed, blas.NoTrans, -1, general(n, n, a), general(n, m, b), 1, general(n, m, c))
			if transposed == blas.Trans {
				takeTransposed(general(n, n, a), general(n, m, b), general(n, m, got))
			} else {
				take(general(n, n, a), general(n, m, b), general(n, m, got))
			}
			same("the product", c, got)
		}
		s := definite(r, m)
		got := slices.Clone(s)
		blas64.Syrk(blas.Trans, -1, general(n, m, b), 1, blas64.Symmetric{Uplo: blas.Upper, N: m, Stride: m, Data: s})
		takeSquare(general(n, m, b), got)
		same("the square", s, got)
	}
}

// BenchmarkFactor factorises a matrix of the sizes of a swing of seven key positions.
func BenchmarkFactor(b *testing.B) {
	const positions, nB, nG = 7, 69, 60
	r := rand.New(rand.NewPCG(1, 2))
	m := NewArrow(nG, nB, positions)
	copy(m.g, definite(r, nG))
	for i := range nG {
		m.g[i*nG+i] += 1e4
	}
	for p := range positions {
		m.active[p] = true
		copy(m.a[p], definite(r, nB))
		copy(m.b[p], numbers(r, nB*nG))
	}
	b.Run(fmt.Sprintf("%d of %d and %d", positions, nB, nG), func(b *testing.B) {
		for b.Loop() {
			if !m.Factor(0, false, false) {
				b.Fatal("not positive definite")
			}
		}
	})
}
