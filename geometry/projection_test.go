package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// f = 1000 px, camera 1 at the origin, camera 2 with Xc = (z−4, y, 4−x); the
// point (0.2, −0.1, 4) is seen at (50, −25) and (0, −26.315789). With one pixel
// added to both x the least-squares place is (0.204194, ·, 4.003796), with y
// of either ray −0.100095 and −0.099890 (Hartley & Zisserman 12.2; facts.md C6).
func TestMeetRaysWorkedExample(t *testing.T) {
	one := Camera{FocalPx: 1000, Rotation: [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
	two := Camera{FocalPx: 1000, Position: r3.Vec{X: 4, Z: 4}, Rotation: [3][3]float64{{0, 0, 1}, {0, 1, 0}, {-1, 0, 0}}}
	cams := []Camera{one, two}
	for i, want := range []ImagePt{{50, -25}, {0, -26.315789}} {
		p, err := cams[i].Project(r3.Vec{X: 0.2, Y: -0.1, Z: 4})
		require.NoError(t, err)
		assert.InDelta(t, want.X, p.X, 6e-7)
		assert.InDelta(t, want.Y, p.Y, 6e-7)
	}
	meet := func(at ...ImagePt) (WorldPt, bool) {
		var rays [][2]r3.Vec
		for i, p := range at {
			o, d := cams[i].Ray(p.X, p.Y)
			rays = append(rays, [2]r3.Vec{o, d})
		}
		return MeetRays(rays)
	}
	x, ok := meet(ImagePt{50, -25}, ImagePt{0, -26.31578947368421})
	require.True(t, ok)
	assert.InDelta(t, 0, r3.Norm(r3.Sub(x, r3.Vec{X: 0.2, Y: -0.1, Z: 4})), 1e-9)
	x, ok = meet(ImagePt{51, -25}, ImagePt{1, -26.31578947368421})
	require.True(t, ok)
	// The printed place solves the two x equations alone; the y of the two
	// rays, which do not meet, move the nearest point by micrometres.
	assert.InDelta(t, 0.204194, x.X, 5e-6)
	assert.InDelta(t, 4.003796, x.Z, 5e-6)
	assert.Greater(t, x.Y, -0.100095-1e-6)
	assert.Less(t, x.Y, -0.099890+1e-6)
	_, ok = meet(ImagePt{51, -25})
	assert.False(t, ok)
	cams[1] = one
	_, ok = meet(ImagePt{51, -25}, ImagePt{51, -25})
	assert.False(t, ok, "one ray twice")
}

// Foot flare read directly off a face-on picture, camera 1.0 m high and 4 m
// away (derived; facts.md B2): by how much a shortcut errs that the fit does not take.
func TestFootFlareReadDirectly(t *testing.T) {
	cam := Camera{Position: r3.Vec{Y: 1, Z: 4}, FocalPx: 1e6, Width: 1920, Height: 1080}
	cam.Rotation = LookAt(cam.Position, r3.Vec{}, 0)
	for flare, apparent := range map[float64]float64{5: 19.8, 10: 36.0, 15: 47.9, 20: 56.3, 25: 62.5, 30: 67.2} {
		const l = 1e-4 // short, as the table's formula is for a distant camera
		a, err := cam.Project(r3.Vec{})
		require.NoError(t, err)
		b, err := cam.Project(r3.Vec{X: l * math.Sin(flare*deg), Z: l * math.Cos(flare*deg)})
		require.NoError(t, err)
		assert.InDelta(t, apparent, math.Atan2(b.X-a.X, b.Y-a.Y)/deg, 0.06)
	}
}
