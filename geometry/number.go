package geometry

import "math"

// Z95 is the standard normal quantile of 97.5 %: half the width of a two-sided
// 95 % interval in standard deviations.
const Z95 = 1.959963984540054

// Finite reports whether every number is one: neither infinite nor NaN.
func Finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// WrapAngle brings an angle, radians, into (−π, π].
func WrapAngle(a float64) float64 {
	a = math.Mod(a, 2*math.Pi)
	switch {
	case a > math.Pi:
		return a - 2*math.Pi
	case a <= -math.Pi:
		return a + 2*math.Pi
	default:
		return a
	}
}

// sq is the square of a number.
func sq(x float64) float64 { return x * x }

// NormalCDF is the standard normal distribution function.
func NormalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
