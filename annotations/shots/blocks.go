package shots

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// enoughShots is how many shots a block needs before anything is said of its
// mean: with fewer one stray shot decides it (common practice, no source).
const enoughShots = 5

// Summary is what a block of shots says of one reading, in its unit.
type Summary struct {
	N             int
	Mean, SD      float64
	Low95, High95 float64 // of the mean, by Student's t
	Enough        bool    // for the mean to be told; else only N and the values count
}

// Summarise describes a block's values.
func Summarise(values []float64) Summary {
	s := Summary{N: len(values)}
	if s.N == 0 {
		return s
	}
	s.Mean, s.SD = values[0], 0
	if s.N > 1 {
		s.Mean, s.SD = stat.MeanStdDev(values, nil)
	}
	s.Low95, s.High95 = s.Mean, s.Mean
	if s.N < 2 {
		return s
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(s.N - 1)}.Quantile(0.975)
	half := t * s.SD / math.Sqrt(float64(s.N))
	s.Low95, s.High95 = s.Mean-half, s.Mean+half
	s.Enough = s.N >= enoughShots
	return s
}

// Difference is the change of a reading's mean between two blocks.
type Difference struct {
	Value, Low95, High95 float64
	// P is the permutation test's two-sided probability of a difference as
	// large as this one if the blocks did not differ.
	P float64
	// Enough says that both blocks have shots enough to tell.
	Enough bool
	// Real says that the interval excludes zero and that P is below 0.05.
	Real bool
}

// permutations is how many regroupings the permutation test looks at; its P is
// then good to about 0.002.
const permutations = 20000

// Compare returns the difference of the means, later minus earlier. The
// interval is Welch's, which does not take the blocks to scatter alike (Welch
// 1947, Biometrika 34:28-35); P is of the Fisher-Pitman permutation test
// (Pitman 1937, J R Stat Soc Suppl 4:119-130), drawn with a fixed seed.
func Compare(earlier, later []float64) Difference {
	a, b := Summarise(earlier), Summarise(later)
	d := Difference{Value: b.Mean - a.Mean, P: 1, Enough: a.Enough && b.Enough}
	d.Low95, d.High95 = d.Value, d.Value
	if a.N < 2 || b.N < 2 {
		return d
	}
	va, vb := a.SD*a.SD/float64(a.N), b.SD*b.SD/float64(b.N)
	if va+vb == 0 {
		return d // every shot alike: nothing to reckon a spread from
	}
	nu := (va + vb) * (va + vb) / (va*va/float64(a.N-1) + vb*vb/float64(b.N-1))
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.Quantile(0.975) * math.Sqrt(va+vb)
	d.Low95, d.High95 = d.Value-half, d.Value+half
	d.P = permutationP(earlier, later, math.Abs(d.Value))
	d.Real = d.Enough && (d.Low95 > 0 || d.High95 < 0) && d.P < 0.05
	return d
}

func permutationP(a, b []float64, observed float64) float64 {
	pool := append(append([]float64(nil), a...), b...)
	total := 0.0
	for _, v := range pool {
		total += v
	}
	rng := rand.New(rand.NewPCG(uint64(len(a)), uint64(len(b))))
	slack := 1e-9 * (1 + observed)
	hits := 1 // the blocks as they are count as one regrouping
	for range permutations - 1 {
		sum := 0.0
		for i := range a {
			j := i + rng.IntN(len(pool)-i)
			pool[i], pool[j] = pool[j], pool[i]
			sum += pool[i]
		}
		if math.Abs((total-sum)/float64(len(b))-sum/float64(len(a))) >= observed-slack {
			hits++
		}
	}
	return float64(hits) / permutations
}

// Ellipse is where the next shot of a block falls with some probability.
type Ellipse struct {
	X, Y         float64 // the middle
	Major, Minor float64 // half axes
	AngleDeg     float64 // of the major axis from X toward Y, -90 to 90
}

// Dispersion returns the 95 % prediction ellipse of points; ok is false with too few.
func Dispersion(x, y []float64) (e Ellipse, ok bool) { return DispersionOf(x, y, 0.95) }

// DispersionOf returns the ellipse in which the next shot falls with probability p, by
// Hotelling's T squared (Johnson & Wichern, Applied Multivariate Statistical Analysis,
// chapter 5, from memory); ok is false with too few points.
//
// With more and more shots the square of its half axes, in variances, comes down to the
// quantile of chi-square with two degrees of freedom, -2 ln(1-p): 1.386 for half of the
// shots, 5.991 for 95 of 100 (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4).
// With ten shots it is 1.87 and 11.0: their own scatter is known so badly.
func DispersionOf(x, y []float64, p float64) (e Ellipse, ok bool) {
	n := len(x)
	if n < enoughShots || len(y) != n {
		return Ellipse{}, false
	}
	e.X, e.Y = stat.Mean(x, nil), stat.Mean(y, nil)
	c := mat.NewSymDense(2, []float64{stat.Variance(x, nil), stat.Covariance(x, y, nil), 0, stat.Variance(y, nil)})
	var eig mat.EigenSym
	if !eig.Factorize(c, true) {
		return Ellipse{}, false
	}
	f := distuv.F{D1: 2, D2: float64(n - 2)}.Quantile(p)
	scale := 2 * float64(n-1) / float64(n-2) * f * (1 + 1/float64(n))
	w := eig.Values(nil)
	var v mat.Dense
	eig.VectorsTo(&v)
	e.Minor, e.Major = math.Sqrt(math.Max(w[0], 0)*scale), math.Sqrt(math.Max(w[1], 0)*scale)
	e.AngleDeg = math.Atan2(v.At(1, 1), v.At(0, 1)) * 180 / math.Pi
	if e.AngleDeg > 90 {
		e.AngleDeg -= 180
	} else if e.AngleDeg <= -90 {
		e.AngleDeg += 180
	}
	return e, true
}
