package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/demo"
	"turngauge/ui/propose"
	"turngauge/ui/visit"
)

// BenchmarkVisit takes in the demo visit as the window does: the swings are found, and key
// positions and marks proposed in the first of them. Run it with -benchtime 1x; -cpuprofile
// tells where the time goes.
func BenchmarkVisit(b *testing.B) {
	if *filmedVisit == "" {
		b.Skip("name a filmed visit with -filmed-visit")
	}
	truth, err := demo.LoadVisitTruth(filepath.Join(*filmedVisit, demo.VisitTruthFile))
	require.NoError(b, err)
	var found map[string]map[string]propose.Found
	l := annotations.NewLesson()
	b.Run("find", func(b *testing.B) {
		for range b.N {
			clips, err := visit.Clips(*filmedVisit)
			require.NoError(b, err)
			v, err := visit.Look(b.Context(), clips, visit.Options{})
			require.NoError(b, err)
			l.Swings, found = v.Swings(*filmedVisit, visit.FullSwing, annotations.Club{})
			require.Len(b, l.Swings, len(truth.Swings))
		}
	})
	b.Run("propose in one", func(b *testing.B) {
		marks := 0
		for range b.N {
			e := annotations.NewEditor(l)
			done, err := propose.Swing(b.Context(), e, l.Swings[0].ID, *filmedVisit, found[l.Swings[0].ID])
			require.NoError(b, err)
			marks = done.Marks
		}
		b.ReportMetric(float64(marks), "marks")
	})
}
