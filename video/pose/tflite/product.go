package tflite

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/gonum"
)

// matrix is the filters of a convolution.
type matrix struct {
	depth, width int
	v            []float32 // depth rows of width
}

// newMatrix makes a matrix of filters stored one after the other.
func newMatrix(filters []float32, n, depth int) matrix {
	m := matrix{depth, n, make([]float32, len(filters))}
	for i := range n {
		for k := range depth {
			m.v[k*n+i] = filters[i*depth+k]
		}
	}
	return m
}

// multiply sets out to rows × m, the bias added to each row.
func (m *matrix) multiply(out, rows []float32, n int, bias []float32) {
	for i := range n {
		copy(out[i*m.width:][:m.width], bias)
	}
	gonum.Implementation{}.Sgemm(blas.NoTrans, blas.NoTrans, n, m.width, m.depth,
		1, rows, m.depth, m.v, m.width, 1, out, m.width)
}
