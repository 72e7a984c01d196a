package fit

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestAccuracyOfFilming prints what README and F1 say of how large the golfer is filmed:
// half the 95 % intervals of the turns at the top by how many millimetres a pixel is, with
// the coach's hand and what he takes for the joint as usual, and how far they are off.
func TestAccuracyOfFilming(t *testing.T) {
	if !*accuracy {
		t.Skip("make accuracy")
	}
	for _, larger := range []float64{1, 1.5, 2, 2.3} {
		half, off := map[string]float64{}, map[string]float64{}
		mm, n := 0.0, 0.0
		for i := range uint64(*accuracyN) {
			f := makeFilm(rand.New(rand.NewPCG(*accuracySeed, i)), with(func(o *filmOptions) { o.larger = larger }))
			sol, err := NewSolver().Solve(context.Background(), f.swing)
			require.NoError(t, err)
			n++
			for c := range f.cams {
				mm += 1000 * f.cams[c].ToCamera(f.points[0][geometry.LeadHip]).Z / f.cams[c].FocalPx / float64(len(f.cams))
			}
			for _, name := range []string{"pelvis turn", "torso turn"} {
				m, lack := sol.Measure(name, geometry.Top)
				require.Nil(t, lack)
				half[name] += geometry.Z95 * m.Sigma
				off[name] += sq(m.Value - f.truth[name+" / top"])
			}
		}
		fmt.Printf("%.1f times as large, a pixel is %.1f mm: pelvis turn at the top ± %.1f, off by %.1f squared; torso ± %.1f, %.1f\n", larger, mm/n, half["pelvis turn"]/n, off["pelvis turn"]/n, half["torso turn"]/n, off["torso turn"]/n)
	}
}
