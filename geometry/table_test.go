package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestSegmentsOfDeLeva holds the table row by row to de Leva 1996, J Biomech 29:1223,
// table 4 (from memory): mass and longitudinal centre of mass, women and men. Head and
// hand have no centre here: they are taken at the mark. The shank's centre is to the ankle
// joint's centre, as in his table of joint centres.
func TestSegmentsOfDeLeva(t *testing.T) {
	want := []struct {
		massF, massM, centreF, centreM float64
		paired                         bool
	}{
		{6.68, 6.94, 0, 0, false}, {42.57, 43.46, 37.82, 43.10, false}, {2.55, 2.71, 57.54, 57.72, true},
		{1.38, 1.62, 45.59, 45.74, true}, {0.56, 0.61, 0, 0, true}, {14.78, 14.16, 36.12, 40.95, true},
		{4.81, 4.33, 43.52, 43.95, true}, {1.29, 1.37, 40.14, 44.15, true},
	}
	women, men, both := MassTable(Female), MassTable(Male), MassTable(SexUnset)
	require.Len(t, women, len(want))
	for i, w := range want {
		assert.Equal(t, [2]float64{w.massF, w.centreF}, [2]float64{women[i].MassPercent, women[i].CentrePercent}, women[i].Name)
		assert.Equal(t, [2]float64{w.massM, w.centreM}, [2]float64{men[i].MassPercent, men[i].CentrePercent}, men[i].Name)
		assert.InDelta(t, (w.massF+w.massM)/2, both[i].MassPercent, 1e-12)
		assert.InDelta(t, (w.centreF+w.centreM)/2, both[i].CentrePercent, 1e-12)
		assert.Equal(t, w.paired, men[i].Paired)
		assert.Equal(t, w.paired, women[i].Paired)
	}
}

// TestInstantWithinAFrame: what lies anywhere within an interval with equal probability
// has the standard deviation of its width over the root of 12 (JCGM 100:2008, the GUM,
// 4.3.7: half the width over the root of 3).
func TestInstantWithinAFrame(t *testing.T) {
	p := Position{FrameSeconds: []float64{1.0 / 240, 0}, OffSeconds: []float64{0.003, 0.003}}
	half := 1.0 / 480
	assert.InDelta(t, math.Sqrt(half*half/3+0.003*0.003), p.InstantSigma(0), 1e-15)
	assert.InDelta(t, 0.003, p.InstantSigma(1), 1e-15)
	assert.Zero(t, p.InstantSigma(2))
}

