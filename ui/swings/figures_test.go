package swings

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"

	"turngauge/geometry"
)

// How well a point is known in each picture, against points scattered about it: a point that is
// known from one side only is not known from the other and from above.
func TestAPointIsKnownWhereItIsSeen(t *testing.T) {
	p := geometry.PointEstimate{Known: true}
	depth := 0.2 // along z: seen face-on alone
	p.Covariance = [3][3]float64{{0.01 * 0.01, 0, 0}, {0, 0.02 * 0.02, 0}, {0, 0, depth * depth}}
	all := sides(false)
	assert.InDelta(t, 0.02, all[0].sd(&p), 1e-12)
	assert.InDelta(t, depth, all[1].sd(&p), 1e-12)
	assert.InDelta(t, depth, all[2].sd(&p), 1e-12)

	// Correlated: the direction of the largest spread, found by turning through all.
	c := [3][3]float64{{4e-4, 3e-4, 1e-4}, {3e-4, 9e-4, -2e-4}, {1e-4, -2e-4, 1e-4}}
	p.Covariance = c
	rng := rand.New(rand.NewPCG(3, 4))
	// Cholesky by hand of the face-on part.
	l11 := math.Sqrt(c[0][0])
	l21 := c[0][1] / l11
	l22 := math.Sqrt(c[1][1] - l21*l21)
	var x, y []float64
	for range 20000 {
		a, b := rng.NormFloat64(), rng.NormFloat64()
		x, y = append(x, l11*a), append(y, l21*a+l22*b)
	}
	widest := 0.0
	for deg := 0.0; deg < 180; deg++ {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		along := make([]float64, len(x))
		for i := range x {
			along[i] = cos*x[i] + sin*y[i]
		}
		widest = max(widest, stat.StdDev(along, nil))
	}
	assert.InEpsilon(t, widest, all[0].sd(&p), 0.02)
	assert.Equal(t, []float32{1, 1, 0.35, 0.35, 0}, []float32{shareOf(0), shareOf(0.05), shareOf(0.051), shareOf(0.15), shareOf(0.151)}, "drawn, faint, left out")
}
