package levmar

import "math"

// Nu is the number of degrees of freedom of the Student t distribution that
// observations are taken to follow: one several standard deviations off pulls
// with a force that falls as it goes further (Lange, Little & Taylor 1989,
// J Am Stat Assoc 84:881).
const Nu = 6

// Robust returns the cost of an observation of two coordinates at squared
// distance s, in squared standard deviations, and the weight its two residuals
// carry in the normal equations: the cost of the t distribution, written so that
// it is s/2 to first order but for the factor (ν+2)/ν, and the weight
// 2·d(cost)/ds.
//
// Sigma stands for the scale of the distribution, which is a little smaller than
// its standard deviation: a residual is smaller than the error of its
// observation, by what the observation pulls the fit toward itself, and this
// makes up for it.
func Robust(s float64) (cost, weight float64) {
	return 0.5 * (Nu + 2) * math.Log1p(s/Nu), (Nu + 2) / (Nu + s)
}

// BehindCost is the cost of an observation whose point lies behind the camera:
// high, but finite, so that the iteration can leave such a start.
const BehindCost = 1e6
