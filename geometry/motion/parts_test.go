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

// TestLevelled works an example by hand: two marks with a click error of 2 px of
// which following says that they differ by 3 px, give or take 1. The sum of the
// errors stays 0, the difference is 3·8/(8+1); what they have in common movesWithBody half
// the variance of a click, and half the difference varies by a quarter of 1·8/(8+1).
// The marks move the same way in the picture of a left-hander; and what a program is
// off by alike in both, here 3 px, stays as it was.
func TestLevelled(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		handed geometry.Handed
		bias   float64
	}{{geometry.RightHanded, 0}, {geometry.LeftHanded, 0}, {geometry.RightHanded, 3}} {
		in := curveExample(t)
		if c.handed == geometry.LeftHanded {
			mirror(&in.Swing)
		}
		tr := Track{Clip: 0, Point: geometry.Buckle}
		var at []int
		for i := range in.Swing.Marks {
			m := &in.Swing.Marks[i]
			if m.Clip == 0 && m.Point == geometry.Buckle && (m.Position == 0 || m.Position == 3) {
				m.SigmaPx, m.SharedBiasPx = math.Hypot(2, c.bias), c.bias
				at = append(at, i)
				tr.Anchors = append(tr.Anchors, Anchor{Observation: len(tr.Observations)})
				tr.Observations = append(tr.Observations, Observation{Seconds: in.Swing.Positions[m.Position].Seconds[0], At: m.At})
			}
		}
		require.Len(t, at, 2)
		tr.Anchors[0].Missed, tr.Anchors[0].MissSigmaPx = geometry.ImagePt{X: 3}, 1
		key, err := fit.NewSolver().Solve(context.Background(), in.Swing)
		require.NoError(t, err)
		got := fuse(key, []Track{tr})
		for k, i := range at {
			was, is := in.Swing.Marks[i], got.Marks[i]
			assert.InDelta(t, was.At.X+[2]float64{-4, 4}[k]/3, is.At.X, 1e-9)
			assert.InDelta(t, was.At.Y, is.At.Y, 1e-9)
			assert.InDelta(t, math.Sqrt(2+0.25*8/9+c.bias*c.bias), is.SigmaPx, 1e-12)
			assert.InDelta(t, math.Sqrt(2+c.bias*c.bias), is.SharedBiasPx, 1e-12)
		}
		for i := range in.Swing.Marks {
			if i != at[0] && i != at[1] {
				assert.Equal(t, in.Swing.Marks[i].SigmaPx, got.Marks[i].SigmaPx, "following says nothing of it")
			}
		}
	}
}

// TestDofCovariance compares the covariance of the degrees of freedom with that of
// the points they are read from: a knee is its own, the middle of the hips the mean
// of two.
func TestDofCovariance(t *testing.T) {
	in := curveExample(t)
	s := in.Key
	const pos = 3
	var points [len(Points)]r3.Vec
	for i, pt := range Points {
		points[i] = s.Points[pos][pt].At
	}
	cov := dofCovariance(s, pos, &points)
	for r := range 3 {
		for c := range 3 {
			assert.InDelta(t, s.Points[pos][geometry.TrailKnee].Covariance[r][c], cov.At(dofTrailKnee+r, dofTrailKnee+c), 1e-8)
		}
	}
	by := make([]float64, 3*geometry.NumBody)
	variance := func() float64 { return s.LinearCovariance(pos, [][]float64{by}).At(0, 0) }
	by[3*int(geometry.LeadHip)], by[3*int(geometry.TrailHip)] = 0.5, 0.5
	assert.InDelta(t, variance(), cov.At(0, 0), 1e-8)
	// A turn is told by the hips' places along the way they turn.
	d := r3.Sub(points[0], points[1])
	rho2 := d.X*d.X + d.Z*d.Z
	clear(by)
	for k, pt := range []geometry.Point{geometry.LeadHip, geometry.TrailHip} {
		sign := 1 - 2*float64(k)
		by[3*int(pt)], by[3*int(pt)+2] = -sign*d.Z/rho2, sign*d.X/rho2
	}
	assert.InEpsilon(t, variance(), cov.At(dofTurn, dofTurn), 1e-4)
}

