package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// agreeing is the probability with which cameras that stood still are taken to have
// moved.
const agreeing = 0.01

// places says where the steady unknowns of each swing of a visit stand among those of all:
// the i-th swing's unknown at[i][j] is the visit's to[i][j], of n.
type places struct {
	at, to  [][]int
	cameras [][]int // by swing and clip the number of the camera that it shares, 0 for none
	n       int
}

// share finds what the swings share: one body, its club excepted, and of each view the
// cameras that stood still. In to, a swing's unknowns ascend as in at.
func share(in []*Shares) places {
	p := places{at: make([][]int, len(in)), to: make([][]int, len(in)), cameras: make([][]int, len(in))}
	var body []int
	for i := range bundle.SteadyBody {
		if i != geometry.SegmentClub { // which may be another
			body = append(body, i)
		}
	}
	for i, s := range in {
		p.cameras[i] = make([]int, len(s.clips))
		p.at[i] = append(p.at[i], body...)
		for k := range body {
			p.to[i] = append(p.to[i], k)
		}
	}
	p.n = len(body)
	for _, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		number := 0
		for _, group := range camerasOf(in, view) {
			if len(group) < 2 {
				continue
			}
			number++
			for _, c := range group {
				p.cameras[c.swing][c.clip] = number
				for k, u := range c.unknowns() {
					p.at[c.swing], p.to[c.swing] = append(p.at[c.swing], u), append(p.to[c.swing], p.n+k)
				}
			}
			p.n += bundle.SteadyCamera
		}
	}
	return p
}

// camera is that of a clip of a swing.
type camera struct {
	swing, clip int
	of          *Shares
}

func (c camera) filmed() *geometry.Clip { return &c.of.clips[c.clip] }

func (c camera) unknowns() []int {
	out := make([]int, bundle.SteadyCamera)
	for i := range out {
		out[i] = bundle.SteadyBody + c.clip*bundle.SteadyCamera + i
	}
	return out
}

// camerasOf groups the cameras of a view by where they stood, in the order of the swings.
// Those whose stands are told to differ are apart. Others are together if their estimates
// agree; where they don't, the phone was moved at the moment at which they agree best
// before and after, and groups that agree after all, as on both sides of one swing of poor
// marks, are one again.
func camerasOf(in []*Shares, view geometry.View) (groups [][]camera) {
	type place struct{ stand, width, height int }
	by := make(map[place]int)
	var told [][]camera
	var all []camera
	for i, s := range in {
		if k := slices.IndexFunc(s.clips, func(c geometry.Clip) bool { return c.View == view }); k >= 0 {
			all = append(all, camera{i, k, s})
		}
	}
	last := 0 // one that is not told is where the one before it was
	if k := slices.IndexFunc(all, func(c camera) bool { return c.filmed().Stand != 0 }); k >= 0 {
		last = all[k].filmed().Stand
	}
	for _, c := range all {
		f := c.filmed()
		if f.Stand != 0 {
			last = f.Stand
		}
		at := place{last, f.Width, f.Height}
		if _, ok := by[at]; !ok {
			by[at], told = len(told), append(told, nil)
		}
		told[by[at]] = append(told[by[at]], c)
	}
	for _, one := range told {
		var parts [][]camera
		for _, part := range split(one) {
			joined := false
			for k := range parts {
				if both := append(parts[k][:len(parts[k]):len(parts[k])], part...); !joined && agree(both) {
					parts[k], joined = both, true
				}
			}
			if !joined {
				parts = append(parts, part)
			}
		}
		groups = append(groups, parts...)
	}
	return groups
}

// split divides cameras, in order of time, where they moved.
func split(list []camera) [][]camera {
	if len(list) < 2 || agree(list) {
		return [][]camera{list}
	}
	best, at := math.Inf(1), 1
	for k := 1; k < len(list); k++ {
		before, _ := disagreement(list[:k])
		after, _ := disagreement(list[k:])
		if before+after < best {
			best, at = before+after, k
		}
	}
	return append(split(list[:at]), split(list[at:])...)
}

// agree reports whether cameras can be one: whether their estimates differ by no more than
// their errors.
func agree(list []camera) bool {
	q, ok := disagreement(list)
	return ok && q < distuv.ChiSquared{K: float64(bundle.SteadyCamera * (len(list) - 1))}.Quantile(1-agreeing)
}

// disagreement says how far estimates of one camera lie apart by their errors, 0 of a single
// one. It reports false where that can't be told.
//
// Of m estimates yᵢ of one vector with information Wᵢ the sum Σ (yᵢ − ȳ)ᵀWᵢ(yᵢ − ȳ) about the
// weighted mean is chi-squared with n(m − 1) degrees of freedom (Cochran 1954, Biometrics
// 10:101). The priors, which are in each, draw the estimates together and make it smaller: a
// camera that moved a little passes for one that stood, unless its picture tells.
func disagreement(list []camera) (q float64, ok bool) {
	const n = bundle.SteadyCamera
	info, eta := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	inverses := make([]*mat.SymDense, len(list))
	for i, s := range list {
		var c mat.Cholesky
		inverses[i] = mat.NewSymDense(n, nil)
		if !c.Factorize(part(s.of.steady.Covariance, s.unknowns())) || c.InverseTo(inverses[i]) != nil {
			return math.Inf(1), false
		}
		var v mat.VecDense
		v.MulVec(inverses[i], partOf(s.of.steady.Values, s.unknowns()))
		info.AddSym(info, inverses[i])
		eta.AddVec(eta, &v)
	}
	var c mat.Cholesky
	mean := mat.NewVecDense(n, nil)
	if !c.Factorize(info) || c.SolveVecTo(mean, eta) != nil {
		return math.Inf(1), false
	}
	for i, s := range list {
		var d mat.VecDense
		d.SubVec(partOf(s.of.steady.Values, s.unknowns()), mean)
		q += mat.Inner(&d, inverses[i], &d)
	}
	return q, true
}
