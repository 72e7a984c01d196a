package levmar

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/gonum"
)

// The matrices here are of some ten to a hundred rows, row major. For those, products row by
// row through the matrix-vector product, which takes four rows of a matrix in one pass over
// the result, are twice as fast in gonum as its matrix-matrix routines, which add one row at
// a time, and the blocking of its Cholesky factorisation costs more than it gains
// (BenchmarkFactor). The arithmetic is the same but for the order of sums.

// solveTransposed replaces b, n×m, by U⁻ᵀb, U being the upper triangle of u, n×n. Forward
// substitution: row i of the result is (bᵢ − Σ_{k<i} Uₖᵢ xₖ)/Uᵢᵢ, the sum a product of the
// rows above with a column of U (Golub & Van Loan, Matrix Computations, 3.1).
func solveTransposed(n int, u []float64, b blas64.General) {
	if b.Cols == 0 {
		return
	}
	column := make([]float64, n)
	for i := range n {
		for k := range i {
			column[k] = u[k*n+i]
		}
		row := vec(b.Data[i*b.Stride : i*b.Stride+b.Cols])
		if i > 0 {
			above := blas64.General{Rows: i, Cols: b.Cols, Stride: b.Stride, Data: b.Data}
			blas64.Gemv(blas.Trans, -1, above, vec(column[:i]), 1, row)
		}
		blas64.Scal(1/u[i*n+i], row)
	}
}

// solveUpper replaces b, n×m, by U⁻¹b: back substitution, row i being
// (bᵢ − Σ_{k>i} Uᵢₖ xₖ)/Uᵢᵢ.
func solveUpper(n int, u []float64, b blas64.General) {
	if b.Cols == 0 {
		return
	}
	for i := n - 1; i >= 0; i-- {
		row := vec(b.Data[i*b.Stride : i*b.Stride+b.Cols])
		if i+1 < n {
			below := blas64.General{Rows: n - i - 1, Cols: b.Cols, Stride: b.Stride, Data: b.Data[(i+1)*b.Stride:]}
			blas64.Gemv(blas.Trans, -1, below, vec(u[i*n+i+1:(i+1)*n]), 1, row)
		}
		blas64.Scal(1/u[i*n+i], row)
	}
}

// takeSquare takes wᵀw off the upper triangle of s, w being r×n and s n×n: what eliminating
// the unknowns of a block leaves of those it touches (the Schur complement).
func takeSquare(w blas64.General, s []float64) {
	n := w.Cols
	column := make([]float64, w.Rows)
	for i := range n {
		for k := range column {
			column[k] = w.Data[k*w.Stride+i]
		}
		right := blas64.General{Rows: w.Rows, Cols: n - i, Stride: w.Stride, Data: w.Data[i:]}
		blas64.Gemv(blas.Trans, -1, right, vec(column), 1, vec(s[i*n+i:(i+1)*n]))
	}
}

// takeTransposed takes aᵀb off c, a being r×n, b r×m and c n×m.
func takeTransposed(a, b, c blas64.General) {
	if c.Cols == 0 {
		return
	}
	column := make([]float64, a.Rows)
	for i := range a.Cols {
		for k := range column {
			column[k] = a.Data[k*a.Stride+i]
		}
		blas64.Gemv(blas.Trans, -1, b, vec(column), 1, vec(c.Data[i*c.Stride:i*c.Stride+c.Cols]))
	}
}

// take takes ab off c, a being n×r, b r×m and c n×m.
func take(a, b, c blas64.General) {
	if a.Cols == 0 || c.Cols == 0 {
		return
	}
	for i := range a.Rows {
		blas64.Gemv(blas.Trans, -1, b, vec(a.Data[i*a.Stride:i*a.Stride+a.Cols]), 1, vec(c.Data[i*c.Stride:i*c.Stride+c.Cols]))
	}
}

// transpose writes the transpose of a, n×m, into at, m×n.
func transpose(at, a blas64.General) {
	for i := range a.Rows {
		for j, v := range a.Data[i*a.Stride : i*a.Stride+a.Cols] {
			at.Data[j*at.Stride+i] = v
		}
	}
}

// cholesky replaces the upper triangle of a, n×n, by U with UᵀU = a, and reports whether a is
// numerically positive definite.
func cholesky(n int, a []float64) bool {
	return n == 0 || gonum.Implementation{}.Dpotf2(blas.Upper, n, a, n)
}
