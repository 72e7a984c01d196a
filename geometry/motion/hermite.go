package motion

import (
	"sort"

	"turngauge/geometry/levmar"
)

// hermite holds the weights by which values and speeds at two neighbouring
// instants make a value, and a speed, between them: the cubic that has both at
// both ends. Without anything seen between, that is where the motion prior
// expects it: the conditional mean of a Wiener velocity process given its ends
// is the cubic Hermite polynomial (Särkkä & Solin 2019; Barfoot 2017, State Estimation for Robotics, 3.4). So an observation between two instants needs
// no instant of its own. With s from 0 to 1 on the way of dt seconds,
//
//	value = (2s³−3s²+1) x₀ + (s³−2s²+s)dt v₀ + (3s²−2s³) x₁ + (s³−s²)dt v₁.
type hermite struct {
	i     int
	value [4]float64 // of value and speed at i, then at i+1
	speed [4]float64
}

// hermiteAt returns the weights at a time on the common clock. Outside the
// instants the first or last cubic goes on.
//
// The speed's weights are the derivative of the value's by time, d/dt = (1/dt) d/ds.
func (f *problem) hermiteAt(t float64) hermite {
	i := sort.SearchFloat64s(f.times, t) - 1
	i = min(max(i, 0), len(f.times)-2)
	dt := f.times[i+1] - f.times[i]
	s := (t - f.times[i]) / dt
	s2, s3 := s*s, s*s*s
	return hermite{i,
		[4]float64{2*s3 - 3*s2 + 1, (s3 - 2*s2 + s) * dt, 3*s2 - 2*s3, (s3 - s2) * dt},
		[4]float64{6 * (s2 - s) / dt, 3*s2 - 4*s + 1, 6 * (s - s2) / dt, 3*s2 - 2*s}}
}

// mix returns the degrees of freedom from dof on, n of them, and their speeds.
func (h *hermite) mix(x [][]float64, dof, n int, value, speed []float64) {
	a, b := x[h.i][dof:], x[h.i+1][dof:]
	for k := range n {
		p := [4]float64{a[k], a[numDofs+k], b[k], b[numDofs+k]}
		value[k], speed[k] = 0, 0
		for j := range p {
			value[k] += h.value[j] * p[j]
			speed[k] += h.speed[j] * p[j]
		}
	}
}

// put fills a row with a derivative d by the value of a degree of freedom
// between instants, by the chain rule to value and speed at both.
func (h *hermite) put(r *levmar.Row, dof int, d float64) {
	r.Local(dof, d*h.value[0])
	r.Local(numDofs+dof, d*h.value[1])
	r.Local(blockSize+dof, d*h.value[2])
	r.Local(blockSize+numDofs+dof, d*h.value[3])
}
