package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

// segmentOf is a segment turned by a rotation matrix in the axes of the
// International Society of Biomechanics (x forward, y up, z right; columns are the
// segment's axes): its direction to the lead side and up, in the world.
func segmentOf(m [3][3]float64) (lead, up dvec) {
	world := func(j int, sign float64) dvec { // X = z, Y = y, Z = −x
		return dvec{num(-sign * m[2][j]), num(sign * m[1][j]), num(sign * m[0][j])}
	}
	return world(2, -1), world(1, 1)
}

// Worked example: flexion 30, adduction 10, axial 5 degrees in the order of
// Grood & Suntay 1983 (derived from the paper's axes; ../shared/design/facts.md
// C1). The turn about the own axis is the axial one, positive away.
func TestAxialAngleWorkedExample(t *testing.T) {
	lead, up := segmentOf([3][3]float64{
		{0.855163, -0.492404, 0.161973},
		{0.511204, 0.852869, -0.106234},
		{-0.085832, 0.173648, 0.981060},
	})
	assert.InDelta(t, -5, axialAngle(lead, up).degrees().v, 1e-4)
}

// Worked example: rotation 50, obliquity 10, tilt −15 degrees in the clinical
// order (Baker 2001; facts.md C1). The heading of the line between the hips is the
// rotation, positive away, its slope the obliquity; in the other order the axial
// angle is 50.53.
func TestClinicalOrderWorkedExample(t *testing.T) {
	lead, up := segmentOf([3][3]float64{
		{0.586456, 0.294855, 0.754407},
		{-0.254887, 0.951251, -0.173648},
		{-0.768831, -0.090451, 0.633022},
	})
	assert.InDelta(t, -50, datan2(lead.z, lead.x).degrees().v, 1e-4)
	assert.InDelta(t, 10, datan2(lead.y, dhypot(lead.x, lead.z)).degrees().v, 1e-4)
	assert.InDelta(t, -50.53, axialAngle(lead, up).degrees().v, 0.005)
}

// Worked examples derived with Rodrigues' formula (facts.md C1): a turn about the
// spine, which leans forward, and the heading and the slope of the shoulder line
// that come of it.
func TestTurnAboutTiltedAxis(t *testing.T) {
	for _, c := range []struct{ axial, lean, heading, slope float64 }{
		{60, 40, 53.00, 33.83},
		{45, 20, 43.22, 14.00},
		{100, 40, 102.96, 39.27},
		{90, 40, 90, 40},
	} {
		axis := r3.Vec{Y: math.Cos(c.lean * deg), Z: math.Sin(c.lean * deg)}
		body := func(axial float64) (p [NumPoints]WorldPt) {
			hip := r3.Vec{Y: 0.9}
			mid := r3.Add(hip, r3.Scale(0.5, axis))
			line := r3.NewRotation(-axial*deg, axis).Rotate(r3.Vec{X: 0.18})
			p[LeadHip], p[TrailHip] = r3.Add(hip, r3.Vec{X: 0.09}), r3.Sub(hip, r3.Vec{X: 0.09})
			p[LeadShoulder], p[TrailShoulder] = r3.Add(mid, line), r3.Sub(mid, line)
			return p
		}
		turned := body(c.axial)
		d := r3.Sub(turned[LeadShoulder], turned[TrailShoulder])
		assert.InDelta(t, c.slope, math.Abs(math.Asin(d.Y/r3.Norm(d)))/deg, 0.005)
		for _, m := range MeasuresOf(Golfer{}, []Position{{Name: Address}, {Name: Top}}, [][NumPoints]WorldPt{body(0), turned}) {
			switch {
			case m.Position == Top && m.Name == "torso turn":
				assert.InDelta(t, c.heading, m.Value, 0.005)
			case m.Position == Top && m.Name == "torso turn about the spine":
				assert.InDelta(t, c.axial, m.Value, 1e-9)
			}
		}
	}
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
