package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// The turn read from one width when the reference width is a few per cent too
// big, and its standard deviation for a ratio known to 0.02 (derived; facts.md
// B2).
func TestWidthRatioTurn(t *testing.T) {
	for _, c := range []struct{ turn, two, five float64 }{
		{0, 11.4, 17.8}, {10, 15.1, 20.3}, {30, 31.9, 34.4}, {45, 46.1, 47.7}, {60, 60.6, 61.6}, {90, 90, 90},
	} {
		w := math.Cos(c.turn * deg)
		got, _ := WidthRatioTurn(w/1.02, 0.02)
		assert.InDelta(t, c.two, got/deg, 0.06, "2 %% too big at %g", c.turn)
		got, _ = WidthRatioTurn(w/1.05, 0.02)
		assert.InDelta(t, c.five, got/deg, 0.06, "5 %% too big at %g", c.turn)
	}
	for _, c := range []struct{ turn, u float64 }{{10, 6.6}, {45, 1.6}, {80, 1.2}} {
		_, u := WidthRatioTurn(math.Cos(c.turn*deg), 0.02)
		assert.InDelta(t, c.u, u/deg, 0.05, "sigma at %g", c.turn)
	}
	_, u := WidthRatioTurn(1.1, 0.02)
	assert.Equal(t, math.Pi/2, u, "blind at zero turn")
}

// a = 0.6, b = 0.5, 0.02 each: 39.806 ± 1.467 degrees (derived; facts.md C7).
func TestTwoViewTurn(t *testing.T) {
	turn, u, err := TwoViewTurn(0.6, 0.5, 0.02)
	require.NoError(t, err)
	assert.InDelta(t, 39.806, turn/deg, 0.0005)
	assert.InDelta(t, 1.467, u/deg, 0.0005)
	_, _, err = TwoViewTurn(0, 0, 0.02)
	assert.ErrorIs(t, err, ErrDegenerate)
}

// Taylor 2000: length 400, picture 300, scale 1 (facts.md C6).
func TestForeshortening(t *testing.T) {
	d, a, err := Foreshortening(400, 300, 1)
	require.NoError(t, err)
	assert.InDelta(t, 264.575, d, 0.0005)
	assert.InDelta(t, 41.410, a/deg, 0.0005)
	_, _, err = Foreshortening(400, 401, 1)
	assert.ErrorIs(t, err, ErrDegenerate)
}

