package geometry

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestBandAgainstDense holds the banded factor, its solutions, covariances and
// draws against gonum's dense algebra on the same matrix.
func TestBandAgainstDense(t *testing.T) {
	const n, nB, nG = 5, 4, 3
	r := rand.New(rand.NewPCG(1, 1))
	m := newBand(n, nB, nG)
	size := n*nB + nG
	dense, rhs := mat.NewSymDense(size, nil), mat.NewVecDense(size, nil)
	for range 200 {
		i := r.IntN(n - 1)
		var row bandRow
		full := mat.NewVecDense(size, nil)
		for k := range 2 * nB {
			if r.Float64() < 0.6 {
				v := r.NormFloat64()
				row.local(k, v)
				full.SetVec(i*nB+k, v)
			}
		}
		for k := range nG {
			v := r.NormFloat64()
			row.global(k, v)
			full.SetVec(n*nB+k, v)
		}
		res, w := r.NormFloat64(), 0.5+r.Float64()
		m.add(i, &row, res, w)
		dense.SymRankOne(dense, w, full)
		rhs.AddScaledVec(rhs, -w*res, full)
	}
	require.True(t, m.factor(0))
	var chol mat.Cholesky
	require.True(t, chol.Factorize(dense))
	var want mat.VecDense
	require.NoError(t, chol.SolveVecTo(&want, rhs))
	for _, k := range []int{1, 3} {
		x, xG := m.columns(k)
		for i := range x {
			for j := range nB {
				x[i][j*k] = m.rhs[i][j]
			}
		}
		for j := range nG {
			xG[j*k] = m.rhsG[j]
		}
		m.solve(x, xG, k)
		for i := range n {
			for j := range nB {
				assert.InDelta(t, want.AtVec(i*nB+j), x[i][j*k], 1e-10)
			}
		}
		for j := range nG {
			assert.InDelta(t, want.AtVec(n*nB+j), xG[j*k], 1e-10)
		}
	}
	var inv mat.SymDense
	require.NoError(t, chol.InverseTo(&inv))
	own, border, g := m.blocks()
	for i := range n {
		for a := range nB {
			for b := range nB {
				assert.InDelta(t, inv.At(i*nB+a, i*nB+b), own[i][a*nB+b], 1e-10)
			}
			for b := range nG {
				assert.InDelta(t, inv.At(i*nB+a, n*nB+b), border[i][a*nG+b], 1e-10)
			}
		}
	}
	for a := range nG {
		for b := range nG {
			assert.InDelta(t, inv.At(n*nB+a, n*nB+b), g[a*nG+b], 1e-10)
		}
	}
	// Draws: the covariance of u⁻¹ applied to the unit matrix is the inverse.
	x, xG := m.columns(size)
	for i := range n {
		for a := range nB {
			x[i][a*size+i*nB+a] = 1
		}
	}
	for a := range nG {
		xG[a*size+n*nB+a] = 1
	}
	m.backward(x, xG, size)
	rows := append([]float64(nil), x[0][:size]...)
	other := x[2][3*size:][:size]
	var c float64
	for i := range rows {
		c += rows[i] * other[i]
	}
	assert.InDelta(t, inv.At(0, 2*nB+3), c, 1e-10)
}