// TestPose compares the derivatives of a segment's frame with differences, and
// reads a pose back from its points.
func TestPose(t *testing.T) {
	x := []float64{0.1, 0.9, -0.05, 0.7, -0.15, 0.4}
	p := poseOf(x)
	for i := range p.axes {
		assert.InDelta(t, 1, r3.Norm(p.axes[i]), 1e-12)
		assert.InDelta(t, 0, r3.Dot(p.axes[i], p.axes[(i+1)%3]), 1e-12)
	}
	assert.InDelta(t, 0, r3.Norm(r3.Sub(r3.Cross(p.axes[0], p.axes[1]), p.axes[2])), 1e-12, "lead × up = front")
	assert.InDelta(t, 0.7, math.Atan2(p.axes[0].Z, p.axes[0].X), 1e-12, "the turn is the heading")
	for k := range 3 {
		const h = 1e-6
		up, down := append([]float64(nil), x...), append([]float64(nil), x...)
		up[dofTurn+k] += h
		down[dofTurn+k] -= h
		a, b := poseOf(up), poseOf(down)
		for i := range p.axes {
			d := r3.Scale(1/(2*h), r3.Sub(a.axes[i], b.axes[i]))
			assert.InDelta(t, 0, r3.Norm(r3.Sub(d, p.by[k][i])), 1e-8, "axis %d by angle %d", i, k)
		}
	}
	q := [3]float64{0.09}
	lead := r3.Add(p.at, weighted(&p.axes, q))
	trail := r3.Sub(p.at, weighted(&p.axes, q))
	got := dofsOf(lead, trail, p.axes[2])
	assert.InDeltaSlice(t, x, got[:], 1e-12)
}

// curveExample is a made-up golfer filmed, marked and followed without error.
func curveExample(t *testing.T) Input {
	t.Helper()
	r := rand.New(rand.NewPCG(5, 6))
	in := filmMotion(r, madeMotion(r), filming{}).input
	for i := range in.Tracks {
		for j := range in.Tracks[i].Observations {
			in.Tracks[i].Observations[j].SigmaPx = 1
		}
	}
	key, err := fit.NewSolver().Solve(context.Background(), in.Swing)
	require.NoError(t, err)
	in.Key = key
	return in
}

// mirror makes a left-hander of a right-hander's swing.
func mirror(sw *geometry.Swing) {
	sw.Golfer.Handed = geometry.LeftHanded
	*sw = sw.Mirrored()
}

// TestCurveGradient compares the gradient of the whole cost with differences, at
// a state away from the solution.
func TestCurveGradient(t *testing.T) {
	t.Parallel()
	in := curveExample(t)
	f, err := newProblem(&in)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(7, 7))
	dX, dG := f.m.Columns(1)
	for i := range dX {
		for j := range dX[i] {
			dX[i][j] = 0.003 * r.NormFloat64()
		}
	}
	for j := heldUnknowns; j < len(dG); j++ {
		dG[j] = 0.003 * r.NormFloat64()
	}
	here := f.st.clone()
	here.stepFrom(f.st, dX, dG)
	f.total(here, f.m)
	rhs, rhsG := f.m.RHS()
	try := func(i, j int, want float64) {
		const h = 1e-6
		var cost [2]float64
		for k, d := range [2]float64{h, -h} {
			dX, dG := f.m.Columns(1)
			if i >= 0 {
				dX[i][j] = d
			} else {
				dG[j] = d
			}
			s := here.clone()
			s.stepFrom(here, dX, dG)
			cost[k] = f.total(s, nil)
		}
		got := (cost[1] - cost[0]) / (2 * h)
		assert.InDelta(t, want, got, 1e-3*math.Abs(want)+2e-2, "block %d unknown %d", i, j)
	}
	for _, i := range []int{0, f.address, len(f.times) / 2, len(f.times) - 1} {
		for j := range blockSize {
			try(i, j, rhs[i][j])
		}
	}
	for j := heldUnknowns; j < f.nG; j++ {
		try(-1, j, rhsG[j])
	}
}

// TestCurvesInTheMirror measures the same golfer as a left-hander, and in a clip
// that is a mirror image.
func TestCurvesInTheMirror(t *testing.T) {
	t.Parallel()
	want, err := Fit(context.Background(), curveExample(t))
	require.NoError(t, err)
	for name, turn := range map[string]func(*geometry.Swing){
		"left-hander": mirror,
		"mirrored clip": func(sw *geometry.Swing) {
			sw.Clips[1].Mirrored = true
			*sw = sw.Mirrored()
		},
	} {
		in := curveExample(t)
		turn(&in.Swing)
		for i := range in.Tracks {
			tr := &in.Tracks[i]
			if !in.Swing.Flipped(tr.Clip) {
				continue
			}
			for j := range tr.Observations {
				s := &tr.Observations[j].At
				s.X = float64(in.Swing.Clips[tr.Clip].Width) - s.X
			}
		}
		in.Key, err = fit.NewSolver().Solve(context.Background(), in.Swing)
		require.NoError(t, err)
		got, err := Fit(context.Background(), in)
		require.NoError(t, err)
		for k := range want.Curves {
			for i, v := range want.Curves[k].Values {
				assert.InDelta(t, v.Value, got.Curves[k].Values[i].Value, 0.02, "%s: %s at %v", name, want.Curves[k].Name, want.Seconds[i])
			}
		}
	}
}

