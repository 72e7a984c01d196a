package levmar

import (
	"math"
	"sync"
)

// ExpectedRobust is the expectation of w d² of a mark that has kept m of each of
// its two degrees of freedom, under normal errors. The residual of the mark is
// what its distance from the others' place leaves after it has pulled the fit to
// itself by its weight, which may exceed one in the fit, as it may not in the
// covariance: with a = (1−m)/m,
//
//	ρ (1 + a w(ρ²)) = e,  e² exponential with mean 2(1+a).
//
// Derivation, lengths in standard deviations of the mark. The others put its point at a distance
// e, with variance 1 + a in each coordinate, since a mark of weight 1 that keeps m of itself
// stands against others of variance a. The fit lies between by the weights: with the mark's loss
// w it leaves of e the residual ρ with ρ + a w(ρ²) ρ = e, of which there is one for each e as long
// as the influence w ρ rises; beyond, bisection finds the nearest. The table is the mean of
// w ρ² over 400 quantiles of e², which has two degrees of freedom and so is exponential.
func ExpectedRobust(m float64) float64 {
	x := m * (expectedSize - 1)
	i := min(int(x), expectedSize-2)
	f := x - float64(i)
	table := expectedTable()
	return math.Max((1-f)*table[i]+f*table[i+1], 1e-6)
}

const expectedSize = 101

// expectedTable is made at its first use: it takes 40 ms, which neither the start of the
// program nor that of a decoding process is to wait for.
var expectedTable = sync.OnceValue(func() *[expectedSize]float64 {
	out := new([expectedSize]float64)
	const quantiles = 400
	for i := 1; i < expectedSize; i++ {
		m := float64(i) / (expectedSize - 1)
		a := (1 - m) / m
		for q := range quantiles {
			t := -math.Log(1 - (float64(q)+0.5)/quantiles)
			e := math.Sqrt(2 * (1 + a) * t)
			lo, hi := 0.0, e
			for range 50 {
				rho := (lo + hi) / 2
				_, w := Robust(rho * rho)
				if rho*(1+a*w) < e {
					lo = rho
				} else {
					hi = rho
				}
			}
			_, w := Robust(lo * lo)
			out[i] += w * lo * lo / quantiles
		}
	}
	return out
})
