package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

const (
	deg = math.Pi / 180
	// The worked matrices are printed with six decimals.
	tolPrinted = 6e-7
)

func assertMatrix(t *testing.T, want, got [3][3]float64) {
	t.Helper()
	for i := range want {
		for j := range want {
			assert.InDelta(t, want[i][j], got[i][j], tolPrinted, "row %d column %d", i, j)
		}
	}
}

// Worked example: flexion 30, adduction 10, axial 5 degrees in the order of
// Grood & Suntay 1983 (derived from the paper's axes; ../shared/design/facts.md
// C1).
func TestGroodSuntayWorkedExample(t *testing.T) {
	m := [3][3]float64{
		{0.855163, -0.492404, 0.161973},
		{0.511204, 0.852869, -0.106234},
		{-0.085832, 0.173648, 0.981060},
	}
	a := GroodSuntay(m)
	assert.InDelta(t, 30, a.Flexion/deg, 1e-4)
	assert.InDelta(t, 10, a.Adduction/deg, 1e-4)
	assert.InDelta(t, 5, a.Axial/deg, 1e-4)
	assertMatrix(t, m, JointAngles{30 * deg, 10 * deg, 5 * deg}.Matrix())
}

// Worked example: rotation 50, obliquity 10, tilt −15 degrees in the clinical
// order (Baker 2001; facts.md C1), and the same matrix read in the other
// order.
func TestClinicalOrderWorkedExample(t *testing.T) {
	m := [3][3]float64{
		{0.586456, 0.294855, 0.754407},
		{-0.254887, 0.951251, -0.173648},
		{-0.768831, -0.090451, 0.633022},
	}
	a := Clinical(m)
	assert.InDelta(t, 50, a.Rotation/deg, 1e-4)
	assert.InDelta(t, 10, a.Obliquity/deg, 1e-4)
	assert.InDelta(t, -15, a.Tilt/deg, 1e-4)
	assertMatrix(t, m, ClinicalAngles{50 * deg, 10 * deg, -15 * deg}.Matrix())
	b := GroodSuntay(m)
	assert.InDelta(t, -17.22, b.Flexion/deg, 0.005)
	assert.InDelta(t, -5.19, b.Adduction/deg, 0.005)
	assert.InDelta(t, 50.53, b.Axial/deg, 0.005)
}

func TestSequencesAtGimbalLock(t *testing.T) {
	for _, s := range []float64{1, -1} {
		j := JointAngles{20 * deg, s * 90 * deg, 15 * deg}
		assertMatrix(t, j.Matrix(), GroodSuntay(j.Matrix()).Matrix())
		c := ClinicalAngles{20 * deg, s * 90 * deg, 15 * deg}
		assertMatrix(t, c.Matrix(), Clinical(c.Matrix()).Matrix())
	}
}

// Worked examples derived with Rodrigues' formula (facts.md C1), and checked
// here against turning a vector with gonum's r3.
func TestTurnAboutTiltedAxis(t *testing.T) {
	for _, c := range []struct{ axial, lean, heading, slope float64 }{
		{60, 40, 53.00, 33.83},
		{45, 20, 43.22, 14.00},
		{100, 40, 102.96, 39.27},
		{90, 40, 90, 40},
	} {
		g := TurnAboutTiltedAxis(c.axial*deg, c.lean*deg)
		assert.InDelta(t, c.heading, g.Heading/deg, 0.005)
		assert.InDelta(t, c.slope, g.Slope/deg, 0.005)

		axis := r3.Vec{Y: math.Cos(c.lean * deg), Z: math.Sin(c.lean * deg)}
		v := r3.NewRotation(-c.axial*deg, axis).Rotate(r3.Vec{X: 1})
		assert.InDelta(t, v.X, g.FaceOn, 1e-12)
		assert.InDelta(t, v.Z, g.DownTheLine, 1e-12)
		assert.InDelta(t, math.Abs(v.Y), g.Height, 1e-12)
		assert.InDelta(t, math.Atan2(v.Z, v.X), g.Heading, 1e-12)
	}
}

// Worked example: hip (100,100), knee (140,200), ankle (120,300); facts.md C1.
func TestPlanarAngle(t *testing.T) {
	a := PlanarAngle(ImagePt{100, 100}, ImagePt{140, 200}, ImagePt{120, 300})
	assert.InDelta(t, 146.889, a/deg, 0.0005)
}

// Worked example: two ends 200 px apart, 2 px each: 0.810 degrees (facts.md
// C7).
func TestLineAngleSigma(t *testing.T) {
	assert.InDelta(t, 0.810, LineAngleSigma(200, 2)/deg, 0.0005)
}

// The gap between two turns of "the same" golfer (facts.md B2): segments built
// forward tilt, side bend, turn about the own axis. In the ground plane the
// difference of turns is 46.8 degrees at the top and 24.0 at impact; about the
// own axes it is 45 and 10.
func TestDefinitionGap(t *testing.T) {
	type segment struct{ tilt, bend, turn float64 }
	pose := func(pelvis, torso segment) [NumPoints]WorldPt {
		var p [NumPoints]WorldPt
		place := func(s segment, v r3.Vec) r3.Vec {
			v = r3.NewRotation(-s.turn*deg, r3.Vec{Y: 1}).Rotate(v)
			// The table counts a bend to the trail side as negative.
			v = r3.NewRotation(-s.bend*deg, r3.Vec{Z: 1}).Rotate(v)
			return r3.NewRotation(s.tilt*deg, r3.Vec{X: 1}).Rotate(v)
		}
		hip := r3.Vec{Y: 0.9}
		p[LeadHip] = r3.Add(hip, place(pelvis, r3.Vec{X: 0.09}))
		p[TrailHip] = r3.Add(hip, place(pelvis, r3.Vec{X: -0.09}))
		p[Buckle] = r3.Add(hip, place(pelvis, r3.Vec{Z: 0.1}))
		p[Tailbone] = r3.Add(hip, place(pelvis, r3.Vec{Z: -0.1}))
		mid := r3.Add(hip, place(segment{torso.tilt, torso.bend, 0}, r3.Vec{Y: 0.5}))
		p[LeadShoulder] = r3.Add(mid, place(torso, r3.Vec{X: 0.18}))
		p[TrailShoulder] = r3.Add(mid, place(torso, r3.Vec{X: -0.18}))
		return p
	}
	for _, c := range []struct {
		name          PositionName
		pelvis, torso segment
		level, own    float64
	}{
		{Top, segment{20, 0, 45}, segment{40, 0, 90}, 46.8, 45},
		{Impact, segment{20, 0, -40}, segment{35, -25, -30}, 24.0, 10},
	} {
		square := pose(segment{c.pelvis.tilt, 0, 0}, segment{c.torso.tilt, 0, 0})
		posed := pose(c.pelvis, c.torso)
		ms := MeasuresOf(Golfer{}, []Position{{Name: Address}, {Name: c.name}}, [][NumPoints]WorldPt{square, posed})
		got := map[string]float64{}
		for _, m := range ms {
			if m.Position == c.name {
				got[m.Name] = m.Value
			}
		}
		require.Contains(t, got, "separation")
		assert.InDelta(t, c.level, got["separation"], 0.05, "%s, ground plane", c.name)
		assert.InDelta(t, c.own, got["torso turn about the spine"]-got["pelvis turn about its own axis"], 0.05, "%s, own axes", c.name)
	}
}
