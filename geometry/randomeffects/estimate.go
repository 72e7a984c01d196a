package randomeffects

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// An Estimate is what is known of the mean and of the spread, in the unit of the
// values.
type Estimate struct {
	N int // occasions

	Mean      float64
	Sigma     float64 // standard deviation of Mean
	DF        float64 // degrees of freedom of Sigma: N − 1
	Low95     float64 // of the mean
	High95    float64
	Spread    float64 // τ, the standard deviation from occasion to occasion
	SpreadLow float64 // its 95 % interval; from 0
	// SpreadHigh may be many times Spread: three occasions say little of a spread.
	SpreadHigh float64
}

// Restricted maximum likelihood is found to this share of the mean variance of the
// values, in at most so many steps; and the ends of the interval of τ² as well.
const (
	precision = 1e-10
	mostSteps = 200
)

// Of estimates mean and spread from values and their standard deviations, equally
// many and of at least two occasions. It is an error where they are not, or where one
// is no number or a standard deviation not positive.
func Of(values, sigmas []float64) (Estimate, error) {
	if len(values) != len(sigmas) || len(values) < 2 {
		return Estimate{}, errors.New("randomeffects: needs two values or more, each with its standard deviation")
	}
	variances := make([]float64, len(sigmas))
	for i, s := range sigmas {
		if bad := math.IsNaN(values[i]) || math.IsInf(values[i], 0); bad || !(s > 0) || math.IsInf(s, 0) {
			return Estimate{}, fmt.Errorf("randomeffects: value %g with standard deviation %g is not usable", values[i], s)
		}
		variances[i] = s * s
	}
	d := data{values, variances}
	tau2 := d.reml()
	at := d.at(tau2)
	n := float64(len(values))
	e := Estimate{N: len(values), Mean: at.mean, DF: n - 1, Spread: math.Sqrt(tau2)}
	e.Sigma = math.Sqrt(at.q / (n - 1) / at.sum[0])
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.975) * e.Sigma
	e.Low95, e.High95 = e.Mean-half, e.Mean+half
	chi := distuv.ChiSquared{K: n - 1}
	e.SpreadLow, e.SpreadHigh = math.Sqrt(d.profile(chi.Quantile(0.975))), math.Sqrt(d.profile(chi.Quantile(0.025)))
	return e, nil
}

type data struct{ values, variances []float64 }

// weighed is what the values come to with the weights wᵢ = 1/(σᵢ² + τ²).
type weighed struct {
	mean float64
	sum  [3]float64 // Σw, Σw², Σw³
	q    float64    // Σw (y−mean)²
	q2   float64    // Σw² (y−mean)²
}

func (d data) at(tau2 float64) (s weighed) {
	for i, v := range d.variances {
		w := 1 / (v + tau2)
		s.mean += w * d.values[i]
		s.sum[0] += w
		s.sum[1] += w * w
		s.sum[2] += w * w * w
	}
	s.mean /= s.sum[0]
	for i, v := range d.variances {
		w, r := 1/(v+tau2), d.values[i]-s.mean
		s.q += w * r * r
		s.q2 += w * w * r * r
	}
	return s
}

// reml maximises the restricted likelihood by Fisher's scoring, whose steps are
// halved where they would make the variance negative. With P = W − W11ᵀW/Σw the
// score is (yᵀPPy − tr P)/2 and the information tr PP/2.
func (d data) reml() float64 {
	typical, mean := 0.0, 0.0
	for i, v := range d.variances {
		typical += v / float64(len(d.variances))
		mean += d.values[i] / float64(len(d.values))
	}
	tau2 := 0.0
	for _, y := range d.values {
		tau2 += (y - mean) * (y - mean) / float64(len(d.values)-1)
	}
	typical += tau2
	for range mostSteps {
		s := d.at(tau2)
		trP := s.sum[0] - s.sum[1]/s.sum[0]
		trPP := s.sum[1] - 2*s.sum[2]/s.sum[0] + s.sum[1]*s.sum[1]/(s.sum[0]*s.sum[0])
		step := (s.q2 - trP) / trPP
		if tau2+step < 0 {
			if tau2 < precision*typical {
				return 0
			}
			step = -tau2 / 2
		}
		tau2 += step
		if math.Abs(step) < precision*typical {
			break
		}
	}
	return tau2
}

// profile returns the τ² at which Σw (y−mean)², which falls with it, comes to want; 0
// where it is below that already.
func (d data) profile(want float64) float64 {
	if d.at(0).q <= want {
		return 0
	}
	low, high := 0.0, 1.0
	for d.at(high).q > want {
		low, high = high, 4*high
	}
	for high-low > precision*high {
		if mid := (low + high) / 2; d.at(mid).q > want {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}
