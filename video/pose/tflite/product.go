package tflite

/*
#cgo LDFLAGS: -l:libblis.a -lm
#cgo linux LDFLAGS: -lpthread
#cgo windows LDFLAGS: -l:libwinpthread.a
#include <blis-serial/cblas.h>
*/
import "C"

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

// multiply sets out to rows × m, the bias added to each row. BLIS has its kernels for
// each processor: 20 to 40 times as fast as gonum's Sgemm on matrices this narrow.
func (m *matrix) multiply(out, rows []float32, n int, bias []float32) {
	for i := range n {
		copy(out[i*m.width:][:m.width], bias)
	}
	if n == 0 || m.width == 0 || m.depth == 0 {
		return
	}
	depth, width := C.f77_int(m.depth), C.f77_int(m.width)
	C.cblas_sgemm(C.CblasRowMajor, C.CblasNoTrans, C.CblasNoTrans, C.f77_int(n), width, depth,
		1, pointer(rows[:n*m.depth]), depth, pointer(m.v), width, 1, pointer(out[:n*m.width]), width)
}

func pointer(v []float32) *C.float { return (*C.float)(&v[0]) }
