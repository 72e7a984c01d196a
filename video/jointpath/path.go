package jointpath

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Reading is a value at a time. One of an infinite SD tells nothing and asks for the
// value there.
type Reading struct{ Seconds, Value, SD float64 }

// Path is a value over time.
type Path struct {
	at, value, rate []float64
	sd, rateSD      []float64 // of value and rate
}

const (
	// tail is the degrees of freedom of the readings' errors, Student's: most are as their
	// standard deviations say, some are of something else (Lange, Little and Taylor 1989,
	// "Robust statistical modeling using the t distribution", JASA 84).
	tail = 4
	// rounds is how often readings that lie off are given less weight, and the path drawn
	// anew.
	rounds = 8
	// atOnceS is how near in time two readings are of one moment.
	atOnceS = 1e-6
)

// Smooth draws the likeliest path through readings, whose times may come in any order.
// stir is how restless the value is: its rate is a Wiener process whose variance grows by
// the square of stir each second, so that the path is a cubic smoothing spline (Wahba
// 1978, "Improper priors, spline smoothing and the problem of guarding against model
// errors in regression", JRSS B 40). Nothing is assumed of where it begins. It reports
// false where fewer than two moments are read.
func Smooth(readings []Reading, stir float64) (*Path, bool) {
	return smooth(readings, stir, rounds)
}