// The unit square to (100,400), (500,420), (420,200), (180,190): facts.md C6.
func TestHomographyWorkedExample(t *testing.T) {
	from := []ImagePt{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	to := []ImagePt{{100, 400}, {500, 420}, {420, 200}, {180, 190}}
	h, err := HomographyFrom(from, to)
	require.NoError(t, err)
	assertMatrix(t, [3][3]float64{
		{392.307692, 199.076923, 100}, {13.538462, -84.307692, 400}, {-0.015385, 0.661538, 1},
	}, h)
	p, err := h.Map(ImagePt{0.5, 0.5})
	require.NoError(t, err)
	assert.InDelta(t, 299.069767, p.X, tolPrinted)
	assert.InDelta(t, 275.581395, p.Y, tolPrinted)
	for i := range from {
		p, err := h.Map(from[i])
		require.NoError(t, err)
		assert.InDelta(t, to[i].X, p.X, 1e-9)
		assert.InDelta(t, to[i].Y, p.Y, 1e-9)
	}
	_, err = HomographyFrom([]ImagePt{{0, 0}, {1, 1}, {2, 2}, {0, 1}}, to)
	assert.ErrorIs(t, err, ErrDegenerate)
	_, err = HomographyFrom(from[:3], to[:3])
	assert.ErrorIs(t, err, ErrDegenerate)
}

// Principal point (960,540), vanishing points (1960,740) and (−40,540):
// 1000 px (facts.md C6).
func TestFocalFromVanishing(t *testing.T) {
	c := ImagePt{960, 540}
	f, err := FocalFromVanishing(c, ImagePt{1960, 740}, ImagePt{-40, 540})
	require.NoError(t, err)
	assert.InDelta(t, 1000, f, 1e-9)
	_, err = FocalFromVanishing(c, ImagePt{1960, 740}, ImagePt{1500, 640})
	assert.ErrorIs(t, err, ErrDegenerate)
}

// f = 1000 px, camera 1 at the origin, camera 2 with Xc = (z−4, y, 4−x); the
// point (0.2, −0.1, 4) is seen at (50, −25) and (0, −26.315789). With one pixel
// added to both x the least-squares place is (0.204194, ·, 4.003796), with y
// of either ray −0.100095 and −0.099890 (Hartley & Zisserman 12.2; facts.md C6).
func TestTriangulateWorkedExample(t *testing.T) {
	one := Camera{FocalPx: 1000, Rotation: [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
	two := Camera{FocalPx: 1000, Position: r3.Vec{X: 4, Z: 4}, Rotation: [3][3]float64{{0, 0, 1}, {0, 1, 0}, {-1, 0, 0}}}
	cams := []Camera{one, two}
	for i, want := range []ImagePt{{50, -25}, {0, -26.315789}} {
		p, err := cams[i].Project(r3.Vec{X: 0.2, Y: -0.1, Z: 4})
		require.NoError(t, err)
		assert.InDelta(t, want.X, p.X, tolPrinted)
		assert.InDelta(t, want.Y, p.Y, tolPrinted)
	}
	x, err := Triangulate(cams, []ImagePt{{50, -25}, {0, -26.31578947368421}})
	require.NoError(t, err)
	assert.InDelta(t, 0, r3.Norm(r3.Sub(x, r3.Vec{X: 0.2, Y: -0.1, Z: 4})), 1e-9)
	x, err = Triangulate(cams, []ImagePt{{51, -25}, {1, -26.31578947368421}})
	require.NoError(t, err)
	// The printed place solves the two x equations alone; the y of the two
	// rays, which do not meet, pull the least-squares one by 3 µm.
	assert.InDelta(t, 0.204194, x.X, 5e-6)
	assert.InDelta(t, 4.003796, x.Z, 5e-6)
	assert.Greater(t, x.Y, -0.100095-1e-6)
	assert.Less(t, x.Y, -0.099890+1e-6)
	_, err = Triangulate(cams[:1], []ImagePt{{51, -25}})
	assert.ErrorIs(t, err, ErrDegenerate)
	_, err = Triangulate([]Camera{one, one}, []ImagePt{{51, -25}, {51, -25}})
	assert.ErrorIs(t, err, ErrDegenerate)
}

// A club of 38 inches at 60 degrees stands 32.91 inches high, 19.00 out; one
// of 37 at 62 stands 32.67 and 17.37 (a maker's table; facts.md C5).
func TestClubTriangle(t *testing.T) {
	h, r := ClubTriangle(38, 60*deg)
	assert.InDelta(t, 32.91, h, 0.005)
	assert.InDelta(t, 19.00, r, 0.005)
	h, r = ClubTriangle(37, 62*deg)
	assert.InDelta(t, 32.67, h, 0.005)
	assert.InDelta(t, 17.37, r, 0.005)
}

// Pelvis width 240 mm, depth 160 mm (facts.md C4).
func TestHipCentres(t *testing.T) {
	x, y, z := HarringtonHipCentre(0.160, 0.240)
	assert.InDelta(t, -48.3, 1000*x, 0.05)
	assert.InDelta(t, -82.9, 1000*y, 0.05)
	assert.InDelta(t, 86.5, 1000*z, 0.05)
	x, y, z = BellHipCentre(0.240)
	assert.InDelta(t, -45.6, 1000*x, 0.05)
	assert.InDelta(t, -72.0, 1000*y, 0.05)
	assert.InDelta(t, 86.4, 1000*z, 0.05)
}

// Foot flare read directly off a face-on picture, camera 1.0 m high and 4 m
// away (derived; facts.md B2): what a homography of the ground puts right.
func TestFootFlareNeedsTheGround(t *testing.T) {
	cam := Camera{Position: r3.Vec{Y: 1, Z: 4}, FocalPx: 1e6, Width: 1920, Height: 1080}
	cam.Rotation = LookAt(cam.Position, r3.Vec{}, 0)
	square := []ImagePt{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} // ground x, z
	var seen []ImagePt
	for _, q := range square {
		p, err := cam.Project(r3.Vec{X: q.X, Z: q.Y})
		require.NoError(t, err)
		seen = append(seen, p)
	}
	h, err := HomographyFrom(seen, square)
	require.NoError(t, err)
	for flare, apparent := range map[float64]float64{5: 19.8, 10: 36.0, 15: 47.9, 20: 56.3, 25: 62.5, 30: 67.2} {
		const l = 1e-4 // short, as the table's formula is for a distant camera
		a, err := cam.Project(r3.Vec{})
		require.NoError(t, err)
		b, err := cam.Project(r3.Vec{X: l * math.Sin(flare*deg), Z: l * math.Cos(flare*deg)})
		require.NoError(t, err)
		assert.InDelta(t, apparent, math.Atan2(b.X-a.X, b.Y-a.Y)/deg, 0.06)
		ga, err := h.Map(a)
		require.NoError(t, err)
		gb, err := h.Map(b)
		require.NoError(t, err)
		assert.InDelta(t, flare, math.Atan2(gb.X-ga.X, gb.Y-ga.Y)/deg, 1e-3)
	}
}
