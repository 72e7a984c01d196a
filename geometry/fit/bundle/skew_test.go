package bundle

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
)

// The third derivatives of a segment's cost, contracted with the covariance,
// against differences: with C = Σ vvᵀ they are the gradient of Σ vᵀ∂²v.
func TestThirdDerivativesOfSegments(t *testing.T) {
	s := film(t, 8, filmed{views: []geometry.View{geometry.FaceOn}})
	post := s.e.Posterior(s.st)
	post.Covariances()
	const pos = 1
	for _, k := range []int{12, 14, 20} {
		l := &geometry.BodySegments[k]
		at := s.p.oLengths + l.Segment
		nG := s.p.nG
		_, by := s.p.segmentLength(s.st, k)
		side := by[1]
		// The covariance of the ends, the logarithm of the length and the
		// difference of the sides.
		c := mat.NewSymDense(8, nil)
		block := &post.block[pos]
		for i := 0; i < 3; i++ {
			for j := 0; j < 3; j++ {
				c.SetSym(i, 3+j, block.segment[k][i][j])
				if j >= i {
					c.SetSym(i, j, block.point[l.A][i][j])
					c.SetSym(3+i, 3+j, block.point[l.B][i][j])
				}
			}
			c.SetSym(i, 6, block.global[(3*int(l.A)+i)*nG+at])
			c.SetSym(3+i, 6, block.global[(3*int(l.B)+i)*nG+at])
			c.SetSym(i, 7, block.global[(3*int(l.A)+i)*nG+side.at])
			c.SetSym(3+i, 7, block.global[(3*int(l.B)+i)*nG+side.at])
		}
		c.SetSym(6, 6, post.covG[at*nG+at])
		c.SetSym(6, 7, post.covG[at*nG+side.at])
		c.SetSym(7, 7, post.covG[side.at*nG+side.at])
		cost := func(x []float64) float64 {
			n := math.Sqrt(sq(x[0]-x[3]) + sq(x[1]-x[4]) + sq(x[2]-x[5]))
			return 0.5 * sq((n-math.Exp(x[6])-side.by*x[7])/s.p.giveSigmas[l.Segment])
		}
		a, b := s.st.At(pos, l.A), s.st.At(pos, l.B)
		x0 := []float64{a.X, a.Y, a.Z, b.X, b.Y, b.Z, s.st.g[at], s.st.g[side.at]}
		curved := func(x []float64) float64 { // tr(C ∂²cost)
			var h mat.SymDense
			fd.Hessian(&h, cost, x, &fd.Settings{Step: 1e-4})
			var hc mat.Dense
			hc.Mul(&h, c)
			return mat.Trace(&hc)
		}
		want := fd.Gradient(nil, curved, x0, &fd.Settings{Formula: fd.Central, Step: 1e-3})

		g, x := make([]float64, nG), make([]float64, BlockSize)
		post.addThird(pos, k, g, x)
		got := append(append([]float64(nil), x[3*l.A:3*l.A+3]...), x[3*l.B:3*l.B+3]...)
		got = append(got, g[at], g[side.at])
		scale := mat.Norm(mat.NewVecDense(8, want), math.Inf(1))
		require.Positive(t, scale)
		assert.InDeltaSlice(t, want, got, 0.01*scale, "segment %d", k)
	}
}
