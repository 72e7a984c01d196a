package fit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

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

// Hips marked with 30 mm of scatter at one position of a captured swing: where the
// interval misses the truth, the class is named there, or one of its marks.
func TestMisfitsAreCoveredOrNamed(t *testing.T) {
	n := 40
	for _, scatter := range []float64{0, 0.03} {
		for _, inSpace := range []bool{false, true} {
			for _, at := range []geometry.PositionName{geometry.Top, geometry.Impact} {
				var inside, told, silent, named, all int
				var rms, width float64
				for i := range n {
					sw, truth := capturedSwing(t, rand.New(rand.NewPCG(uint64(i), 30)), at, scatter, inSpace)
					s, err := NewSolver().Solve(context.Background(), sw)
					require.NoError(t, err)
					m, miss := s.Measure("pelvis turn", at)
					if miss != nil {
						all++
						told++
						continue
					}
					all++
					e := m.Value - truth["pelvis turn / "+string(at)]
					rms += e * e
					width += (m.High95 - m.Low95) / 2
					said := false
					for _, f := range s.Marking().Misfits {
						said = said || f.Class == geometry.HipClass && s.p.names[f.Position] == at
					}
					for _, x := range s.Suspects {
						said = said || sw.Marks[x.Mark].Point == geometry.LeadHip || sw.Marks[x.Mark].Point == geometry.TrailHip
					}
					if said {
						named++
					}
					switch {
					case math.Abs(e) <= geometry.Z95*m.Sigma:
						inside++
					case said:
						told++
					default:
						silent++
					}
				}
				fmt.Println(scatter, inSpace, at, "rms", math.Sqrt(rms/float64(all)), "half", width/float64(all), "inside", inside, "told", told, "silent", silent, "named", named, "of", all)
			}
		}
	}
}
