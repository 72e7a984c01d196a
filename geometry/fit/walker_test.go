package fit

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// A real person seen by four calibrated cameras, walking along x of his own world with z
// up (../shared/data/walker, its README names the source, BSD-3-Clause).
var walkerFrames = []int{0, 15, 54, 72, 87, 99}

var walkerJoints = map[string][2]geometry.Point{ // left and right; the left is the lead side
	"hip": {geometry.LeadHip, geometry.TrailHip}, "shoulder": {geometry.LeadShoulder, geometry.TrailShoulder}, "knee": {geometry.LeadKnee, geometry.TrailKnee},
	"ankle": {geometry.LeadAnkle, geometry.TrailAnkle}, "toe": {geometry.LeadToe, geometry.TrailToe}, "heel": {geometry.LeadHeel, geometry.TrailHeel},
}

type walk struct {
	cams   map[string]geometry.Camera
	points []map[geometry.Point]r3.Vec // by frame, in our axes: he walks along z
}

func loadWalk(t *testing.T) walk {
	t.Helper()
	read := func(name string, to any) {
		b, err := os.ReadFile(dataFile(t, "walker/"+name))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(b, to))
	}
	var cams map[string]struct {
		R    [3][3]float64
		C    [3]float64
		K    [3][3]float64
		W, H int
	}
	read("calibration.json", &cams)
	var ref struct {
		Frames map[string]struct {
			Heading map[string]float64                  `json:"heading_deg"`
			Joints  map[string]struct{ XYZ [3]float64 } `json:"joints_3d_m"`
		}
	}
	read("reference.json", &ref)
	ours := func(v [3]float64) r3.Vec { return r3.Vec{X: v[1], Y: v[2], Z: v[0]} }
	w := walk{cams: map[string]geometry.Camera{}}
	for name, c := range cams {
		cam := geometry.Camera{Position: ours(c.C), FocalPx: c.K[0][0], Width: c.W, Height: c.H}
		for i, row := range c.R {
			v := ours(row)
			cam.Rotation[i] = [3]float64{v.X, v.Y, v.Z}
		}
		w.cams[name] = cam
	}
	for _, n := range walkerFrames {
		f := ref.Frames[strconv.Itoa(n)]
		pts := map[geometry.Point]r3.Vec{}
		for joint, both := range walkerJoints {
			for i, side := range []string{"left ", "right "} {
				if j, ok := f.Joints[side+joint]; ok {
					pts[both[i]] = ours(j.XYZ)
				}
			}
		}
		w.points = append(w.points, pts)
	}
	return w
}

// swing is the walk as two cameras see the points that are kept, without any error.
func (w *walk) swing(faceOn, down string, keep func(geometry.Point) bool, names []geometry.PositionName) geometry.Swing {
	sw := geometry.Swing{}
	for i, name := range []string{faceOn, down} {
		c := w.cams[name]
		sw.Clips = append(sw.Clips, geometry.Clip{View: geometry.FaceOn + geometry.View(i), Width: c.Width, Height: c.Height})
	}
	for i := range walkerFrames {
		sw.Positions = append(sw.Positions, geometry.Position{Name: names[i], Seconds: []float64{float64(walkerFrames[i]) / 60, float64(walkerFrames[i]) / 60}})
		for k, name := range []string{faceOn, down} {
			c := w.cams[name]
			for p := range geometry.Point(geometry.NumBody) {
				if at, ok := w.points[i][p]; ok && keep(p) {
					px, err := c.Project(at)
					if err == nil {
						sw.Marks = append(sw.Marks, geometry.Mark{Clip: k, Position: i, Point: p, At: px})
					}
				}
			}
		}
	}
	return sw
}

func heading(lead, trail r3.Vec) float64 {
	d := r3.Sub(lead, trail)
	return math.Atan2(d.Z, d.X) * 180 / math.Pi
}

// TestWalkerFromPhonesOffTheirLines: of the walker's own joints, seen exactly by the camera
// in front and by one of those at his sides, which stand 39 and 75 degrees off the line
// square to it, the heading of the pelvis between the frames comes out to 3 degrees, inside
// its interval, and the camera is told. A golfer's feet stay where they are and a walker's
// do not, so these are left out.
func TestWalkerFromPhonesOffTheirLines(t *testing.T) {
	t.Parallel()
	w := loadWalk(t)
	names := []geometry.PositionName{"first", "second", "third", "fourth", "fifth", "sixth"}
	front := w.cams["cam02"]
	for _, down := range []string{"cam01", "cam04"} {
		sw := w.swing("cam02", down, func(p geometry.Point) bool {
			c, _ := geometry.ClassOf(p)
			return c != geometry.FootClass && p != geometry.LeadAnkle && p != geometry.TrailAnkle
		}, names)
		sol, err := NewSolver().Solve(context.Background(), sw)
		require.NoError(t, err)
		require.NotNil(t, sol.Mistake, down)
		require.Equal(t, geometry.CameraOffLine, sol.Mistake.What)
		// Nothing tells where the target is but the cameras, so that only the angle between
		// the two is to be had.
		side := w.cams[down]
		apart := aside(&side, geometry.DownTheLine) - aside(&front, geometry.FaceOn)
		found := aside(&sol.Cameras[1].Camera, geometry.DownTheLine) - aside(&sol.Cameras[0].Camera, geometry.FaceOn)
		assert.InDelta(t, apart*180/math.Pi, found*180/math.Pi, 12, "angle between the cameras")

		var errs, sigmas []float64
		rms := 0.0
		for i := 1; i < len(walkerFrames); i++ {
			turn, truth := 0.0, 0.0
			gr := &bundle.Gradient{Pos: [geometry.NumSlots]int{i, 0, -1}}
			for k, pos := range []int{i, 0} {
				sign := float64(1 - 2*k)
				lead, trail := sol.Points[pos][geometry.LeadHip].At, sol.Points[pos][geometry.TrailHip].At
				turn += sign * heading(lead, trail)
				truth += sign * heading(w.points[pos][geometry.LeadHip], w.points[pos][geometry.TrailHip])
				d := r3.Sub(lead, trail)
				square := (d.X*d.X + d.Z*d.Z) * math.Pi / 180
				gr.By[k] = make([]float64, bundle.BlockSize)
				for end, pt := range []geometry.Point{geometry.LeadHip, geometry.TrailHip} {
					of := sign * float64(1-2*end) / square
					gr.By[k][3*pt], gr.By[k][3*pt+2] = -of*d.Z, of*d.X
				}
			}
			sigma := math.Sqrt(sol.post.SolveFor(gr, true))
			errs, sigmas = append(errs, turn-truth), append(sigmas, sigma)
			rms += sq(turn-truth) / float64(len(walkerFrames)-1)
			assert.Less(t, math.Abs(turn-truth), geometry.Z95*sigma, "from frame %d", walkerFrames[i])
		}
		t.Logf("%s, camera %.0f degrees off: heading between frames %.1f degrees rms, errors %.1f, standard deviations %.1f", down, sol.Mistake.Degrees, math.Sqrt(rms), errs, sigmas)
		assert.Less(t, math.Sqrt(rms), 3.0)
	}
}
