package fit

import (
	"maps"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// Swings of one golfer have one body, and phones on stands stand where they stood. A
// joint fit of a visit would have their unknowns once. Here each swing is fitted by
// itself, and then what each knows of the steady unknowns (bundle.Steady) is put
// together by its information, the prior counted once:
//
//	Λ = P + Σ (Cᵢ⁻¹ − P),  Λ θ = P μ + Σ (Cᵢ⁻¹ θᵢ − P μ)
//
// and every measure f of a swing follows θ as far as it hangs on it, c being the
// covariances of f with the steady unknowns in that swing:
//
//	f + cᵀCᵢ⁻¹(θ − θᵢ),  var f − cᵀCᵢ⁻¹c + cᵀCᵢ⁻¹ Λ⁻¹ Cᵢ⁻¹c
//
// That is the joint fit where everything is linear and normal. What it leaves out: the
// weights of marks and their learned scatter are those of each fit alone, posture priors
// count anew in each swing, and cameras share nothing of their place across the ground.
// Lasting misplacements are in no covariance and stay as they are (markingVariance).
//
// What it is worth (TestTogether, 60 golfers who swing alike each time, usual marks, top and
// impact; error of the mean in root mean square, half its interval, share of true values in
// it), for the mean of fits alone and of the same put together:
//
//	             swings  alone              together
//	pelvis turn  1       5.7 ± 12.7, 97 %   the same
//	             3       3.4 ± 8.1, 99 %    3.4 ± 7.8, 97 %
//	             6       3.1 ± 6.5, 98 %    3.1 ± 6.0, 97 %
//	torso turn   1       3.9 ± 9.8, 97 %    the same
//	             3       2.7 ± 6.4, 97 %    2.7 ± 6.2, 97 %
//	             6       2.3 ± 5.3, 98 %    2.3 ± 5.0, 94 %
//
// One swing of six becomes 1 to 2 % narrower by the other five. So little, because two views
// know body and camera well from one swing already: what is left is the hand's error, which
// the mean halves by itself, and lasting misplacement. From one view, where the body counts
// for more, six together were 24 % narrower and no nearer to the truth (torso turn 5.3 to
// 5.6 degrees, 95 to 90 % inside): depth there is not linear in the lengths, so what is seen
// from one view only stays as it is.

// Shares is what a solution holds of what other swings share. It is constant.
//
// by has, for each measure, its covariances with the steady unknowns in the order of
// bundle.Steady, in its unit times theirs, and the factor by which its standard deviation was
// widened: what is gained is widened alike.
type Shares struct {
	steady *bundle.Steady
	clips  []geometry.Clip
	by     map[measureAt]hanging
}

type measureAt struct {
	name     string
	position geometry.PositionName
}

// hanging is how a measure hangs on the steady unknowns.
type hanging struct {
	with  []float64 // its covariances with them
	wider float64   // see widening
}

// Shares returns what the solution shares, for those measures that were asked for; nil
// where nothing is known.
func (s *Solution) Shares() *Shares {
	if s.Mistake != nil || s.Summary.Status != geometry.Converged {
		return nil
	}
	steady := s.post.Steady()
	if steady == nil {
		return nil
	}
	return &Shares{steady: steady, clips: s.p.Clips, by: maps.Clone(s.hanging)}
}

// A Together says how the measures of one swing change by what the others of the visit
// know. The zero value changes nothing.
//
// own factorises Cᵢ, moved is θ − θᵢ and joint Λ⁻¹, all over the steady unknowns at.
type Together struct {
	// Cameras says by clip whether it is taken to stand where it stood.
	Cameras []bool

	shares *Shares
	at     []int         // the steady unknowns that are shared
	own    *mat.Cholesky // of their covariance in this swing
	moved  *mat.VecDense // by how much they are others, all swings put together
	joint  *mat.SymDense // their covariance then
}

// agreeing is the probability with which cameras that stood still are taken to have
// moved.
const agreeing = 0.01

// PutTogether returns one Together for each of the swings of a visit; nil shares are
// those of a swing that could not be fitted.
//
// Derivation. Given θ the marks of different swings are independent, so that the posterior is
// the prior times the likelihoods, p(θ)·Π pᵢ(θ)/p(θ), pᵢ being the posterior of swing i alone.
// Logarithms of normal densities are quadratic, and information matrices and the vectors
// Cᵢ⁻¹θᵢ add up; each swing's prior is taken off and one put back.
func PutTogether(list []*Shares) []Together {
	out := make([]Together, len(list))
	var in []*Shares
	for _, s := range list {
		if s != nil {
			in = append(in, s)
		}
	}
	if len(in) < 2 {
		return out
	}
	at, still := sharedBy(in)
	n := len(at)
	info, eta := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	prior, mean := part(in[0].steady.Prior, at), partOf(in[0].steady.PriorMean, at)
	info.CopySym(prior)
	eta.MulVec(prior, mean)
	factors := make([]*mat.Cholesky, len(in))
	for i, s := range in {
		own, ok := told(s, at)
		var c mat.Cholesky
		if !ok || !c.Factorize(part(s.steady.Covariance, at)) {
			return out
		}
		factors[i] = &c
		info.AddSym(info, own)
		var v, pm mat.VecDense
		if c.SolveVecTo(&v, partOf(s.steady.Values, at)) != nil {
			return out
		}
		pm.MulVec(part(s.steady.Prior, at), partOf(s.steady.PriorMean, at))
		v.SubVec(&v, &pm)
		eta.AddVec(eta, &v)
	}
	var joint mat.Cholesky
	theta, covariance := mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
	if !joint.Factorize(info) || joint.SolveVecTo(theta, eta) != nil || joint.InverseTo(covariance) != nil {
		return out
	}
	k := 0
	for i, s := range list {
		if s == nil {
			continue
		}
		var moved mat.VecDense
		moved.SubVec(theta, partOf(s.steady.Values, at))
		out[i] = Together{Cameras: still, shares: s, at: at, own: factors[k], moved: &moved, joint: covariance}
		k++
	}
	return out
}

// Apply returns a measure as the swings tell it together. One that was not made by this
// fit of the marks alone is returned as it is.
//
// Given θ the measure f is normal with mean f + cᵀCᵢ⁻¹(θ − θᵢ) and the variance that is left
// when θ is known (Bishop 2006, 2.3.1); over θ ~ N(·, Λ⁻¹) that of the mean joins. With
// w = Cᵢ⁻¹c the gain is cᵀw − wᵀΛ⁻¹w, which is not negative where Λ⁻¹ ≤ Cᵢ.
func (t *Together) Apply(m geometry.Measure) geometry.Measure {
	if t.shares == nil {
		return m
	}
	h, ok := t.shares.by[measureAt{m.Name, m.Position}]
	if !ok {
		return m
	}
	c := partOf(h.with, t.at)
	w := new(mat.VecDense)
	if t.own.SolveVecTo(w, c) != nil {
		return m
	}
	gained := sq(h.wider) * (mat.Dot(c, w) - mat.Inner(w, t.joint, w))
	by := mat.Dot(w, t.moved)
	// A shift that is more than what is known of it is a sign that it is not linear.
	if !(gained > 0) || gained > sq(m.Shared) || math.Abs(by) > mostMoved*math.Sqrt(gained) {
		return m
	}
	ratio := math.Sqrt(sq(m.Sigma)-gained) / m.Sigma
	m.Low95, m.High95 = m.Value+by-ratio*(m.Value-m.Low95), m.Value+by+ratio*(m.High95-m.Value)
	m.Value += by
	m.Sigma *= ratio
	m.Shared = math.Max(math.Sqrt(sq(m.Shared)-gained), m.Lasting)
	return m
}

// mostMoved is by how many standard deviations a measure may move.
const mostMoved = 3

// sharedBy returns the indices of the steady unknowns that the swings share, and which
// clips' cameras are among them: those whose estimates agree.
func sharedBy(in []*Shares) (at []int, still []bool) {
	for i := range bundle.SteadyBody {
		if i != geometry.SegmentClub { // which may be another
			at = append(at, i)
		}
	}
	still = make([]bool, len(in[0].clips))
	for c := range still {
		var camera []int
		for i := range bundle.SteadyCamera {
			camera = append(camera, bundle.SteadyBody+c*bundle.SteadyCamera+i)
		}
		if still[c] = agree(in, c, camera); still[c] {
			at = append(at, camera...)
		}
	}
	return at, still
}

// agree reports whether the cameras of a clip can be one: of one size and view, and
// estimates that differ by no more than their errors.
//
// Of m estimates yᵢ of one vector with information Wᵢ the sum Σ (yᵢ − ȳ)ᵀWᵢ(yᵢ − ȳ) about the
// weighted mean is chi-squared with n(m − 1) degrees of freedom (Cochran 1954, Biometrics
// 10:101). The priors, which are in each, draw the estimates together and make it smaller: a
// camera that moved a little passes for one that stood.
func agree(in []*Shares, clip int, at []int) bool {
	first := in[0].clips
	n := len(at)
	info, eta := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	inverses := make([]*mat.SymDense, len(in))
	for i, s := range in {
		if len(s.clips) != len(first) || s.clips[clip].View != first[clip].View || s.clips[clip].Width != first[clip].Width || s.clips[clip].Height != first[clip].Height {
			return false
		}
		var c mat.Cholesky
		inverses[i] = mat.NewSymDense(n, nil)
		if !c.Factorize(part(s.steady.Covariance, at)) || c.InverseTo(inverses[i]) != nil {
			return false
		}
		var v mat.VecDense
		v.MulVec(inverses[i], partOf(s.steady.Values, at))
		info.AddSym(info, inverses[i])
		eta.AddVec(eta, &v)
	}
	var c mat.Cholesky
	mean := mat.NewVecDense(n, nil)
	if !c.Factorize(info) || c.SolveVecTo(mean, eta) != nil {
		return false
	}
	var q float64
	for i, s := range in {
		var d mat.VecDense
		d.SubVec(partOf(s.steady.Values, at), mean)
		q += mat.Inner(&d, inverses[i], &d)
	}
	return q < distuv.ChiSquared{K: float64(n * (len(in) - 1))}.Quantile(1-agreeing)
}

// told is what a swing's marks tell of the shared unknowns: its information less that of
// the prior.
//
// C⁻¹ of the shared unknowns, all others integrated over, is what their priors and this swing
// say of them; the prior's own part is not quite separate where it is a t distribution's, whose
// weight is taken as it stood.
func told(s *Shares, at []int) (*mat.SymDense, bool) {
	n := len(at)
	var c mat.Cholesky
	own := mat.NewSymDense(n, nil)
	if !c.Factorize(part(s.steady.Covariance, at)) || c.InverseTo(own) != nil {
		return nil, false
	}
	prior := part(s.steady.Prior, at)
	prior.ScaleSym(-1, prior)
	own.AddSym(own, prior)
	return own, true
}

// part is the square part of a matrix at some indices: of a covariance the marginal of those,
// of an information matrix what is known of them given all others.
func part(m *mat.SymDense, at []int) *mat.SymDense {
	out := mat.NewSymDense(len(at), nil)
	for i, a := range at {
		for j := i; j < len(at); j++ {
			out.SetSym(i, j, m.At(a, at[j]))
		}
	}
	return out
}

// partOf is a vector's part at some indices, in their order.
func partOf(v []float64, at []int) *mat.VecDense {
	out := mat.NewVecDense(len(at), nil)
	for i, a := range at {
		out.SetVec(i, v[a])
	}
	return out
}
