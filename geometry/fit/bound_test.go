package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// The information bound of a made-up film. A golfer and his cameras are a
// function of the random numbers they were drawn from; marks, stick and what is
// told beforehand are observations of it. The Bayesian Cramer-Rao bound (Van
// Trees 1968, Detection, Estimation and Modulation Theory I, 2.4) with the
// numbers' own distributions, the uniform ones replaced by normal ones of the
// same variance, is what an estimator could reach that were told exactly how
// the made-up golfers move, that their pelvis is rigid, their cameras' ranges,
// and every mark's true spread: more than any estimator of real swings knows.

// tape movesWithBody the random numbers drawn from another source, and plays them
// again with one changed.
type tape struct {
	from    *rand.Rand
	drawn   []float64
	sigma   []float64 // standard deviation of each; 0 for a choice
	free    []bool    // numbers of posture, whose spread the bound leaves aside
	posture bool
	again   bool
	next    int
	which   int
	by      float64
}

func (t *tape) take(fresh func() float64, sigma float64) float64 {
	if !t.again {
		t.drawn = append(t.drawn, fresh())
		t.sigma = append(t.sigma, sigma)
		t.free = append(t.free, t.posture)
	}
	v := t.drawn[t.next]
	if t.again && t.next == t.which {
		v += t.by
	}
	t.next++
	return v
}

func (t *tape) Float64() float64 {
	return t.take(func() float64 { return t.from.Float64() }, 1/math.Sqrt(12))
}
func (t *tape) NormFloat64() float64 {
	return t.take(func() float64 { return t.from.NormFloat64() }, 1)
}
func (t *tape) IntN(n int) int {
	return int(t.take(func() float64 { return float64(t.from.IntN(n)) }, 0))
}

// with returns the tape rewound, number k to be changed by a hundredth of its
// standard deviation, one way or the other.
func (t *tape) with(k int, by float64) *tape {
	return &tape{drawn: t.drawn, sigma: t.sigma, free: t.free, again: true, which: k, by: by}
}

// boundStep is the step of the numerical derivatives, in standard deviations.
const boundStep = 1e-4

// observe lists what is observed of a scene, each in units of the standard
// deviation of its error.
func (f *film) observe(s *scene) []float64 {
	out := []float64{s.club / clubErrorM}
	if f.o.stature {
		out = append(out, s.h/statureErrorM)
	}
	for c := range s.cams {
		if f.o.focal {
			out = append(out, math.Log(s.cams[c].FocalPx)/focalError)
		}
		if f.o.stick {
			for _, e := range s.stick {
				p, _ := s.cams[c].Project(e)
				out = append(out, p.X/clickPx, p.Y/clickPx)
			}
		}
	}
	// What is known of the errors of marks: fat tails make the middle
	// sharper. A bivariate Student t with ν degrees of freedom has
	// (ν+2)/(ν+4) · ν/(ν−2) times the information of a normal distribution of
	// its variance; a misplaced mark is taken to be known as such.
	gain := 1.0
	if f.o.fatTails {
		gain = 8.0 / 10 * 6 / 4
	}
	gain *= 1 - f.o.heavy
	for i, m := range f.clean.Marks {
		p, _ := s.cams[m.Clip].Project(s.aimed[m.Position][m.Point])
		k := math.Sqrt(gain) / f.noise[i]
		out = append(out, k*p.X, k*p.Y)
	}
	return out
}

// bounds returns the bound of every measure's standard deviation, by "name /
// position".
func (f *film) bounds() map[string]float64 {
	n := len(f.tape.drawn)
	base := f.observe(f.scene)
	jac := mat.NewDense(len(base), n, nil)
	nearby := make([]*scene, n)
	for k, sigma := range f.tape.sigma {
		by := boundStep * sigma
		if f.tape.drawn[k] > 0.5 { // uniform numbers stay within their range
			by = -by
		}
		nearby[k] = makeScene(f.tape.with(k, by), &f.o)
		if sigma == 0 {
			continue
		}
		for i, v := range f.observe(nearby[k]) {
			jac.Set(i, k, (v-base[i])*sigma/by)
		}
	}
	info := mat.NewSymDense(n, nil)
	info.SymOuterK(1, jac.T())
	for k := 0; k < n; k++ {
		prior := 1.0
		if f.tape.free[k] {
			prior = 1e-4
		}
		info.SetSym(k, k, info.At(k, k)+prior)
	}
	var chol mat.Cholesky
	if !chol.Factorize(info) {
		return nil
	}
	out := map[string]float64{}
	sw := geometry.Swing{Golfer: f.swing.Golfer, Positions: f.swing.Positions}
	p := bundle.NewProblem(&sw)
	s := Solution{p: p, st: stateOf(p, f.points), sw: sw}
	g, x := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for pos, name := range p.Names {
		slots := s.slotPositions(pos)
		for _, d := range geometry.DefinitionsAt(name) {
			if !d.Covered(slots) {
				continue
			}
			_, gr := p.Differentiate(s.st, d, slots)
			for k, sigma := range f.tape.sigma {
				var v float64
				for slot, at := range gr.Pos {
					for j, dv := range gr.By[slot] {
						if dv != 0 {
							v += dv * (coordinate(nearby[k], at, j) - coordinate(f.scene, at, j))
						}
					}
				}
				if sigma > 0 {
					by := boundStep
					if f.tape.drawn[k] > 0.5 {
						by = -by
					}
					g.SetVec(k, v/by)
				} else {
					g.SetVec(k, 0)
				}
			}
			if chol.SolveVecTo(x, g) == nil {
				out[d.Name+" / "+string(name)] = math.Sqrt(mat.Dot(g, x))
			}
		}
	}
	return out
}

func coordinate(s *scene, pos, j int) float64 {
	p := s.points[pos][j/3]
	return [3]float64{p.X, p.Y, p.Z}[j%3]
}

func stateOf(p *bundle.Problem, points [][geometry.NumPoints]geometry.WorldPt) *bundle.State {
	st := p.Blank()
	for i := range points {
		for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
			st.Set(i, pt, points[i][pt])
		}
	}
	return st
}

// A second view adds information, and so do more marks: the bound falls.
func TestBoundFallsWithInformation(t *testing.T) {
	one := accuracyBase
	one.views = []geometry.View{geometry.FaceOn}
	f := anyFilm(3, one)
	alone := f.bounds()
	require.NotEmpty(t, alone)
	two := accuracyBase
	two.views = bothViews
	both := anyFilm(3, two).bounds()
	for _, k := range []string{"pelvis turn / top", "torso turn / top", "forward bend / top", "sway / top", "lead foot flare / address"} {
		assert.Positive(t, both[k], k)
		assert.Less(t, both[k], alone[k], k)
	}
}