// TestCameraMoves: each of a camera's unknowns moves it by itself. A turn of a right angle
// about each axis of the camera is written down by hand.
func TestCameraMoves(t *testing.T) {
	still := Camera{Position: WorldPt{X: 1, Y: 2, Z: 3}, Rotation: [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, FocalPx: 1000}
	quarter := math.Pi / 2
	for k, want := range map[int][3][3]float64{
		3: {{1, 0, 0}, {0, 0, -1}, {0, 1, 0}},
		4: {{0, 0, 1}, {0, 1, 0}, {-1, 0, 0}},
		5: {{0, -1, 0}, {1, 0, 0}, {0, 0, 1}},
	} {
		c, d := still, make([]float64, CameraUnknowns)
		d[k] = quarter
		c.Move(d)
		for i := range 3 {
			assert.InDeltaSlice(t, want[i][:], c.Rotation[i][:], 1e-12, "unknown %d", k)
		}
		assert.Equal(t, still.Position, c.Position)
		assert.Equal(t, still.FocalPx, c.FocalPx)
	}
	for k, want := range []WorldPt{{X: 0.5}, {Y: 0.5}, {Z: 0.5}} {
		c, d := still, make([]float64, CameraUnknowns)
		d[k] = 0.5
		c.Move(d)
		assert.Equal(t, r3.Add(still.Position, want), c.Position)
		assert.Equal(t, still.Rotation, c.Rotation)
	}
	c, d := still, make([]float64, CameraUnknowns)
	d[CameraLogFocal], d[CameraK1] = math.Log(2), 0.01
	c.Move(d)
	assert.InDelta(t, 2000, c.FocalPx, 1e-9)
	assert.InDelta(t, 0.01, c.K1, 1e-15)
}

// TestLegMeasuresAreThereAtEveryPositionButTheFinish: where both legs carry the golfer.
func TestLegMeasuresAreThereAtEveryPositionButTheFinish(t *testing.T) {
	for _, name := range []string{"lead hip offset from the ankle-knee line", "trail hip offset from the ankle-knee line", "lead hip angle from the ankle-knee line"} {
		d := DefinitionOf(name)
		require.NotNil(t, d, name)
		for _, p := range KeyPositions {
			assert.Equal(t, p != Finish, d.AppliesTo(p), "%s at %s", name, p)
		}
	}
}

// TestNoCameraLooksUpAlongTheVertical: up would have no direction in its picture.
func TestNoCameraLooksUpAlongTheVertical(t *testing.T) {
	assert.Panics(t, func() { LookAt(WorldPt{Y: 3}, WorldPt{}, 0) })
	assert.NotPanics(t, func() { LookAt(WorldPt{Y: 3, Z: 1e-3}, WorldPt{}, 0) })
}

// TestDerivativesOfEveryMeasure holds the derivative of every measure by every coordinate
// it reads to a central difference (Abramowitz & Stegun 1964, 25.3.21), whose error is of
// the second order of the step, on a body of points that stand nowhere special.
func TestDerivativesOfEveryMeasure(t *testing.T) {
	var points [NumSlots][NumPoints]WorldPt
	for s := range points {
		for p := range points[s] {
			k := float64(7*s + 3*p)
			points[s][p] = WorldPt{X: 0.3*math.Sin(1.7*k) + 0.1, Y: 1 + 0.5*math.Cos(2.3*k), Z: 0.4*math.Sin(0.9*k+1) + 0.2}
		}
	}
	pose := Pose{Sex: Female, StatureM: 1.7, At: func(slot Slot, p Point) WorldPt { return points[slot][p] }}
	coordinate := func(slot, index int) *float64 {
		p := &points[slot][index/3]
		return []*float64{&p.X, &p.Y, &p.Z}[index%3]
	}
	const step = 1e-5
	read := 0
	for _, d := range Definitions() {
		if d.value == nil {
			continue // tempo, which no pose has
		}
		v, by := d.Gradient(&pose)
		require.True(t, Finite(v), d.Name)
		any := false
		for slot := range by {
			for i, got := range by[slot] {
				x := coordinate(slot, i)
				is := *x
				*x = is + step
				above := d.Value(&pose)
				*x = is - step
				below := d.Value(&pose)
				*x = is
				want := (above - below) / (2 * step)
				assert.InDelta(t, want, got, 1e-4*math.Max(1, math.Abs(want)), "%s by coordinate %d of slot %d", d.Name, i, slot)
				assert.Equal(t, got, d.Derivative(&pose, Slot(slot), i))
				any = any || got != 0
				read++
			}
		}
		assert.True(t, any, "%s depends on something", d.Name)
	}
	assert.Greater(t, read, 1000)
}

// TestMirrorIsItsOwnInverse: a left-hander's marks and sticks are turned over in the
// picture, x to width less x, and back.
func TestMirrorIsItsOwnInverse(t *testing.T) {
	sw := Swing{
		Golfer: Golfer{Handed: LeftHanded},
		Clips: []Clip{
			{Width: 1920, GroundLines: []GroundLine{{Ends: [2]ImagePt{{X: 100, Y: 900}, {X: 700, Y: 910}}}}},
			{Width: 1080, Mirrored: true, GroundLines: []GroundLine{{Ends: [2]ImagePt{{X: 10, Y: 20}, {X: 30, Y: 40}}}}},
		},
		Marks: []Mark{{Clip: 0, At: ImagePt{X: 500, Y: 300}}, {Clip: 1, At: ImagePt{X: 500, Y: 300}}},
	}
	m := sw.Mirrored()
	assert.Equal(t, [2]ImagePt{{X: 1820, Y: 900}, {X: 1220, Y: 910}}, m.Clips[0].GroundLines[0].Ends)
	assert.Equal(t, ImagePt{X: 1420, Y: 300}, m.Marks[0].At)
	assert.Equal(t, sw.Clips[1], m.Clips[1], "a mirror image of a left-hander shows a right-hander")
	assert.Equal(t, sw.Marks[1], m.Marks[1])
	assert.Equal(t, ImagePt{X: 500, Y: 300}, sw.Marks[0].At, "the original stays")
	assert.Equal(t, sw, m.Mirrored())
}

// TestTypicalStature: where the stature is not known the leg line is that of a typical one.
func TestTypicalStature(t *testing.T) {
	var points [NumPoints]WorldPt
	points[LeadKnee], points[LeadHip] = WorldPt{Y: 0.5, Z: KneeDepthFraction / 2 * TypicalStatureM}, WorldPt{Y: 0.9, Z: -0.05}
	for _, m := range MeasuresOf(Golfer{}, []Position{{Name: Address}}, [][NumPoints]WorldPt{points}) {
		if m.Name == "lead hip offset from the ankle-knee line" {
			assert.InDelta(t, 5, m.Value, 1e-9)
			return
		}
	}
	t.Fatal("it was not measured")
}

// TestChangeWithoutError: two values known exactly differ for sure, or not at all.
func TestChangeWithoutError(t *testing.T) {
	c := Changed(30, 0, 31, 0, 0)
	assert.True(t, c.Real)
	assert.Equal(t, 1.0, c.Probability)
	assert.False(t, Changed(30, 0, 30, 0, 0).Real)
	// 1 degree with a standard deviation of 1/√2 each: one standard deviation of the
	// difference, and Φ(1) = 0.8413 (NIST/SEMATECH e-Handbook, 1.3.6.7.1).
	c = Changed(30, math.Sqrt2/2, 31, math.Sqrt2/2, 0)
	assert.InDelta(t, 0.8413, c.Probability, 5e-5)
	assert.InDelta(t, 0.5, Changed(30, 0.5, 31, 0.5, 0.5).Probability-NormalCDF(1)+0.5, 1e-12, "1.0² = 0.25+0.25+2·0.25")
}

// TestScaleOfAMarker: a variance that is e^±0.4 at one standard deviation is, in standard
// deviations of marks, 1 with 95 % between e^-0.392 and e^0.392.
func TestScaleOfAMarker(t *testing.T) {
	scale, low, high := ScaleInterval(0, 0.4)
	assert.InDelta(t, 1, scale, 1e-15)
	assert.InDelta(t, 0.6757, low, 5e-5)
	assert.InDelta(t, 1.4799, high, 5e-5)
	scale, low, high = ScaleInterval(math.Log(4), 0)
	assert.InDelta(t, 2, scale, 1e-12)
	assert.Equal(t, [2]float64{scale, scale}, [2]float64{low, high})
}

// TestFiellersSet: at both ends of the interval the difference b − r·d is exactly z of its
// own standard deviations off (Fieller 1954); where the downswing may be nothing, the
// symmetric one stands in.
func TestFiellersSet(t *testing.T) {
	at, sigma := [3]float64{0, 0.8, 1.07}, [3]float64{0.012, 0.01, 0.009}
	low, high := ratioInterval(at, sigma)
	b, d := at[1]-at[0], at[2]-at[1]
	for _, r := range []float64{low, high} {
		sd := math.Sqrt(sq(sigma[0]) + sq((1+r)*sigma[1]) + sq(r*sigma[2]))
		assert.InDelta(t, Z95, math.Abs(b-r*d)/sd, 1e-9)
	}
	assert.Greater(t, high-b/d, b/d-low, "it leans to the longer side")
	sigma = [3]float64{0.1, 0.1, 0.1}
	low, high = ratioInterval(at, sigma)
	assert.InDelta(t, b/d, (low+high)/2, 1e-9)
}

// TestTempoOfUntoldFrames: a clip of which nothing is said is taken for 30 frames a second,
// each of the three instants good to 1/30 s over the root of 12.
func TestTempoOfUntoldFrames(t *testing.T) {
	var positions []Position
	for i, n := range []PositionName{Address, Top, Impact} {
		positions = append(positions, Position{Name: n, Seconds: []float64{[]float64{0, 0.8, 1.07}[i]}})
	}
	ms, missing := TempoMeasures(positions, []Clip{{}})
	require.Empty(t, missing)
	assert.InDelta(t, 0.8/0.27, ms[0].Value, 1e-9)
	assert.InDelta(t, math.Sqrt2/30/math.Sqrt(12), ms[2].Sigma, 1e-9)
}

// TestDerivativesOfThePicture: the derivatives of a strongly distorted picture, off its
// middle, against central differences (Abramowitz & Stegun 1964, 25.3.21).
func TestDerivativesOfThePicture(t *testing.T) {
	c := Camera{Position: WorldPt{X: 0.3, Y: 1.1, Z: 4}, FocalPx: 900, K1: -0.25, Width: 1920, Height: 1080}
	c.Rotation = LookAt(c.Position, WorldPt{Y: 1}, 0.1)
	p := WorldPt{X: -1.1, Y: 1.9, Z: 0.4}
	pr, ok := c.Linearise(p, true)
	require.True(t, ok)
	const step = 1e-6
	xy := func(c Camera, p WorldPt) [2]float64 {
		at, ok := c.Linearise(p, false)
		require.True(t, ok)
		return [2]float64{at.X, at.Y}
	}
	for i := range 2 {
		for k, by := range pr.ByCamera(i) {
			d := make([]float64, CameraUnknowns)
			above, below := c, c
			d[k] = step
			above.Move(d)
			d[k] = -step
			below.Move(d)
			assert.InDelta(t, (xy(above, p)[i]-xy(below, p)[i])/(2*step), by, 1e-3, "coordinate %d by unknown %d of the camera", i, k)
		}
		for k, e := range []WorldPt{{X: step}, {Y: step}, {Z: step}} {
			by := []float64{pr.ByPoint[i].X, pr.ByPoint[i].Y, pr.ByPoint[i].Z}[k]
			assert.InDelta(t, (xy(c, r3.Add(p, e))[i]-xy(c, r3.Sub(p, e))[i])/(2*step), by, 1e-3)
		}
	}
}

// TestFarSideDownTheLine: the lead side is the far one down the line, and only there.
func TestFarSideDownTheLine(t *testing.T) {
	near := DefaultSigmaPx(TrailHip, Placed, DownTheLine)
	assert.InDelta(t, FarSideFactor, DefaultSigmaPx(LeadHip, Placed, DownTheLine)/near, 1e-12)
	for _, p := range []Point{LeadHip, TrailHip, Head} {
		assert.Equal(t, near, DefaultSigmaPx(p, Placed, FaceOn))
	}
	assert.Equal(t, near, DefaultSigmaPx(Head, Placed, DownTheLine))
}

// TestVerdictsAtTheirBounds: a verdict is given from the probability on that decides, and
// a value that is known exactly lies on one side or within.
func TestVerdictsAtTheirBounds(t *testing.T) {
	r := Range{Low: 40, High: 60}
	for v, want := range map[float64]Verdict{39.999: Below, 40: Within, 60: Within, 60.001: Above} {
		j := Judge(v, 0, r, 1)
		assert.Equal(t, want, j.Verdict, v)
		assert.Equal(t, 1.0, j.Probability)
		assert.True(t, j.Verdict.TwoSided())
	}
	// 0.8413 of a normal lies below its mean plus one standard deviation (NIST/SEMATECH
	// e-Handbook, 1.3.6.7.1).
	j := Judge(35, 5, Range{Low: 40, High: math.Inf(1)}, 0.8413)
	assert.Equal(t, Below, j.Verdict)
	assert.InDelta(t, 0.8413, j.Probability, 5e-5)
	j = Judge(35, 5, Range{Low: 40, High: math.Inf(1)}, 0.8414)
	assert.NotEqual(t, Below, j.Verdict)
	exactly := Judge(35, 5, r, 0)
	assert.Equal(t, Below, Judge(35, 5, r, exactly.Below).Verdict)
	for _, v := range []Verdict{NotBelow, NotAbove, CantTell} {
		assert.False(t, v.TwoSided())
	}
	for _, bad := range []Judgement{Judge(math.NaN(), 1, r, 0), Judge(1, math.Inf(1), r, 0), Judge(1, 1, Range{Low: 2, High: 1}, 0)} {
		assert.Equal(t, CantTell, bad.Verdict)
	}
}

func TestAnglesWrap(t *testing.T) {
	for a, want := range map[float64]float64{0: 0, math.Pi: math.Pi, -math.Pi: math.Pi, 3: 3, 4: 4 - 2*math.Pi, -4: 2*math.Pi - 4, 7 * math.Pi: math.Pi} {
		assert.InDelta(t, want, WrapAngle(a), 1e-12, "%v", a)
	}
}

func TestClassesHaveNames(t *testing.T) {
	for c, want := range []string{"foot", "knee", "hip", "belt", "shoulder", "chest", "arm", "head", "club"} {
		assert.Equal(t, want, PointClass(c).String())
	}
	assert.Equal(t, "unknown class", PointClass(NumClasses).String())
}
