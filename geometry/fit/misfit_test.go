package fit

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// capturedSwing is the captured golfer of mocap_test.go filmed from both views
// and marked with the usual errors, the hips at one position with scatter metres
// along each axis: in each view by itself, or at a place of their own in space, as
// in a capture whose hip joints wander.
func capturedSwing(t *testing.T, r *rand.Rand, at geometry.PositionName, scatter float64, inSpace bool) (sw geometry.Swing, truth map[string]float64) {
	t.Helper()
	names := []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact, geometry.Finish}
	pts := mocapFrames(t, []int{30, 204, 280, 400})
	for _, n := range names {
		sw.Positions = append(sw.Positions, geometry.Position{Name: n})
	}
	truth = map[string]float64{}
	for _, m := range geometry.MeasuresOf(geometry.Golfer{}, sw.Positions, pts) {
		truth[m.Name+" / "+string(m.Position)] = m.Value
	}
	off := func() r3.Vec {
		return r3.Vec{X: scatter * r.NormFloat64(), Y: scatter * r.NormFloat64(), Z: scatter * r.NormFloat64()}
	}
	var moved [2]r3.Vec
	if inSpace {
		moved = [2]r3.Vec{off(), off()}
	}
	for c, v := range bothViews {
		cam := makeCamera(r, v)
		sw.Clips = append(sw.Clips, geometry.Clip{View: v, Width: cam.Width, Height: cam.Height, FocalPx: cam.FocalPx, FocalRelSigma: 0.05})
		for pos := range names {
			for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
				if pts[pos][pt] == pts[pos][geometry.Clubhead] { // not in the data
					continue
				}
				p := pts[pos][pt]
				if names[pos] == at && (pt == geometry.LeadHip || pt == geometry.TrailHip) {
					if inSpace {
						p = r3.Add(p, moved[pt-geometry.LeadHip])
					} else {
						p = r3.Add(p, off())
					}
				}
				mark, err := cam.Project(p)
				require.NoError(t, err)
				sd := math.Hypot(clickPx, misplacingM*cam.FocalPx/cam.ToCamera(p).Z)
				if v == geometry.DownTheLine && pt.Side() == geometry.Lead {
					sd *= farther
				}
				mark.X += sd * r.NormFloat64()
				mark.Y += sd * r.NormFloat64()
				sw.Marks = append(sw.Marks, geometry.Mark{Clip: c, Position: pos, Point: pt, At: mark})
			}
		}
	}
	return sw, truth
}

// Hips taken to be 30 mm off, along each axis, at one position: where the interval
// misses the truth, the class is named there, or one of its marks. The hips are off
// in the capture itself, so that both views agree on it, or in each view by itself.
func TestMisfitsAreCoveredOrNamed(t *testing.T) {
	t.Parallel()
	n := 6
	if *accuracy {
		n = *accuracyN
	}
	type made func(seed uint64, at geometry.PositionName) (geometry.Swing, map[string]float64)
	captured := func(scatter float64, inSpace bool) made {
		return func(seed uint64, at geometry.PositionName) (geometry.Swing, map[string]float64) {
			return capturedSwing(t, rand.New(rand.NewPCG(seed, 30)), at, scatter, inSpace)
		}
	}
	whole, silent := 0, 0
	for _, row := range []struct {
		name string
		make made
		poor bool
	}{
		{"captured joints, sound", captured(0, false), false},
		{"captured joints, hips off in space", captured(0.03, true), true},
		{"captured joints, hips off in each view", captured(0.03, false), true},
		{"made golfers, all points, hips off in space", func(seed uint64, at geometry.PositionName) (geometry.Swing, map[string]float64) {
			f := makeFilm(rand.New(rand.NewPCG(seed, 31)), with(func(o *filmOptions) { o.hipsAt, o.hipsM = at, 0.03 }))
			return f.swing, f.truth
		}, true},
	} {
		if !strings.Contains(row.name, *accuracyRows) {
			continue
		}
		var inside, told, all int
		var se, width float64
		for _, at := range []geometry.PositionName{geometry.Top, geometry.Impact} {
			for i := range n {
				sw, truth := row.make(*accuracySeed+uint64(i), at)
				s, err := NewSolver().Solve(context.Background(), sw)
				require.NoError(t, err)
				all++
				m, miss := s.Measure("pelvis turn", at)
				if miss != nil {
					told++
					continue
				}
				e := m.Value - truth["pelvis turn / "+string(at)]
				se += e * e
				width += (m.High95 - m.Low95) / 2
				if math.Abs(e) <= geometry.Z95*m.Sigma {
					inside++
				} else if s.says(geometry.HipClass, at) {
					told++
				}
			}
		}
		t.Logf("%s: error %.1f degrees, half interval %.1f; of %d turns %d covered, %d missed and told", row.name, math.Sqrt(se/float64(all)), width/float64(all), all, inside, told)
		if row.poor {
			whole += all
			silent += all - inside - told
		}
	}
	assert.LessOrEqual(t, float64(silent), 0.3*float64(whole), "missed and not told")
}

// says reports whether a solution names a class, or one of its marks, at a position.
func (s *Solution) says(c geometry.PointClass, at geometry.PositionName) bool {
	for _, f := range s.Marking().Misfits {
		if f.Class == c && s.p.Names[f.Position] == at {
			return true
		}
	}
	for _, x := range s.Suspects {
		m := &s.sw.Marks[x.Mark]
		if k, _ := geometry.ClassOf(m.Point); k == c && s.p.Names[m.Position] == at {
			return true
		}
	}
	return false
}