func smooth(readings []Reading, stir float64, rounds int) (*Path, bool) {
	sorted := slices.Clone(readings)
	slices.SortStableFunc(sorted, func(a, b Reading) int {
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
	p := &Path{}
	of := make([]int, len(sorted)) // the moment of each reading
	read := make(map[int]bool)
	for i, r := range sorted {
		if n := len(p.at); n == 0 || r.Seconds-p.at[n-1] > atOnceS {
			p.at = append(p.at, r.Seconds)
		}
		of[i] = len(p.at) - 1
		if !math.IsInf(r.SD, 0) {
			read[of[i]] = true
		}
	}
	if len(read) < 2 || !(stir > 0) {
		return nil, false
	}
	weight := make([]float64, len(sorted))
	for i := range weight {
		weight[i] = 1
	}
	for round := range rounds + 1 {
		last := round == rounds
		if !p.solve(sorted, of, weight, stir, last) {
			return nil, false
		}
		if last {
			break
		}
		for i, r := range sorted {
			off := (r.Value - p.value[of[i]]) / r.SD
			weight[i] = (tail + 1) / (tail + off*off)
		}
	}
	return p, true
}

// solve finds values and rates at all moments by least squares: each reading against its
// standard deviation, and each step from moment to moment against what the Wiener process
// leaves free, and their deviations where they are asked for. Of a step of h seconds that is the covariance
//
//	stir² [h³/3 h²/2; h²/2 h]
//
// of value and rate, whose inverse is [12/h³ −6/h²; −6/h² 4/h] / stir².
func (p *Path) solve(readings []Reading, of []int, weight []float64, stir float64, deviations bool) bool {
	n := len(p.at)
	normal := mat.NewSymDense(2*n, nil)
	right := mat.NewVecDense(2*n, nil)
	add := func(i, j int, v float64) { normal.SetSym(i, j, normal.At(i, j)+v) }
	for i, r := range readings {
		if math.IsInf(r.SD, 0) {
			continue
		}
		k, w := 2*of[i], weight[i]/(r.SD*r.SD)
		add(k, k, w)
		right.SetVec(k, right.AtVec(k)+w*r.Value)
	}
	for i := 1; i < n; i++ {
		h := p.at[i] - p.at[i-1]
		q := 1 / (stir * stir)
		a, b, c := 12/(h*h*h)*q, -6/(h*h)*q, 4/h*q
		// The step's error is (x1 - x0 - h v0, v1 - v0).
		rows := [2][4]float64{{-1, -h, 1, 0}, {0, -1, 0, 1}}
		for s := range 4 {
			for t := s; t < 4; t++ {
				v := a*rows[0][s]*rows[0][t] + b*(rows[0][s]*rows[1][t]+rows[1][s]*rows[0][t]) + c*rows[1][s]*rows[1][t]
				add(2*i-2+s, 2*i-2+t, v)
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) {
		return false
	}
	var x mat.VecDense
	var cov mat.SymDense
	if chol.SolveVecTo(&x, right) != nil {
		return false
	}
	p.value, p.rate = make([]float64, n), make([]float64, n)
	for i := range n {
		p.value[i], p.rate[i] = x.AtVec(2*i), x.AtVec(2*i+1)
	}
	if !deviations {
		return true
	}
	if chol.InverseTo(&cov) != nil {
		return false
	}
	p.sd, p.rateSD = make([]float64, n), make([]float64, n)
	for i := range n {
		p.sd[i], p.rateSD[i] = math.Sqrt(cov.At(2*i, 2*i)), math.Sqrt(cov.At(2*i+1, 2*i+1))
	}
	return true
}

// At returns the value at a time, and its standard deviation. Between two moments of
// readings the value is that of the cubic with their values and rates, which is the
// Wiener process's mean, and the deviation the larger of theirs; outside of them the path
// goes on straight, and nothing is known.
func (p *Path) At(seconds float64) (value, sd float64) {
	n := len(p.at)
	switch {
	case seconds < p.at[0]:
		return p.value[0] + p.rate[0]*(seconds-p.at[0]), math.Inf(1)
	case seconds > p.at[n-1]:
		return p.value[n-1] + p.rate[n-1]*(seconds-p.at[n-1]), math.Inf(1)
	}
	i, found := slices.BinarySearch(p.at, seconds)
	if found {
		return p.value[i], p.sd[i]
	}
	h := p.at[i] - p.at[i-1]
	u := (seconds - p.at[i-1]) / h
	value = p.value[i-1]*(1+2*u)*(1-u)*(1-u) + p.value[i]*u*u*(3-2*u) +
		h*(p.rate[i-1]*u*(1-u)*(1-u)-p.rate[i]*u*u*(1-u))
	return value, math.Max(p.sd[i-1], p.sd[i])
}

// Crossing is when a path crosses a level.
type Crossing struct {
	Seconds, SD float64
	Upward      bool
}

// Crossings returns when the path crosses a level between its first and last moments, in
// order. The standard deviations are those of the value there by the delta method: over
// the rate of crossing.
func (p *Path) Crossings(level float64) []Crossing {
	var out []Crossing
	for i := 1; i < len(p.at); i++ {
		a, b := p.value[i-1]-level, p.value[i]-level
		if (a < 0) == (b < 0) {
			continue
		}
		low, high := p.at[i-1], p.at[i]
		for range 40 {
			middle := (low + high) / 2
			if v, _ := p.At(middle); (v-level < 0) == (a < 0) {
				low = middle
			} else {
				high = middle
			}
		}
		rate := math.Abs(b-a) / (p.at[i] - p.at[i-1])
		_, sd := p.At(low)
		out = append(out, Crossing{low, sd / rate, a < 0})
	}
	return out
}

// bendS is how far on both sides of a highest place one looks for how sharply a path bends
// there, seconds, as long as it bends the same way.
const bendS = 0.05

// Highest returns where the path is highest between its first and last moments: where its
// rate falls through 0, told by the rates on both sides, with the standard deviation that
// they leave. It reports false where it rises or falls all along.
func (p *Path) Highest() (Crossing, bool) {
	top := -1
	for i := 1; i < len(p.at); i++ {
		if p.rate[i-1] > 0 && p.rate[i] <= 0 && (top < 0 || math.Max(p.value[i-1], p.value[i]) > math.Max(p.value[top-1], p.value[top])) {
			top = i
		}
	}
	if top < 0 {
		return Crossing{}, false
	}
	h, fall := p.at[top]-p.at[top-1], p.rate[top-1]-p.rate[top]
	u := p.rate[top-1] / fall
	sd := (1-u)*p.rateSD[top-1] + u*p.rateSD[top]
	at := p.at[top-1] + u*h
	low, high := top-1, top
	for low > 0 && p.at[low-1] >= at-bendS && p.rate[low-1] > p.rate[low] {
		low--
	}
	for high < len(p.at)-1 && p.at[high+1] <= at+bendS && p.rate[high+1] < p.rate[high] {
		high++
	}
	return Crossing{at, sd * (p.at[high] - p.at[low]) / (p.rate[low] - p.rate[high]), false}, true
}
