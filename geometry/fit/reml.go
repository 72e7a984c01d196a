package fit

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
	"turngauge/geometry/levmar"
)

// How well a swing is marked, and how much its segments give, shows in the
// residuals. The variance components are estimated by restricted maximum
// likelihood (Patterson & Thompson 1971, Biometrika 58:545) with a normal prior
// on their logarithms l: with v the variance of a mark's coordinate, C the
// covariance of the fitted point in the picture and w the weight of the robust
// loss, a mark has kept
//
//	m = 1 − min(w,1) tr C/2v
//
// of each of its two degrees of freedom, and adds (S−F)/2 to the score of l and
// F/2 to its information, F = 2m, S = 2m·w d²/E[w d²], d² its squared residual
// over v. The expectation is that under normal errors, so that marks on the wrong
// thing count for no more than the robust loss lets them (levmar.ExpectedRobust). A
// segment adds the same with one degree of freedom. The fit and the components
// take turns until neither moves.

// Derivation. Let the residuals be r = M e, e ~ N(0, V), with M = I − J C JᵀV⁻¹ what the fit
// leaves of the errors (C = (JᵀV⁻¹J + priors)⁻¹). The restricted likelihood of a variance
// v = v₀ eˡ, shared by marks i, has the score
//
//	∂ log L/∂l = ½ Σ (rᵢ²/v − (1 − hᵢ)),   hᵢ = (J C Jᵀ)ᵢᵢ/v,
//
// (Harville 1977, J Am Stat Assoc 72:320, for diagonal V): squared residuals S
// against what they are expected at, F = Σ(1 − hᵢ), the degrees of freedom left. Its expected
// information is ½ Σᵢⱼ (M²)ᵢⱼ, of which the diagonal ½ Σ mᵢ is taken, mᵢ = 1 − hᵢ, the cross terms
// between marks being small. A class that scatters S/F as much as assumed moves l by log(S/F);
// with the prior N(μ, Λ⁻¹) the step solves (F/2 + Λ) δ = (S − F)/2 − Λ(l − μ).
//
// Why not maximum likelihood: it divides by all residuals and not by those left, and a swing has
// about as many unknowns as marked coordinates, of which priors hold a part: the scale would
// come out far too low. Why the t-like loss stays in: one mark in sixty is on the wrong thing,
// five standard deviations off, and would alone add a third to its class's variance.
// Rounds of a fit in turn with the components, and when they are near enough:
// no component moves by more than this many of its own standard deviations.
const (
	remlRounds = 9
	remlApart  = 0.1
	// A step up is S/F − 1, which a few marks on the wrong thing can make large.
	remlLongest = 1.5
	remlCells   = 0.6 // cells are judged when the classes are about right
	remlSecant  = 1.5 // times as long as a step may become
)

// What is left of the expectation in a fit, where the weights of all marks exceed
// one together and priors, gives and, in one picture, depths bend the residuals
// their way: by simulation (TestScalesAreFound), with two clips and with one.
const (
	remlShareTwo = 0.87
	remlShareOne = 0.76
)

// wrongOffPx is how far off a mark on the wrong thing is, pixels, root mean square of one
// coordinate (this project's own; no source).
const wrongOffPx = 24

// varianceEstimate is where the estimate of the components stands.
type varianceEstimate struct {
	covariance *mat.SymDense     // of the components, numComponents square
	info       *mat.SymDense     // of the marks and segments alone
	score      bundle.Components // of the marks and segments alone, at the estimate
	step       bundle.Components // toward the maximum
	apart      float64           // longest step, in standard deviations
	wrong      float64           // share of marks on the wrong thing
	poor       []float64         // probabilities of cells; see bundle.CellIndex
}

