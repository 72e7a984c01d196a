package fit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// offLineFilm is the film of a golfer with each camera so many degrees off its line.
func offLineFilm(seed uint64, faceOn, down float64) *film {
	return makeFilm(rand.New(rand.NewPCG(seed, 7)), with(func(o *filmOptions) { o.yaw = [2]float64{faceOn, down} }))
}

// TestAccuracyOfCamerasOffTheirLine prints, by how far a phone stood off its line, how far
// pelvis and torso turn are off, how many intervals miss the truth, how wide they are, and
// what was said.
func TestAccuracyOfCamerasOffTheirLine(t *testing.T) {
	if !*accuracy {
		t.Skip("make accuracy")
	}
	for _, yaw := range [][2]float64{{0, 0}, {0, 15}, {0, -15}, {0, 25}, {0, -25}, {0, 40}, {0, -40}, {0, 60}, {0, -60}, {0, 74}, {0, -74}, {25, 0}, {-25, 0}, {40, 0}, {-40, 0}, {60, 0}, {20, 30}} {
		var n, missed, given, unsettled, told, other int
		var sum, half, where float64
		for i := range uint64(*accuracyN) {
			f := offLineFilm(i, yaw[0], yaw[1])
			sol, err := NewSolver().Solve(context.Background(), f.swing)
			if err != nil {
				unsettled++
				continue
			}
			if m := sol.Mistake; m != nil {
				if m.What == geometry.CameraOffLine {
					told++
				} else {
					other++
				}
			}
			for c := range f.cams {
				where += sq((aside(&sol.Cameras[c].Camera, f.swing.Clips[c].View)-aside(&f.cams[c], f.swing.Clips[c].View))*180/math.Pi) / 2
			}
			n++
			for _, at := range f.swing.Positions {
				for _, name := range []string{"pelvis turn", "torso turn"} {
					m, lack := sol.Measure(name, at.Name)
					truth, ok := f.truth[name+" / "+string(at.Name)]
					if lack != nil || !ok {
						continue
					}
					given++
					sum += sq(m.Value - truth)
					half += geometry.Z95 * m.Sigma
					if math.Abs(m.Value-truth) > geometry.Z95*m.Sigma {
						missed++
					}
				}
			}
		}
		fmt.Printf("face-on %3.0f, down the line %3.0f: turns off by %4.1f rms, half %4.1f, missed %4.1f %% of %d; cameras off by %4.1f; told %d, other %d, unsettled %d of %d\n", yaw[0], yaw[1],
			math.Sqrt(sum/float64(max(given, 1))), half/float64(max(given, 1)), 100*float64(missed)/float64(max(given, 1)), given, math.Sqrt(where/float64(max(n, 1))), told, other, unsettled, *accuracyN)
	}
}

// TestPlacement: a phone far off its line is told with how far, as is known of it, and
// turns lie inside their intervals; one on its line is not. The full table is that of make
// accuracy.
func TestPlacement(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ faceOn, down float64 }{{0, 0}, {0, 60}, {-60, 0}} {
		f := offLineFilm(2, c.faceOn, c.down)
		sol, err := NewSolver().Solve(context.Background(), f.swing)
		require.NoError(t, err)
		m := sol.Mistake
		if c.faceOn == 0 && c.down == 0 {
			assert.Nil(t, m)
			continue
		}
		require.NotNil(t, m, "%v", c)
		require.Equal(t, geometry.CameraOffLine, m.What)
		truth := aside(&f.cams[m.Clip], f.swing.Clips[m.Clip].View) * 180 / math.Pi
		assert.InDelta(t, truth, m.Degrees, 2.6*m.DegreesSigma, "%v", c)
		assert.InDelta(t, c.faceOn+c.down, m.Degrees, 12, "%v: the camera that was moved", c)
		require.NotNil(t, m.Costs)
		got, lack := sol.Measure(m.Costs.Measure, m.Costs.At)
		require.Nil(t, lack)
		assert.InDelta(t, geometry.Z95*got.Sigma, m.Costs.HalfWidth, 1e-9)

		// The hand is followed from there.
		s := NewSolver()
		_, err = s.Solve(context.Background(), f.swing)
		require.NoError(t, err)
		moved := cloned(f.swing)
		moved.Marks[0].At.X++
		warm, err := s.Solve(context.Background(), moved)
		require.NoError(t, err)
		assert.True(t, warm.Summary.Warm)
		require.NotNil(t, warm.Mistake)
	}
}
