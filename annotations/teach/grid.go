package teach

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"turngauge/annotations"
	"turngauge/geometry"
)

// A law is one set of what is not known of the errors: by what factor their variances are
// what was stated (q), which part of that the shared one is of its own (s), and what part of a
// picture's own returns at that key position (r).
type law struct{ q, s, r, prior float64 }

// laws are the grid over which these are integrated. The stated deviations are those of
// photographs of people whom the program has not seen, so that q is 1 to within a factor of
// two or so; r was 0.77 on the demo's visit, and is not known of film. The priors are ours.
var laws = func() (out []law) {
	for _, q := range []float64{1. / 64, 1. / 16, 1. / 8, 1. / 4, 1. / 2, 1, 2, 4} {
		for _, s := range []float64{0.1, 0.4, 1} {
			for _, r := range []float64{0.1, 0.3, 0.5, 0.7, 0.85, 0.95} {
				z := math.Log(q) / (2 * math.Ln2)
				out = append(out, law{q, s, r, -z*z/2 + math.Log(r) + math.Log1p(-r)/2})
			}
		}
	}
	return out
}()

// anewPrior is the logarithm of how well a law goes with how far the places that the
// program saw in different swings differ, as a part of the stated own variance: all that is
// anew shows in that, and how the golfer stood each time does too. So it is more than the
// law's by a factor that is not known, seldom less. The widths are ours: 0.4 is how well some
// dozens of places tell a variance of which each point has another, 0.7 that a golfer may
// differ by as much as the program errs.
func (w *law) anewPrior(scatter float64) float64 {
	if !(scatter > 0) {
		return 0
	}
	z := math.Log(w.q * (1 - w.r) / scatter)
	if z > 0 {
		return -z * z / (2 * 0.4 * 0.4)
	}
	return -z * z / (2 * 0.7 * 0.7)
}

// anew returns by how much the places that a program saw at one key position differ from
// swing to swing, a variance in units of that stated for what is anew or returns there: the
// median over points and key positions, which a few that the golfer moved elsewhere do not
// draw. What all points of a picture have in common is where he stood. 0 where no two swings
// can be compared.
func (t *ties) anew(all map[class][]telling) float64 {
	type picture struct {
		swing, clip int
		position    geometry.PositionName
	}
	middle, seen := make(map[picture][2]float64), make(map[picture]float64)
	for _, list := range all {
		for i := range list {
			k := picture{list[i].swing, list[i].clip, list[i].position}
			m := middle[k]
			middle[k] = [2]float64{m[0] + list[i].seen.At.X, m[1] + list[i].seen.At.Y}
			seen[k]++
		}
	}
	var ratios []float64
	for _, list := range all {
		for at := 0; at < len(list); {
			// One key position in all swings that can be compared with its first.
			first := &list[at]
			var own, x, y []float64
			for i := range list {
				o := &list[i]
				if o.position != first.position || i < at || !t.comparable(first, o) {
					continue
				}
				k := picture{o.swing, o.clip, o.position}
				s := sampleOf(*o)
				own = append(own, s.own*s.own)
				x = append(x, o.seen.At.X-middle[k][0]/seen[k])
				y = append(y, o.seen.At.Y-middle[k][1]/seen[k])
			}
			if n := float64(len(x)); n > 1 {
				// The median of a χ² lies below its mean (Wilson & Hilferty 1931, PNAS 17:684).
				free := 2 * (n - 1)
				median := math.Pow(1-2/(9*free), 3)
				ratios = append(ratios, (squares(x)+squares(y))/free/mean(own)/median)
			}
			at++
			for at < len(list) && slices.ContainsFunc(list[:at], func(o telling) bool {
				return o.position == list[at].position && t.comparable(&o, &list[at])
			}) {
				at++
			}
		}
	}
	if len(ratios) < leastCommon {
		return 0
	}
	slices.Sort(ratios)
	return ratios[len(ratios)/2]
}

