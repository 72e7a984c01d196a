package fit

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// A real golf swing: Carnegie Mellon University Graphics Lab motion capture
// database (mocap.cs.cmu.edu), in ../shared/data beside the repository.

func dataFile(t *testing.T, name string) string {
	t.Helper()
	dir := os.Getenv("TURNGAUGE_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "data")
	}
	path := filepath.Join(dir, name)
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") != "" && (os.Getenv("TURNGAUGE_DATA") != "" || isThere(dir)) {
			t.Fatalf("the open data is not whole: %v", err)
		}
		t.Skipf("the open data is not beside the repository: %s is missing (set TURNGAUGE_DATA)", path)
	}
	return path
}

var mocapJoints = map[string]geometry.Point{
	"l_ankle": geometry.LeadAnkle, "r_ankle": geometry.TrailAnkle, "l_toe": geometry.LeadToe, "r_toe": geometry.TrailToe, "l_knee": geometry.LeadKnee, "r_knee": geometry.TrailKnee,
	"l_hip": geometry.LeadHip, "r_hip": geometry.TrailHip, "head": geometry.Head, "l_shoulder": geometry.LeadShoulder, "r_shoulder": geometry.TrailShoulder,
	"l_elbow": geometry.LeadElbow, "r_elbow": geometry.TrailElbow, "l_wrist": geometry.LeadWrist, "r_wrist": geometry.TrailWrist,
}

// mocapFrames reads the frames wanted, in our axes, with the origin between the
// ankles of the first.
func mocapFrames(t *testing.T, frames []int) [][geometry.NumPoints]geometry.WorldPt {
	t.Helper()
	f, err := os.Open(dataFile(t, "mocap/golf_skeleton_cmu.csv"))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, n := range rows[0] {
		column[n] = i
	}
	var out [][geometry.NumPoints]geometry.WorldPt
	for _, k := range frames {
		var p [geometry.NumPoints]geometry.WorldPt
		for name, pt := range mocapJoints {
			var v [3]float64
			for i, axis := range []string{"_x", "_y", "_z"} {
				v[i], err = strconv.ParseFloat(rows[1+k][column[name+axis]], 64)
				require.NoError(t, err)
			}
			p[pt] = r3.Vec{X: v[0], Y: v[2], Z: -v[1]}
		}
		out = append(out, p)
	}
	mid := r3.Scale(0.5, r3.Add(out[0][geometry.LeadAnkle], out[0][geometry.TrailAnkle]))
	mid.Y = 0
	for i := range out {
		for pt := range out[i] {
			out[i][pt] = r3.Sub(out[i][pt], mid)
		}
	}
	return out
}

func TestMocapGolfer(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile(dataFile(t, "mocap/golf_skeleton_cmu_truth.json"))
	require.NoError(t, err)
	var truth struct {
		Events map[string]struct {
			Frame      int
			Pelvis     float64 `json:"pelvis_turn_deg"`
			Torso      float64 `json:"torso_turn_deg"`
			Separation float64 `json:"separation_deg"`
		}
	}
	require.NoError(t, json.Unmarshal(b, &truth))
	names := []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact, geometry.Finish}
	var frames []int
	var positions []geometry.Position
	for _, n := range names {
		e, ok := truth.Events[string(n)]
		require.True(t, ok)
		frames = append(frames, e.Frame)
		positions = append(positions, geometry.Position{Name: n})
	}
	pts := mocapFrames(t, frames)

	// The definitions on the joints themselves against the turns that came
	// with the data, which were worked out without this program.
	got := map[string]float64{}
	for _, m := range geometry.MeasuresOf(geometry.Golfer{}, positions, pts) {
		got[m.Name+" / "+string(m.Position)] = m.Value
	}
	base := truth.Events["address"]
	for _, n := range names[1:] {
		e := truth.Events[string(n)]
		assert.InDelta(t, e.Pelvis-base.Pelvis, got["pelvis turn / "+string(n)], 0.15, "pelvis at %s", n)
		assert.InDelta(t, e.Torso-base.Torso, got["torso turn / "+string(n)], 0.15, "torso at %s", n)
		assert.InDelta(t, e.Separation-base.Separation, got["separation / "+string(n)], 0.15, "separation at %s", n)
	}

	// Filmed by virtual phones and marked with the usual errors: joints only,
	// no heels, no club, no front points.
	var inside, n int
	var chi2 float64
	for seed := uint64(0); seed < 12; seed++ {
		r := rand.New(rand.NewPCG(seed, 11))
		sw := geometry.Swing{Positions: positions}
		for c, v := range bothViews {
			cam := makeCamera(r, v)
			sw.Clips = append(sw.Clips, geometry.Clip{View: v, Width: cam.Width, Height: cam.Height, FocalPx: cam.FocalPx, FocalRelSigma: 0.05})
			for pos := range positions {
				for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
					if pts[pos][pt] == pts[pos][geometry.Clubhead] { // not in the data
						continue
					}
					at, err := cam.Project(pts[pos][pt])
					require.NoError(t, err)
					sd := math.Hypot(2.5, 0.008*cam.FocalPx/cam.ToCamera(pts[pos][pt]).Z)
					if v == geometry.DownTheLine && pt.Side() == geometry.Lead {
						sd *= 2.2
					}
					at.X += sd * r.NormFloat64()
					at.Y += sd * r.NormFloat64()
					sw.Marks = append(sw.Marks, geometry.Mark{Clip: c, Position: pos, Point: pt, At: at})
				}
			}
		}
		sol, err := NewSolver().Solve(context.Background(), sw)
		require.NoError(t, err)
		for _, name := range []string{"pelvis turn", "torso turn", "sway", "forward bend", "lead knee flex", "trail knee flex"} {
			for _, p := range names[1:] {
				m, miss := sol.Measure(name, p)
				require.Nil(t, miss, "%s at %s", name, p)
				n++
				want := got[name+" / "+string(p)]
				if m.Low95 <= want && want <= m.High95 {
					inside++
				}
				chi2 += sq((m.Value - want) / m.Sigma)
			}
		}
	}
	t.Logf("%d of %d within their intervals, mean squared error in sigmas %.2f", inside, n, chi2/float64(n))
	// One golfer: the errors that the priors make are the same each time, so
	// the bound is wider than a binomial one.
	assert.Greater(t, float64(inside)/float64(n), 0.85)
	assert.Less(t, chi2/float64(n), 2.0)
}

// isThere reports whether there is something at a path.
func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