// TestCurvesLost takes all points of the pelvis away for a while: the band
// widens, and where it is too wide there is no curve.
func TestCurvesLost(t *testing.T) {
	t.Parallel()
	in := curveExample(t)
	whole, err := Fit(context.Background(), in)
	require.NoError(t, err)
	lost := func(seconds float64) bool { at := seconds - impactSeconds; return at > -0.25 && at < 0.05 }
	seen := in.Swing.Marks
	in.Swing.Marks = nil
	for _, m := range seen {
		pelvis := m.Point == geometry.LeadHip || m.Point == geometry.TrailHip || m.Point == geometry.Buckle || m.Point == geometry.Tailbone
		if !pelvis || !lost(in.Swing.Positions[m.Position].Seconds[m.Clip]) {
			in.Swing.Marks = append(in.Swing.Marks, m)
		}
	}
	in.Key, err = fit.NewSolver().Solve(context.Background(), in.Swing)
	require.NoError(t, err)
	for i := range in.Tracks {
		tr := &in.Tracks[i]
		if carrierOf(tr.Point).dof != 0 {
			continue
		}
		kept := Track{Clip: tr.Clip, Point: tr.Point}
		for j, s := range tr.Observations {
			if lost(s.Seconds) {
				continue
			}
			for _, a := range tr.Anchors {
				if a.Observation == j {
					kept.Anchors = append(kept.Anchors, Anchor{Observation: len(kept.Observations)})
				}
			}
			kept.Observations = append(kept.Observations, s)
		}
		*tr = kept
	}
	got, err := Fit(context.Background(), in)
	require.NoError(t, err)
	assert.True(t, whole.At(curvePelvis, -0.1).Known)
	assert.False(t, got.At(curvePelvis, -0.1).Known, "nothing is guessed")
	assert.True(t, got.At(curveTorso, -0.1).Known, "the chest was followed")
	assert.True(t, got.At(curvePelvis, -0.6).Known)
	assert.Greater(t, got.At(curvePelvis, -0.24).RateSigma, whole.At(curvePelvis, -0.24).RateSigma)
	assert.False(t, got.At(curveSeparation, -0.1).Known)
}

func TestCurvesStop(t *testing.T) {
	in := curveExample(t)
	ctx, cancel := context.WithCancel(context.Background())
	in.Progress = func(part float64) {
		if part > 0.1 {
			cancel()
		}
	}
	_, err := Fit(ctx, in)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestCurvesSayWhatIsMissing(t *testing.T) {
	in := curveExample(t)
	swing := in.Swing
	_, err := Fit(context.Background(), Input{Swing: geometry.Swing{Clips: swing.Clips[:1]}})
	var none *NoCurves
	require.ErrorAs(t, err, &none)
	assert.Equal(t, NoSecondView, none.Lacks[0].What)
	swing.Marks = nil
	for _, m := range in.Swing.Marks {
		if m.Position == 3 && (m.Point == geometry.LeadHip || m.Point == geometry.LeadShoulder && m.Clip == 1 || m.Point == geometry.TrailShoulder && m.Clip == 1) {
			continue
		}
		swing.Marks = append(swing.Marks, m)
	}
	assert.Equal(t, []Lack{
		{What: NoPoints, Position: geometry.Top, View: geometry.FaceOn, Points: []geometry.Point{geometry.LeadHip, geometry.TrailHip}},
		{What: NoPoints, Position: geometry.Top, View: geometry.DownTheLine, Points: []geometry.Point{geometry.LeadShoulder, geometry.TrailShoulder}, Any: true},
	}, Missing(&swing))
	in.Tracks = nil
	_, err = Fit(context.Background(), in)
	require.ErrorAs(t, err, &none)
	assert.Equal(t, []Lack{{What: NoTracks}}, none.Lacks)
}
