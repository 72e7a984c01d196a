package fit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// What a coach sees once his hand rests depends on his marks, not on the way he
// came to them: a solver that has been through other marks, and a swing whose
// marks were listed in another order, give what a new solver gives.
func TestTheSameMarksGiveTheSameNumbers(t *testing.T) {
	for _, views := range [][]geometry.View{bothViews, {geometry.FaceOn}} {
		o := accuracyBase
		o.views = views
		f := anyFilm(4, o)
		first := solve(t, f.swing)
		require.False(t, first.Summary.Warm)
		want := valuesOf(first)

		s := NewSolver()
		for _, by := range []float64{40, -25, 10, 0} {
			sw := f.swing
			sw.Marks = append([]geometry.Mark(nil), sw.Marks...)
			sw.Marks[len(sw.Marks)/2].At.X += by
			_, err := s.Solve(context.Background(), sw)
			require.NoError(t, err)
		}
		warm := s.last
		assert.True(t, warm.Summary.Warm, "after one mark moved")

		undone := f.swing
		undone.Marks = append([]geometry.Mark(nil), undone.Marks...)
		n := len(undone.Marks)
		for i := 0; i < n/2; i++ {
			undone.Marks[i], undone.Marks[n-1-i] = undone.Marks[n-1-i], undone.Marks[i]
		}
		got := valuesOf(solve(t, undone))
		require.Len(t, got, len(want))
		followed := valuesOf(warm)
		for k, w := range want {
			assert.InDelta(t, w.Value, got[k].Value, 0.02, "%s, %v", k, views)
			assert.InDelta(t, w.Sigma, got[k].Sigma, 0.02, "%s, %v", k, views)
			if len(views) == 2 { // following the hand, too, where both views are marked
				// The spread of the marks is that of the first of them.
				if m, ok := followed[k]; ok {
					assert.InDelta(t, w.Value, m.Value, 0.3*w.Sigma, k)
				} else { // withheld for being too open: it hardly was not
					assert.Greater(t, w.Sigma, 0.95*geometry.DefinitionOf(w.Name).OpenSigma, k)
				}
			}
		}
	}
}