// estimateComponents evaluates score, information and the next step at the
// solution. The posterior's covariances must be there (posterior.covariances).
//
// A mark's two components (its class, and the far side where it is on it) have gradients by the
// same quantities, so that the information between them is F/2·share² too: where a class is
// marked down the line alone the two are told apart by their priors.
func (s *Solution) estimateComponents() *varianceEstimate {
	p := s.p
	out := &varianceEstimate{info: mat.NewSymDense(bundle.NumComponents, nil), wrong: p.WrongShare, poor: s.poorCells()}
	mean, prior := bundle.NoisePrior(s.sw.Marking)
	var sums [bundle.NumComponents][2]float64 // F and S, by component
	put := func(a, b int, share, free, squared float64) {
		for _, i := range [2]int{a, b} {
			if i < 0 {
				continue
			}
			sums[i][0] += share * free
			sums[i][1] += share * squared
			// A variance v = v₀ (share·exp(Σl) + 1 − share) has ∂ log v/∂l = share
			// for each of its components; the information about log v is free/2.
			for _, j := range [2]int{a, b} {
				if j >= i {
					out.info.SetSym(i, j, out.info.At(i, j)+share*share*free/2)
				}
			}
		}
	}
	shape := remlShareOne
	if len(p.Clips) > 1 {
		shape = remlShareTwo
	}
	var rightMarks, wrongMarks float64
	s.eachResidual(func(m *bundle.Mark, r *markResidual) {
		free := 2 * r.kept
		squared := free * r.weighted / (shape * levmar.ExpectedRobust(r.kept))
		c, _ := geometry.ClassOf(m.Point)
		far := -1
		if bundle.FarSide(m.Point, p.Views[m.Clip]) {
			far = bundle.FarComponent
		}
		put(int(c), far, m.Share, free, squared)
		rightMarks += r.kept
		wrongMarks += r.kept * r.wrong(p.WrongShare)
	})
	for pos := range p.Names {
		for k := range geometry.BodySegments {
			g := bundle.GiveOf(geometry.BodySegments[k].Segment)
			if g == bundle.NoGive {
				continue
			}
			if kept, squared, ok := s.post.SegmentResidual(pos, k); ok {
				put(g, -1, 1, kept, squared)
			}
		}
	}
	out.wrong = (bundle.WrongUsual + wrongMarks) / (bundle.WrongSeen + rightMarks)

	total := mat.NewSymDense(bundle.NumComponents, nil)
	total.AddSym(out.info, prior)
	gradient := mat.NewVecDense(bundle.NumComponents, nil)
	for i, sum := range sums {
		free, squared := sum[0], sum[1]
		out.score[i] = (squared - free) / 2
		g := out.score[i]
		if squared < free { // the logarithm of a variance falls faster than that
			g = free / 2 * math.Log(math.Max(squared/free, 1e-3))
		}
		for j := range sums {
			g -= prior.At(i, j) * (p.LogScales[j] - mean[j])
		}
		gradient.SetVec(i, g)
	}
	out.covariance = mat.NewSymDense(bundle.NumComponents, nil)
	step := mat.NewVecDense(bundle.NumComponents, nil)
	var chol mat.Cholesky
	if !chol.Factorize(total) || chol.InverseTo(out.covariance) != nil || chol.SolveVecTo(step, gradient) != nil {
		return out // not to be had: the components stay where they are
	}
	for i := range out.step {
		out.step[i] = math.Max(-remlLongest, math.Min(step.AtVec(i), remlLongest))
		out.apart = math.Max(out.apart, math.Abs(step.AtVec(i))/math.Sqrt(out.covariance.At(i, i)))
	}
	return out
}

