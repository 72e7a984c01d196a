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
	g, err := OfGroups([]Group{{values, sigmas}})
	if err != nil {
		return Estimate{}, err
	}
	m := g.Means[0]
	e := Estimate{N: len(values), Mean: m.Value, Sigma: m.Sigma, DF: g.DF, Spread: g.Spread, SpreadLow: g.SpreadLow, SpreadHigh: g.SpreadHigh}
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: g.DF}.Quantile(0.975) * e.Sigma
	e.Low95, e.High95 = e.Mean-half, e.Mean+half
	return e, nil
}

// A Group is values that have one mean, with their standard deviations.
type Group struct{ Values, Sigmas []float64 }

// A GroupMean is the mean of a group.
type GroupMean struct {
	Value float64
	Sigma float64 // its standard deviation, on the degrees of freedom of Groups
}

// Groups is what is known of groups that have each a mean of its own, and one spread
// from occasion to occasion in all of them.
type Groups struct {
	Means      []GroupMean
	DF         float64 // occasions − groups
	Spread     float64
	SpreadLow  float64 // its 95 % interval
	SpreadHigh float64
}

// OfGroups estimates the means of groups and the spread that they have in common:
//
//	y_gi = μ_g + u_gi + e_gi,  u_gi ~ N(0, τ²),  e_gi ~ N(0, σ_gi²)
//
// which is Of with a fixed effect of the group. A group of one value has a mean and
// tells nothing of the spread. It is an error where no group has two values, or where
// values can't be used as in Of.
//
// The standard deviation of a mean is Hartung & Knapp's (2001, Stat Med 20:3875): 1/Σw times the
// ratio q of the weighted squares to their degrees of freedom, with a t distribution, since τ²
// is itself estimated from few occasions. The interval of the spread inverts the test that q(τ²)
// is chi-squared (Viechtbauer 2007, Stat Med 26:37, the Q-profile): its ends are the τ² at which
// q comes to the 97.5 and the 2.5 % quantile.
func OfGroups(groups []Group) (Groups, error) {
	out := Groups{DF: -float64(len(groups))}
	var d data
	for _, g := range groups {
		if len(g.Values) != len(g.Sigmas) || len(g.Values) == 0 {
			return Groups{}, errors.New("randomeffects: needs values, each with its standard deviation")
		}
		variances := make([]float64, len(g.Sigmas))
		for i, s := range g.Sigmas {
			if bad := math.IsNaN(g.Values[i]) || math.IsInf(g.Values[i], 0); bad || !(s > 0) || math.IsInf(s, 0) {
				return Groups{}, fmt.Errorf("randomeffects: value %g with standard deviation %g is not usable", g.Values[i], s)
			}
			variances[i] = s * s
		}
		d = append(d, group{g.Values, variances})
		out.DF += float64(len(g.Values))
	}
	if out.DF < 1 {
		return Groups{}, errors.New("randomeffects: needs two values or more of one group")
	}
	tau2 := d.reml()
	at := d.at(tau2)
	for i := range d {
		g := d[i].at(tau2)
		out.Means = append(out.Means, GroupMean{g.mean, math.Sqrt(at.q / out.DF / g.sum)})
	}
	chi := distuv.ChiSquared{K: out.DF}
	out.Spread = math.Sqrt(tau2)
	out.SpreadLow, out.SpreadHigh = math.Sqrt(d.profile(chi.Quantile(0.975))), math.Sqrt(d.profile(chi.Quantile(0.025)))
	return out, nil
}

type group struct{ values, variances []float64 }

type data []group

// weighed is what values come to with the weights wᵢ = 1/(σᵢ² + τ²): of a group, or
// summed over groups. With P = W − W11ᵀW/Σw of each group, trP and trPP are the traces
// of P and PP.
type weighed struct {
	mean, sum float64 // of a group: its mean, Σw
	trP, trPP float64
	q         float64 // Σw (y−mean)² = yᵀPy
	q2        float64 // Σw² (y−mean)² = yᵀPPy
}

// P = W − W1(1ᵀW1)⁻¹1ᵀW takes the group's mean out. Its trace is Σw − Σw²/Σw; of PP it is Σw² −
// 2 Σw³/Σw + (Σw²/Σw)².
func (g group) at(tau2 float64) (s weighed) {
	var w2, w3 float64
	for i, v := range g.variances {
		w := 1 / (v + tau2)
		s.mean += w * g.values[i]
		s.sum += w
		w2 += w * w
		w3 += w * w * w
	}
	s.mean /= s.sum
	for i, v := range g.variances {
		w, r := 1/(v+tau2), g.values[i]-s.mean
		s.q += w * r * r
		s.q2 += w * w * r * r
	}
	s.trP = s.sum - w2/s.sum
	s.trPP = w2 - 2*w3/s.sum + w2*w2/(s.sum*s.sum)
	return s
}

func (d data) at(tau2 float64) (s weighed) {
	for i := range d {
		g := d[i].at(tau2)
		s.trP, s.trPP, s.q, s.q2 = s.trP+g.trP, s.trPP+g.trPP, s.q+g.q, s.q2+g.q2
	}
	return s
}

// reml maximises the restricted likelihood by Fisher's scoring, whose steps are
// halved where they would make the variance negative. The score is (yᵀPPy − tr P)/2
// and the information tr PP/2.
//
// It starts from the variance of the values as if all of it were spread. A step that would leave
// the possible is halved toward zero, so that an estimate at the border is approached and then
// said to be 0.
func (d data) reml() float64 {
	var typical, tau2, n float64
	for i := range d {
		g := &d[i]
		mean := 0.0
		for k, v := range g.variances {
			typical += v
			mean += g.values[k] / float64(len(g.values))
		}
		for _, y := range g.values {
			tau2 += (y - mean) * (y - mean)
		}
		n += float64(len(g.values))
	}
	typical, tau2 = typical/n, tau2/(n-float64(len(d)))
	typical += tau2
	for range mostSteps {
		s := d.at(tau2)
		step := (s.q2 - s.trP) / s.trPP
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
//
// q falls strictly with τ², from its value at 0 to nothing, so that there is one such τ² or none.
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
