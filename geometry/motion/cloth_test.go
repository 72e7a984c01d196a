package motion

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// trousers is a Cloth without pictures: patches lie on a shell of its own about the
// golfer's true pelvis, wider and deeper than the fit's rough one, seen by the true
// cameras, and are found with an error of noisePx, a share of wrong of them anywhere.
type trousers struct {
	*reel
	rate    float64
	noisePx float64
	wrong   float64
	slip    func(t float64) float64 // of the cloth on the bone, radians
	blind   [2]bool                 // clips in which nothing is found
	r       *rand.Rand
}

func (c *trousers) Frames(int) []float64 {
	var out []float64
	for n := range int(2 * c.rate) {
		out = append(out, impactSeconds-1.6+float64(n)/c.rate)
	}
	return out
}

// pelvisAt is the true pelvis' frame at a time of a clip's clock.
func (c *trousers) pelvisAt(clip int, own float64) (segmentPose, float64) {
	t := own - impactSeconds + c.phases[clip]
	p := c.at(t)
	mid := r3.Scale(0.5, r3.Add(p[geometry.LeadHip], p[geometry.TrailHip]))
	return segmentPose{at: mid, axes: frameOf(&p, geometry.LeadHip)}, c.slip(t)
}

func (c *trousers) Align(_ context.Context, looks []Look) ([][]Sight, error) {
	times := c.Frames(0)
	p := c.at(0)
	pelvis, _ := c.pelvisAt(0, impactSeconds)
	front, rear := pelvis.inFrame(p[geometry.Buckle]), pelvis.inFrame(p[geometry.Tailbone])
	body := shell{0.19, 0.172, (front[2] - rear[2]) / 2, (front[2] + rear[2]) / 2, front[1]}
	none := make([]float64, shellNodes)
	var out [][]Sight
	for i := range looks {
		l := &looks[i]
		sights := make([]Sight, len(l.Into))
		out = append(out, sights)
		from, slip := c.pelvisAt(l.Clip, times[l.Frame])
		cam := &c.cams[l.Clip]
		o, d := cam.Ray(l.At.X, l.At.Y)
		in := func(w r3.Vec) r3.Vec {
			return r3.Vec{X: r3.Dot(from.axes[0], w), Y: r3.Dot(from.axes[1], w), Z: r3.Dot(from.axes[2], w)}
		}
		_, q, ok := body.meet(in(r3.Sub(o, from.at)), in(d), none)
		if !ok || c.blind[l.Clip] {
			continue
		}
		for k := range l.Into {
			w := &l.Into[k]
			to, now := c.pelvisAt(l.Clip, times[w.Frame])
			sin, cos := math.Sincos(now - slip)
			z := q.Z - body.z0
			at, err := cam.Project(r3.Add(to.at, weighted(&to.axes, [3]float64{q.X*cos - z*sin, q.Y, body.z0 + z*cos + q.X*sin})))
			if err != nil {
				continue
			}
			s := Sight{Found: true, XX: 1 / sq(c.noisePx), YY: 1 / sq(c.noisePx), Correlation: 0.95}
			s.DX, s.DY = at.X-w.At.X+c.noisePx*c.r.NormFloat64(), at.Y-w.At.Y+c.noisePx*c.r.NormFloat64()
			if c.r.Float64() < c.wrong {
				s.DX, s.DY = 4*c.r.NormFloat64(), 4*c.r.NormFloat64()
			}
			sights[k] = s
		}
	}
	return out, nil
}

// clothed is a made-up golfer, filmed, marked, followed and clothed.
func clothed(t *testing.T, seed uint64, slipM float64) *trousers {
	t.Helper()
	r := rand.New(rand.NewPCG(11, seed))
	l := filmMotion(r, madeMotion(r), full)
	key, err := fit.NewSolver().Solve(context.Background(), l.input.Swing)
	require.NoError(t, err)
	l.input.Key = key
	return &trousers{reel: l, rate: 60, noisePx: 0.3, wrong: 0.2, r: r, slip: func(t float64) float64 {
		return slipM / 0.14 * math.Min(math.Max(1+t/0.2, 0), 1) // late in the downswing
	}}
}

// errorsOf are the errors of the pelvis turn at the key positions between address and
// finish, degrees, over the standard deviations told.
func (c *trousers) errorsOf(out *Curves) (errs, sigmas []float64) {
	for _, m := range out.Measures() {
		if m.Name != names[curvePelvis] || m.Position == geometry.Address || m.Position == geometry.Finish {
			continue
		}
		errs = append(errs, m.Value-c.truthAt(c.events[m.Position])[m.Name])
		sigmas = append(sigmas, m.Sigma)
	}
	return errs, sigmas
}

func rms(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v * v
	}
	return math.Sqrt(s / float64(len(x)))
}

// TestClothTurnsThePelvis: with the clothes, which slip by 3 mm late in the downswing, the
// pelvis turn errs by less than without and is no less sure, and the curves say what was seen.
func TestClothTurnsThePelvis(t *testing.T) {
	t.Parallel()
	c := clothed(t, 2, 0.003)
	plain, err := Fit(t.Context(), c.input)
	require.NoError(t, err)
	c.input.Cloth = c
	out, err := Fit(t.Context(), c.input)
	require.NoError(t, err)
	require.True(t, out.Seen.Used())
	assert.Greater(t, out.Seen.Followed, out.Seen.Frames*3/4)
	with, sigmas := c.errorsOf(out)
	without, before := c.errorsOf(plain)
	t.Logf("with %.2f, without %.2f degrees, %d of %d frames", rms(with), rms(without), out.Seen.Followed, out.Seen.Frames)
	assert.Less(t, rms(with), 0.6*rms(without))
	for i := range with {
		assert.LessOrEqual(t, sigmas[i], before[i]+1e-9)
		assert.LessOrEqual(t, sigmas[i], 2.9)
		assert.Less(t, math.Abs(with[i]), 1.96*sigmas[i])
	}
}

