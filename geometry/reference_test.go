package geometry

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Vectors computed by scipy and OpenCV; testdata/reference.py made them and
// reference.json names the versions.
type reference struct {
	Sequences []struct {
		Matrix   [3][3]float64
		ZXY, YXZ [3]float64
	}
	Rotvecs []struct {
		Vector [3]float64
		Matrix [3][3]float64
	}
	Cameras []struct {
		Focal, K1   float64
		Position    [3]float64
		Rotation    [3][3]float64
		Points      [][3]float64
		Pixels      [][2]float64
		PnPPosition [3]float64 `json:"pnp_position"`
		PnPOK       bool       `json:"pnp_ok"`
	}
	Triangulations []struct {
		Focal    [2]float64
		Rotation [2][3][3]float64
		Position [2][3]float64
		Pixels   [2][2]float64
		Point    [3]float64
	}
}

func loadReference(t *testing.T) *reference {
	t.Helper()
	b, err := os.ReadFile("testdata/reference.json")
	require.NoError(t, err)
	var r reference
	require.NoError(t, json.Unmarshal(b, &r))
	return &r
}

func toVec(x [3]float64) r3.Vec { return r3.Vec{X: x[0], Y: x[1], Z: x[2]} }

// tolReference allows for the ten decimals the vectors are stored with.
const tolReference = 1e-8

func TestSequencesAgainstScipy(t *testing.T) {
	ref := loadReference(t)
	require.NotEmpty(t, ref.Sequences)
	for _, c := range ref.Sequences {
		lead, up := segmentOf(c.Matrix)
		assert.InDelta(t, -c.ZXY[2], axialAngle(lead, up).v, tolReference, "turn about the own axis")
		assert.InDelta(t, -c.YXZ[0], datan2(lead.z, lead.x).v, tolReference, "heading")
		assert.InDelta(t, c.YXZ[1], datan2(lead.y, dhypot(lead.x, lead.z)).v, tolReference, "slope")
	}
	for _, c := range ref.Rotvecs {
		m := Rotate([3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, toVec(c.Vector))
		for i := range m {
			assert.InDeltaSlice(t, c.Matrix[i][:], m[i][:], tolReference)
		}
	}
}

func TestProjectionAgainstOpenCV(t *testing.T) {
	ref := loadReference(t)
	require.NotEmpty(t, ref.Cameras)
	for _, c := range ref.Cameras {
		cam := Camera{Position: toVec(c.Position), Rotation: c.Rotation, FocalPx: c.Focal, K1: c.K1, Width: 1920, Height: 1080}
		for i, p := range c.Points {
			at, err := cam.Project(toVec(p))
			require.NoError(t, err)
			assert.InDelta(t, c.Pixels[i][0], at.X, 1e-5)
			assert.InDelta(t, c.Pixels[i][1], at.Y, 1e-5)
			pr, ok := cam.Linearise(toVec(p), false)
			require.True(t, ok)
			assert.InDelta(t, at.X, pr.X, 1e-9)
		}
		// OpenCV finds the camera back from our understanding of its pictures.
		require.True(t, c.PnPOK)
		assert.InDelta(t, 0, r3.Norm(r3.Sub(toVec(c.PnPPosition), cam.Position)), 1e-3)
	}
}

func TestTriangulationAgainstOpenCV(t *testing.T) {
	ref := loadReference(t)
	require.NotEmpty(t, ref.Triangulations)
	for _, c := range ref.Triangulations {
		var cams []Camera
		for i := range c.Focal {
			cams = append(cams, Camera{Position: toVec(c.Position[i]), Rotation: c.Rotation[i], FocalPx: c.Focal[i], Width: 1920, Height: 1080})
		}
		// Its least squares are of pixels, ours of the distances from the rays.
		var rays [][2]r3.Vec
		for i := range cams {
			o, d := cams[i].Ray(c.Pixels[i][0], c.Pixels[i][1])
			rays = append(rays, [2]r3.Vec{o, d})
		}
		y, ok := MeetRays(rays)
		require.True(t, ok)
		assert.InDelta(t, 0, r3.Norm(r3.Sub(toVec(c.Point), y)), 0.01)
	}
}
