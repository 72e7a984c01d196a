package levmar

import "math"

// Nu is the number of degrees of freedom of the Student t distribution that
// observations are taken to follow: one several standard deviations off pulls
// with a force that falls as it goes further (Lange, Little & Taylor 1989,
// J Am Stat Assoc 84:881).
const Nu = 6

// Robust returns the cost of an observation of two coordinates at squared
// distance s, in squared standard deviations, and the weight its two residuals
// carry in the normal equations. The density of a bivariate t distribution with
// ν degrees of freedom is proportional to (1+s/ν)^−(ν+2)/2, so that
//
//	cost(s) = (ν+2)/2 · log(1 + s/ν),   weight(s) = 2 dcost/ds = (ν+2)/(ν+s).
//
// The influence weight·√s of an observation is largest at s = ν, 2.4 standard
// deviations off, and falls beyond; with weights held during a step this is
// iteratively reweighted least squares.
//
// Sigma stands for the scale of the distribution, which is a little smaller
// than its standard deviation: a residual is smaller than the error of its
// observation, by what the observation draws the fit toward itself, and this
// makes up for it. The weight at the middle is (ν+2)/ν = 4/3; where a
// covariance is wanted it is capped at 1.
func Robust(s float64) (cost, weight float64) {
	return 0.5 * (Nu + 2) * math.Log1p(s/Nu), (Nu + 2) / (Nu + s)
}

// BehindCost is the cost of an observation whose point lies behind the camera:
// high, but finite, so that the iteration can leave such a start.
const BehindCost = 1e6