// settle fits everything from st in turn with the variance components, and
// returns how many iterations it took. It leaves the components in the engine's
// problem and every mark with its standard deviation.
//
// Cells are judged once the classes are within remlCells of their own standard deviations: in
// the first rounds every cell of a badly marked swing looks poor.
func settle(ctx context.Context, e *bundle.Minimiser, sw geometry.Swing, st *bundle.State) (iterations int, err error) {
	e.Loose = true
	defer func() { e.Loose = false }()
	var last, moved bundle.Components
	for round := 0; round < remlRounds; round++ {
		r, err := e.MinimiseAll(ctx, st)
		if err != nil {
			return iterations, err
		}
		iterations += r.Iterations
		s := Solution{sw: sw, p: e.Problem, st: st, post: e.PosteriorAt(st)}
		if !s.post.Determined() {
			return iterations, nil
		}
		s.post.Covariances()
		v := s.estimateComponents()
		for i, step := range v.step {
			// The fit follows the components, which makes every step too
			// short: the secant of the last two says by how much.
			// A round of refitting answers a step with one in the same direction, ρ
			// times as long. The steps that follow are then a geometric series with
			// the sum step/(1−ρ), and 1−ρ = (last−step)/moved (Aitken 1926's Δ²).
			if round > 0 && moved[i]*step > 0 && last[i]-step != 0 {
				step *= math.Min(math.Max(moved[i]/(last[i]-step), 1), remlSecant)
			}
			last[i], moved[i] = v.step[i], step
			e.Problem.LogScales[i] += step
		}
		e.Problem.WrongShare = v.wrong
		turned := 0.0
		if v.apart < remlCells {
			for i, p := range v.poor {
				turned = math.Max(turned, math.Abs(p-e.Problem.Poor[i]))
			}
			copy(e.Problem.Poor, v.poor)
		}
		e.Problem.SetSigmas(&sw, st)
		if v.apart < remlApart && turned < remlApart {
			break
		}
	}
	return iterations, nil
}

// markResidual is what the fit leaves of a mark.
//
// Two degrees of freedom share one variance, weight and covariance; picture and covariance are
// in pixels of the upright, right-handed picture.
type markResidual struct {
	kept     float64 // of each of its degrees of freedom
	squared  float64 // squared distance over the variance of a coordinate
	weighted float64 // that times the weight of the robust loss
	weight   float64 // that weight, at most 1
	variance float64 // px²

	picture    bundle.Projection // of its point, with what it is off by at all positions
	covariance [2][2]float64
}

// eachResidual calls do for every mark whose spread is estimated.
func (s *Solution) eachResidual(do func(m *bundle.Mark, r *markResidual)) {
	for pos := range s.p.Marks {
		for k := range s.p.Marks[pos] {
			m := &s.p.Marks[pos][k]
			if s.sw.Marks[m.Index].SigmaPx > 0 {
				continue
			}
			if r, ok := s.residual(m); ok {
				do(m, r)
			}
		}
	}
}

// residual is the residual of a mark; ok is false for
// one behind the camera. It is worked out once.
func (s *Solution) residual(m *bundle.Mark) (r *markResidual, ok bool) {
	if s.residuals == nil {
		s.residuals = make([]markResidual, len(s.sw.Marks))
	}
	r = &s.residuals[m.Index]
	if r.variance > 0 {
		return r, true
	}
	if r.picture, ok = s.p.Seen(s.st, m); !ok {
		return r, false
	}
	pr := &r.picture
	rx, ry := m.X-pr.X, m.Y-pr.Y
	r.variance = sq(m.Sigma)
	r.squared = (rx*rx + ry*ry) / r.variance
	_, w := levmar.Robust(r.squared)
	r.weighted, r.weight = w*r.squared, math.Min(w, 1)
	r.covariance = s.post.PixelCovariance(pr, m.Clip, m.Pos, m.Point)
	r.kept = math.Min(math.Max(1-r.weight*(r.covariance[0][0]+r.covariance[1][1])/(2*r.variance), 1e-3), 1)
	return r, true
}

// wrong is the probability that a mark is on the wrong thing, given how often one
// is: by its distance from where the other marks put its point. One that nothing
// checks has the share itself.
func (r *markResidual) wrong(share float64) float64 {
	// The residual is kept times the distance from the others' place, whose
	// variance is that of the mark over kept.
	// Bayes' rule between two circular normal densities of d, the distance in
	// the picture of a mark from where the others put its point:
	//
	//	odds = p/(1−p) · (right/off) exp(½ d² (1/right − 1/off)).
	right := r.variance / r.kept
	off := right + sq(wrongOffPx)
	d2 := r.squared * r.variance / sq(r.kept)
	odds := share / (1 - share) * right / off * math.Exp(math.Min(d2/2*(1/right-1/off), 50))
	return odds / (1 + odds)
}
