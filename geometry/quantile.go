package geometry

import (
	"math"
	"sync"
)

// LognormalQuantile is the 97.5 % quantile, over that of a normal variable, of a
// normal variable whose standard deviation is itself lognormal with median 1 and
// standard deviation tau of its logarithm; from lognormalMost on that of
// lognormalMost.
//
// With Z and N independent standard normal and σ = e^(τZ), it solves
//
//	P(|σN| > 1.96 q) = E erfc(1.96 q e^(−τZ)/√2) = 0.05
//
// for q: how much wider an interval must be for not knowing its own standard deviation. To second
// order q = 1 + τ²(1.96² − 1)/2, from the first two derivatives of P by log q; the table, by
// bisection at steps of 0.025, is for scales that are known too badly for that.
func LognormalQuantile(tau float64) float64 {
	x := math.Min(tau/lognormalMost, 1) * (lognormalSteps - 1)
	if !(x > 0) {
		return 1
	}
	table := lognormalTable()
	i := min(int(x), lognormalSteps-2)
	f := x - float64(i)
	return (1-f)*table[i] + f*table[i+1]
}

const (
	lognormalMost  = 1.2
	lognormalSteps = 49
)

var lognormalTable = sync.OnceValue(func() (out [lognormalSteps]float64) {
	for k := range out {
		tau := lognormalMost * float64(k) / (lognormalSteps - 1)
		lo, hi := 1.0, 2*math.Exp(3*tau)
		for range 40 {
			q := (lo + hi) / 2
			// The outer expectation by the trapezium rule, which converges
			// fast for a normal density.
			const steps, reach = 24, 4.0
			var beyond, sum float64
			for i := -steps; i <= steps; i++ {
				z := reach * float64(i) / steps
				w := math.Exp(-z * z / 2)
				beyond += w * math.Erfc(q*Z95*math.Exp(-tau*z)/math.Sqrt2)
				sum += w
			}
			if beyond/sum > 0.05 {
				lo = q
			} else {
				hi = q
			}
		}
		out[k] = (lo + hi) / 2
	}
	out[0] = 1
	return out
})
