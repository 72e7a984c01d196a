package fit

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// At 60 frames a second the club goes 40 cm from one frame to the next before
// it strikes. A frame of one clip that is late by two fifths of that is found to
// be, and its marks are expected where they are.
func TestALateFrameIsFound(t *testing.T) {
	const frame = 1.0 / 60
	o := fullFilm
	o.views, o.clean, o.fps = bothViews, true, 1e6
	for seed := uint64(0); seed < 4; seed++ {
		f := makeFilm(rand.New(rand.NewPCG(seed, 60)), o)
		for i := range f.swing.Positions {
			f.swing.Positions[i].FrameSeconds = []float64{frame, frame}
		}
		var pos int
		distinct := func(late float64) (float64, *Solution) {
			sw := f.swing
			sw.Marks = append([]geometry.Mark(nil), sw.Marks...)
			for i := range sw.Marks {
				m := &sw.Marks[i]
				if sw.Positions[m.Position].Name != geometry.Delivery || m.Clip != 1 {
					continue
				}
				pos = m.Position
				at, err := f.cams[1].Project(r3.Add(f.points[pos][m.Point], r3.Scale(late, f.moving[pos][m.Point])))
				require.NoError(t, err)
				m.At = at
			}
			s := solve(t, sw)
			o := s.p.oTime[pos]
			return (s.st.g[o[1]] - s.st.g[o[0]]) * s.p.timeSigma[pos][1], s
		}
		late, s := distinct(0.4 * frame)
		early, _ := distinct(-0.4 * frame)
		// Drawn toward none, as frames half of one apart are unlikely.
		assert.InDelta(t, 0.8*frame, late-early, 0.4*frame, "seed %d, seconds between a late and an early frame", seed)
		pr, ok := s.projection(1, pos, geometry.Clubhead)
		require.True(t, ok)
		expected, err := f.cams[1].Project(r3.Add(f.points[pos][geometry.Clubhead], r3.Scale(0.4*frame, f.moving[pos][geometry.Clubhead])))
		require.NoError(t, err)
		atInstant, err := f.cams[1].Project(f.points[pos][geometry.Clubhead])
		require.NoError(t, err)
		assert.Less(t, distance(pr.X, pr.Y, expected), 0.5*distance(pr.X, pr.Y, atInstant), "seed %d, of the clubhead", seed)
	}
}

func distance(x, y float64, p geometry.ImagePt) float64 {
	return r3.Norm(r3.Vec{X: x - p.X, Y: y - p.Y})
}