// comparable reports whether two pictures are of swings that were swung alike before one
// phone.
func (t *ties) comparable(a, b *telling) bool {
	return t.size(a.swing, a.clip, b.swing, b.clip) > 0 && alike(&t.l.Swings[a.swing], &t.l.Swings[b.swing])
}

func mean(v []float64) (m float64) {
	for _, x := range v {
		m += x / float64(len(v))
	}
	return m
}

// squares is the sum of squares about the mean.
func squares(v []float64) (sum float64) {
	m := mean(v)
	for _, x := range v {
		sum += (x - m) * (x - m)
	}
	return sum
}

// A sample is a place with what was stated of its errors, standard deviations in pixels.
type sample struct {
	telling
	shared, own float64
}

func sampleOf(t telling) sample {
	shared := math.Min(t.seen.SharedBiasPx, t.seen.SDPx)
	return sample{t, shared, math.Sqrt(t.seen.SDPx*t.seen.SDPx - shared*shared)}
}

// products are what the covariance of two errors of one point in one view is made of.
// Deviations are each of their own picture, so that they need no size.
type products struct{ shared, own, anew float64 }

func (t *ties) products(a, b *sample) (p products) {
	switch {
	case t.size(a.swing, a.clip, b.swing, b.clip) == 0:
		return p
	case a.position == b.position && alike(&t.l.Swings[a.swing], &t.l.Swings[b.swing]):
		p.own = a.own * b.own
		if a.swing == b.swing && a.clip == b.clip {
			p.anew = p.own
		}
	}
	p.shared = a.shared * b.shared
	return p
}

func (p *products) covariance(w *law) float64 {
	return w.q * (w.s*p.shared + w.r*p.own + (1-w.r)*p.anew)
}

// evidence is the corrections of one point in one view under one law: its matrix is
// factorised, and solved for the errors that were told.
type evidence struct {
	chol mat.Cholesky
	x    [2]*mat.VecDense
	log  float64 // likelihood
}

// evidences returns that of each law; nil where a matrix can't be used.
func (t *ties) evidences(told []sample) []evidence {
	n := len(told)
	between := make([]products, n*n)
	d := [2]*mat.VecDense{mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)}
	for i := range told {
		for j := i; j < n; j++ {
			between[i*n+j] = t.products(&told[i], &told[j])
		}
		for axis := range d {
			d[axis].SetVec(i, -told[i].by[axis]) // a hand moves by minus the error
		}
	}
	out := make([]evidence, len(laws))
	k := mat.NewSymDense(n, nil)
	for w := range laws {
		e := &out[w]
		for i := range told {
			for j := i; j < n; j++ {
				k.SetSym(i, j, between[i*n+j].covariance(&laws[w]))
			}
			k.SetSym(i, i, k.At(i, i)+told[i].hand*told[i].hand)
		}
		if !e.chol.Factorize(k) {
			return nil
		}
		for axis := range d {
			e.x[axis] = new(mat.VecDense)
			if e.chol.SolveVecTo(e.x[axis], d[axis]) != nil {
				return nil
			}
			e.log -= (mat.Dot(d[axis], e.x[axis]) + e.chol.LogDet()) / 2
		}
	}
	return out
}

// negligible is how much less likely than the likeliest a law is that is passed over.
const negligible = 1e-3

// weights turns logarithms into weights that add up to 1, of which many are 0.
func weights(logs []float64) []float64 {
	most := slices.Max(logs)
	out, sum := make([]float64, len(logs)), 0.0
	for i, v := range logs {
		if v > most+math.Log(negligible) {
			out[i] = math.Exp(v - most)
			sum += out[i]
		}
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// alike reports whether two swings were swung alike: with one club, and with the same tried.
func alike(a, b *annotations.Swing) bool { return a.Tried == b.Tried && a.Club.Name == b.Club.Name }
