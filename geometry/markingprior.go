package geometry

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// MarkingPrior is what is known of how well a coach marks before the marks of a
// swing are seen: a normal distribution of the logarithms of the factors on the
// usual variance of a mark (DefaultSigmaPx squared), indexed by PointClass and
// then, at NumMarkComponents-1, of the further factor on the far side down the
// line. It serves as Swing.Marking, and may be kept with the coach as JSON.
type MarkingPrior struct {
	Mean       [NumMarkComponents]float64                    `json:"mean"`
	Covariance [NumMarkComponents][NumMarkComponents]float64 `json:"covariance"`
	// Lessons is how many lessons it has been learned from; 0 for the usual one.
	Lessons int `json:"lessons"`
}

// How coaches differ: standard deviations of the logarithm of the variance of
// all their marks, of one class against the others, and of the far side down
// the line; and how one coach differs from lesson to lesson, by light, cloth and
// hurry (this project's own; no source).
const (
	coachLogSigma  = 1.0
	classLogSigma  = 0.6
	farLogSigma    = 0.8
	lessonLogSigma = 0.4
)

// UsualMarking is the prior of a coach of whom nothing is known: all marks
// better or worse alike by a factor of e^±1 in variance, each class by a further
// e^±0.6, the far side by e^±0.8.
//
// The covariance matrix is coachLogSigma² in every entry of the classes, classLogSigma² more
// on the diagonal, and farLogSigma² alone for the far side: of the form a·11ᵀ + b·I, whose
// correlation between classes is 1/(1 + 0.36) = 0.74.
func UsualMarking() *MarkingPrior {
	m := &MarkingPrior{}
	for i := 0; i < NumClasses; i++ {
		for j := 0; j < NumClasses; j++ {
			m.Covariance[i][j] = sq(coachLogSigma)
		}
		m.Covariance[i][i] += sq(classLogSigma)
	}
	m.Covariance[NumClasses][NumClasses] = sq(farLogSigma)
	return m
}

// MarkingEvidence is what one swing said about how well its coach marks, without
// the prior it was fitted with: the likelihood of the same ten logarithms,
// proportional to exp(-x'Ix/2 + h'x), as information matrix I and vector h.
type MarkingEvidence struct {
	Information [NumMarkComponents][NumMarkComponents]float64 `json:"information"`
	Vector      [NumMarkComponents]float64                    `json:"vector"`
}

// Scale returns what a prior expects of a class: the factor on the standard
// deviation of its marks, median and 95 % interval; 1 is the usual marking.
func (m *MarkingPrior) Scale(c PointClass) (scale, low95, high95 float64) {
	if int(c) >= NumClasses {
		return math.NaN(), math.NaN(), math.NaN()
	}
	return ScaleInterval(m.Mean[c], math.Sqrt(m.Covariance[c][c]))
}

// ScaleInterval returns the factor on a standard deviation whose variance has a
// factor with this logarithm, known with the standard deviation sigma: median and
// 95 % interval.
//
// A variance exp(l) with l ~ N(log, sigma²) is a lognormal factor; on the standard deviation
// it is exp(l/2), whose quantiles are those of l, halved and exponentiated. The median, not
// the mean, so that twice and half are as far from 1.
func ScaleInterval(log, sigma float64) (scale, low95, high95 float64) {
	return math.Exp(log / 2), math.Exp((log - Z95*sigma) / 2), math.Exp((log + Z95*sigma) / 2)
}

// LearnMarking returns the prior of the next lesson of a coach after the lessons
// whose evidence is given, in any order; none gives UsualMarking. A lesson's
// scales scatter about the coach's own by lessonLogSigma, which are a coach's
// about the usual ones: the normal two-level model, in closed form. Evidence that
// is not finite is left out.
//
// In the model a coach's own logarithms x have the usual prior N(0, P), a lesson's are
// x + N(0, T), T = lessonLogSigma²·I, and what a lesson's marks say of its own is a normal
// likelihood (I, h). The posterior of x adds up information; the next lesson's logarithms
// are x + N(0, T) once more, so that T is added to its covariance, and the scales of a coach
// with a hundred lessons are still free by lessonLogSigma.
func LearnMarking(lessons []MarkingEvidence) *MarkingPrior {
	const n = NumMarkComponents
	usual := UsualMarking()
	prior := mat.NewSymDense(n, nil)
	for i := 0; i < n; i++ {
		for j := i; j < n; j++ {
			prior.SetSym(i, j, usual.Covariance[i][j])
		}
	}
	var chol mat.Cholesky
	chol.Factorize(prior)
	info := mat.NewSymDense(n, nil)
	if chol.InverseTo(info) != nil {
		return usual
	}
	vector := mat.NewVecDense(n, nil)
	used := 0
	for k := range lessons {
		if lessons[k].addTo(info, vector) {
			used++
		}
	}
	if used == 0 || !chol.Factorize(info) {
		return usual
	}
	cov := mat.NewSymDense(n, nil)
	mean := mat.NewVecDense(n, nil)
	if chol.InverseTo(cov) != nil || chol.SolveVecTo(mean, vector) != nil {
		return usual
	}
	out := &MarkingPrior{Lessons: used}
	for i := 0; i < n; i++ {
		out.Mean[i] = mean.AtVec(i)
		for j := 0; j < n; j++ {
			out.Covariance[i][j] = cov.At(i, j)
		}
		out.Covariance[i][i] += sq(lessonLogSigma)
	}
	return out
}

// addTo adds what a lesson says of the coach. With I and h of the lesson's own
// scales, which scatter about the coach's by T = t²·1, the information about the
// coach's is (I⁻¹+T)⁻¹ = T⁻¹ − T⁻¹(I+T⁻¹)⁻¹T⁻¹, and the vector T⁻¹(I+T⁻¹)⁻¹h:
// forms in which I may be singular, as it is where a class is not marked.
func (e *MarkingEvidence) addTo(info *mat.SymDense, vector *mat.VecDense) bool {
	const n = NumMarkComponents
	between := 1 / sq(lessonLogSigma)
	a := mat.NewSymDense(n, nil)
	h := mat.NewVecDense(n, nil)
	for i := 0; i < n; i++ {
		h.SetVec(i, e.Vector[i])
		for j := i; j < n; j++ {
			a.SetSym(i, j, (e.Information[i][j]+e.Information[j][i])/2)
		}
		a.SetSym(i, i, a.At(i, i)+between)
	}
	var chol mat.Cholesky
	if !Finite(a.RawSymmetric().Data...) || !Finite(h.RawVector().Data...) || !chol.Factorize(a) {
		return false
	}
	inv := mat.NewSymDense(n, nil)
	x := mat.NewVecDense(n, nil)
	if chol.InverseTo(inv) != nil || chol.SolveVecTo(x, h) != nil {
		return false
	}
	for i := 0; i < n; i++ {
		vector.SetVec(i, vector.AtVec(i)+between*x.AtVec(i))
		for j := i; j < n; j++ {
			v := -between * between * inv.At(i, j)
			if i == j {
				v += between
			}
			info.SetSym(i, j, info.At(i, j)+v)
		}
	}
	return true
}