// TestLevelled works an example by hand: two marks with a click error of 2 px of
// which following says that they differ by 3 px, give or take 1. The sum of the
// errors stays 0, the difference is 3·8/(8+1); what they have in common keeps half
// the variance of a click, and half the difference varies by a quarter of 1·8/(8+1).
// The marks move the same way in the picture of a left-hander; and what a program is
// off by alike in both, here 3 px, stays as it was.
func TestLevelled(t *testing.T) {
	for _, c := range []struct {
		handed Handed
		stays  float64
	}{{RightHanded, 0}, {LeftHanded, 0}, {RightHanded, 3}} {
		in := curveExample(t)
		if c.handed == LeftHanded {
			mirrorSwing(&in.Swing)
		}
		tr := CurveTrack{Clip: 0, Point: Buckle}
		var at []int
		for i := range in.Swing.Marks {
			m := &in.Swing.Marks[i]
			if m.Clip == 0 && m.Point == Buckle && (m.Position == 0 || m.Position == 3) {
				m.SigmaPx, m.StaysPx = math.Hypot(2, c.stays), c.stays
				at = append(at, i)
				tr.Anchors = append(tr.Anchors, TrackAnchor{Spot: len(tr.Spots)})
				tr.Spots = append(tr.Spots, TrackSpot{Seconds: in.Swing.Positions[m.Position].Seconds[0], At: m.At})
			}
		}
		require.Len(t, at, 2)
		tr.Anchors[0].Missed, tr.Anchors[0].MissSigmaPx = ImagePt{X: 3}, 1
		key, err := NewSolver().Solve(context.Background(), in.Swing)
		require.NoError(t, err)
		got := key.Levelled([]CurveTrack{tr})
		for k, i := range at {
			was, is := in.Swing.Marks[i], got.Marks[i]
			assert.InDelta(t, was.At.X+[2]float64{-4, 4}[k]/3, is.At.X, 1e-9)
			assert.InDelta(t, was.At.Y, is.At.Y, 1e-9)
			assert.InDelta(t, math.Sqrt(2+0.25*8/9+c.stays*c.stays), is.SigmaPx, 1e-12)
			assert.InDelta(t, math.Sqrt(2+c.stays*c.stays), is.StaysPx, 1e-12)
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
	var points [len(CurvePoints)]r3.Vec
	for i, pt := range CurvePoints {
		points[i] = s.st.at(pos, pt)
	}
	cov := s.dofCovariance(pos, &points)
	s.post.covariances()
	for r := range 3 {
		for c := range 3 {
			assert.InDelta(t, s.post.block[pos].point[TrailKnee][r][c], cov.At(dofTrailKnee+r, dofTrailKnee+c), 1e-8)
		}
	}
	g := gradient{pos: [numSlots]int{pos, -1, -1}}
	g.p[0] = make([]float64, blockSize)
	g.p[0][3*int(LeadHip)], g.p[0][3*int(TrailHip)] = 0.5, 0.5
	assert.InDelta(t, s.post.solveFor(&g, false), cov.At(0, 0), 1e-8)
	// A turn is told by the hips' places along the way they turn.
	d := r3.Sub(points[0], points[1])
	rho2 := d.X*d.X + d.Z*d.Z
	clear(g.p[0])
	for k, pt := range []Point{LeadHip, TrailHip} {
		sign := 1 - 2*float64(k)
		g.p[0][3*int(pt)], g.p[0][3*int(pt)+2] = -sign*d.Z/rho2, sign*d.X/rho2
	}
	assert.InEpsilon(t, s.post.solveFor(&g, false), cov.At(dofTurn, dofTurn), 1e-4)
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

// curveExample is a made-up golfer who goes straight from one key position to
// the next.
func curveExample(t *testing.T) CurveInput {
	t.Helper()
	r := rand.New(rand.NewPCG(5, 6))
	f := makeFilm(r, filmOptions{views: bothViews, positions: KeyPositions, stick: true, stature: true, clean: true})
	in := CurveInput{Swing: f.swing}
	key, err := NewSolver().Solve(context.Background(), in.Swing)
	require.NoError(t, err)
	in.Key = key
	for c := range f.cams {
		for _, pt := range CurvePoints {
			tr := CurveTrack{Clip: c, Point: pt}
			for k := range len(KeyPositions) - 1 {
				from, to := madeTimes[KeyPositions[k]], madeTimes[KeyPositions[k+1]]
				const steps = 12
				for j := range steps + 1 {
					u := float64(j) / steps
					if j == steps && k+2 < len(KeyPositions) {
						continue
					}
					at, err := f.cams[c].Project(r3.Add(r3.Scale(1-u, f.points[k][pt]), r3.Scale(u, f.points[k+1][pt])))
					require.NoError(t, err)
					if j == 0 || j == steps {
						tr.Anchors = append(tr.Anchors, TrackAnchor{Spot: len(tr.Spots)})
					}
					tr.Spots = append(tr.Spots, TrackSpot{Seconds: from + u*(to-from), At: at, SigmaPx: 1, Part: u})
				}
			}
			in.Tracks = append(in.Tracks, tr)
		}
	}
	return in
}

// TestCurveGradient compares the gradient of the whole cost with differences, at
// a state away from the solution.
func TestCurveGradient(t *testing.T) {
	in := curveExample(t)
	f, err := newCurveFit(&in)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(7, 7))
	dX, dG := f.m.columns(1)
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
	try := func(i, j int, want float64) {
		const h = 1e-6
		var cost [2]float64
		for k, d := range [2]float64{h, -h} {
			dX, dG := f.m.columns(1)
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
		for j := range curveBlock {
			try(i, j, f.m.rhs[i][j])
		}
	}
	for j := heldUnknowns; j < f.nG; j++ {
		try(-1, j, f.m.rhsG[j])
	}
}

// TestCurvesOfALeftHander measures the same golfer in the mirror.
func TestCurvesOfALeftHander(t *testing.T) {
	in := curveExample(t)
	want, err := FitCurves(context.Background(), in)
	require.NoError(t, err)
	mirrorSwing(&in.Swing)
	for i := range in.Tracks {
		for j := range in.Tracks[i].Spots {
			s := &in.Tracks[i].Spots[j].At
			s.X = float64(in.Swing.Clips[in.Tracks[i].Clip].Width) - s.X
		}
	}
	in.Key, err = NewSolver().Solve(context.Background(), in.Swing)
	require.NoError(t, err)
	got, err := FitCurves(context.Background(), in)
	require.NoError(t, err)
	for k := range want.Curves {
		for i, v := range want.Curves[k].Values {
			assert.InDelta(t, v.Value, got.Curves[k].Values[i].Value, 0.02, "%s at %v", want.Curves[k].Name, want.Seconds[i])
		}
	}
}

// TestCurvesLost takes all points of the pelvis away for a while: the band
// widens, and where it is too wide there is no curve.
func TestCurvesLost(t *testing.T) {
	in := curveExample(t)
	whole, err := FitCurves(context.Background(), in)
	require.NoError(t, err)
	lost := func(seconds float64) bool { at := seconds - madeTimes[Impact]; return at > -0.25 && at < 0.05 }
	seen := in.Swing.Marks
	in.Swing.Marks = nil
	for _, m := range seen {
		pelvis := m.Point == LeadHip || m.Point == TrailHip || m.Point == Buckle || m.Point == Tailbone
		if !pelvis || !lost(in.Swing.Positions[m.Position].Seconds[m.Clip]) {
			in.Swing.Marks = append(in.Swing.Marks, m)
		}
	}
	in.Key, err = NewSolver().Solve(context.Background(), in.Swing)
	require.NoError(t, err)
	for i := range in.Tracks {
		tr := &in.Tracks[i]
		if carrierOf(tr.Point).dof != 0 {
			continue
		}
		kept := CurveTrack{Clip: tr.Clip, Point: tr.Point}
		for j, s := range tr.Spots {
			if lost(s.Seconds) {
				continue
			}
			for _, a := range tr.Anchors {
				if a.Spot == j {
					kept.Anchors = append(kept.Anchors, TrackAnchor{Spot: len(kept.Spots)})
				}
			}
			kept.Spots = append(kept.Spots, s)
		}
		*tr = kept
	}
	got, err := FitCurves(context.Background(), in)
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
	_, err := FitCurves(ctx, in)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestCurvesSayWhatIsMissing(t *testing.T) {
	in := curveExample(t)
	swing := in.Swing
	_, err := FitCurves(context.Background(), CurveInput{Swing: Swing{Clips: swing.Clips[:1]}})
	assert.ErrorContains(t, err, "two clips")
	swing.Marks = nil
	for _, m := range in.Swing.Marks {
		if m.Position == 3 && (m.Point == LeadHip || m.Point == LeadShoulder && m.Clip == 1 || m.Point == TrailShoulder && m.Clip == 1) {
			continue
		}
		swing.Marks = append(swing.Marks, m)
	}
	assert.Equal(t, []string{"mark both hips at the top face-on", "mark a shoulder at the top down-the-line"}, CurvesMissing(&swing))
	in.Tracks = nil
	_, err = FitCurves(context.Background(), in)
	assert.ErrorContains(t, err, noTracks)
}