// TestClothThatShowsNothing: where one view shows nothing the fit is what it is without
// the clothes, to the last bit.
func TestClothThatShowsNothing(t *testing.T) {
	t.Parallel()
	c := clothed(t, 3, 0)
	want, err := Fit(t.Context(), c.input)
	require.NoError(t, err)
	c.input.Cloth = c
	c.blind[1] = true
	got, err := Fit(t.Context(), c.input)
	require.NoError(t, err)
	assert.Equal(t, ClothOneView, got.Seen.Came)
	assert.Positive(t, got.Seen.Frames)
	assert.Equal(t, want.Curves[curvePelvis].Values, got.Curves[curvePelvis].Values)
	assert.Equal(t, want.Peak, got.Peak)
}

// TestSlipGrows from the backswing to impact, and where no belt is marked.
func TestSlipGrows(t *testing.T) {
	t.Parallel()
	c := clothFit{shell: shell{a1: 0.16, b: 0.11}, top: -0.27}
	assert.InDelta(t, math.Hypot(slipBackM/0.135, clothBias), c.slipSigma(-0.6), 1e-12)
	assert.InDelta(t, math.Hypot(slipLateM/0.135, clothBias), c.slipSigma(0.05), 1e-12)
	assert.Greater(t, c.slipSigma(-0.1), c.slipSigma(-0.2))
	bare := c.slipSigma(0)
	c.hidden = true
	assert.Greater(t, c.slipSigma(0), 1.8*bare)
	assert.Greater(t, c.sigma(0), c.slipSigma(0))
}

// TestClothIsDenied where it turns the pelvis to where the marks say that it is not.
func TestClothIsDenied(t *testing.T) {
	t.Parallel()
	in := curveExample(t)
	f, err := newProblem(&in)
	require.NoError(t, err)
	f.takeKeySigmas(in.Key)
	f.beginCloth()
	f.cloth = &clothFit{shell: newShell(f.st.g[f.oShape:], f.stature), knots: []float64{f.keyTime(geometry.Top), 0}}
	before := f.st.clone()
	assert.False(t, f.denied(before))
	for i := range f.st.x {
		if f.times[i] > -0.1 {
			f.st.x[i][dofTurn] += 30 / toDegrees
		}
	}
	assert.True(t, f.denied(before))
}

// TestClothGradient compares the gradient with differences where clothes are part of
// the cost, at a state away from the solution.
func TestClothGradient(t *testing.T) {
	t.Parallel()
	c := clothed(t, 4, 0)
	c.input.Cloth = c
	f, err := newProblem(&c.input)
	require.NoError(t, err)
	f.beginCloth()
	fit, plan := f.planCloth(&c.input, make([]float64, shellNodes))
	ok, err := f.lookAt(t.Context(), &c.input, fit, plan, 0, 1e3)
	require.NoError(t, err)
	require.True(t, ok)
	f.takeCloth(fit, make([]float64, shellNodes), nil)
	r := rand.New(rand.NewPCG(7, 7))
	here := f.st.clone()
	for i := range here.x {
		for j := range segmentDofs {
			here.x[i][j] += 0.002 * r.NormFloat64()
		}
	}
	for j := fit.oPose; j < f.nG; j++ {
		here.g[j] += 0.002 * r.NormFloat64()
	}
	f.total(here, f.m)
	rhs, rhsG := f.m.RHS()
	check := func(what string, at *float64, want float64) {
		const h = 1e-7
		was := *at
		*at = was + h
		up := f.total(here, nil)
		*at = was - h
		down := f.total(here, nil)
		*at = was
		assert.InDelta(t, want, (down-up)/(2*h), 2e-3*math.Abs(want)+2, what)
	}
	for _, j := range []int{0, 3, 5, 7, 9, 4} {
		check("pose", &here.g[fit.oPose+j], rhsG[fit.oPose+j])
	}
	for j := fit.oShell; j < f.nG; j += 3 {
		check("shell or slip", &here.g[j], rhsG[j])
	}
	check("last slip", &here.g[f.nG-1], rhsG[f.nG-1])
	for _, i := range []int{f.address + 5, len(f.times) / 2} {
		for j := range segmentDofs {
			check("instant", &here.x[i][j], rhs[i][j])
		}
	}
}

// TestSeenIsKept: what was seen reads as it was written, and nonsense as nothing.
func TestSeenIsKept(t *testing.T) {
	t.Parallel()
	for _, s := range []Seen{{}, {ClothUsed, 40, 31}, {ClothOneView, 122, 60}, {ClothUnseen, 7, 0}} {
		assert.Equal(t, s, ParseSeen(s.String()), s.String())
	}
	assert.Equal(t, "one-view 60/122", Seen{ClothOneView, 122, 60}.String())
	for _, bad := range []string{"used", "used 41/40", "used -1/40", "worn 3/4", "used x/y"} {
		assert.Equal(t, Seen{}, ParseSeen(bad), bad)
	}
}
