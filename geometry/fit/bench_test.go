package fit

import (
	"context"
	"encoding/json"
	"flag"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

var writeSwing = flag.String("write-swing", "", "write the swing of BenchmarkSolveCold to this file, for package bundle's -write-fit")

func TestWriteSwing(t *testing.T) {
	if *writeSwing == "" {
		t.Skip("writes the swing of BenchmarkSolveCold when asked to by -write-swing")
	}
	b, err := json.Marshal(anyFilm(1, fullFilm).swing.Mirrored())
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(*writeSwing, b, 0o644))
}

// Seven key positions, two views, 24 points: what a fully marked swing costs.
//
// On one core of a small machine (processor time, November 2026): cold 93 ms
// with two views and 87 ms face-on alone, the noise of the marks learned; after one
// mark moved 18 and 14 ms, all measures 12 ms. scipy.optimize.least_squares takes 19 s for the greater part
// of the same cost from the same start (bundle/testdata/scipy_fit.py: python 3.11.2,
// numpy 1.24.2, scipy 1.10.1; 521 unknowns, 1317 residuals; dense 19.1 s to
// convergence, sparse stopped after 200 evaluations and 18.5 s): some 200 times
// as long, wall clock, on the same machine, mostly for its numerical
// derivatives, which know nothing of the arrow.

func BenchmarkSolveCold(b *testing.B) {
	f := anyFilm(1, fullFilm)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewSolver().Solve(context.Background(), f.swing); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolveColdFaceOn(b *testing.B) {
	o := fullFilm
	o.views = []geometry.View{geometry.FaceOn}
	f := anyFilm(1, o)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewSolver().Solve(context.Background(), f.swing); err != nil {
			b.Fatal(err)
		}
	}
}

func benchmarkWarm(b *testing.B, views []geometry.View, proposed bool) {
	o := fullFilm
	o.views = views
	f := anyFilm(1, o)
	for i := range f.swing.Marks {
		if m := &f.swing.Marks[i]; proposed && m.Point != geometry.Ball {
			m.SigmaPx, m.SharedBiasPx = 8, 5
		}
	}
	s := NewSolver()
	if _, err := s.Solve(context.Background(), f.swing); err != nil {
		b.Fatal(err)
	}
	mark := -1
	for i, m := range f.swing.Marks {
		if m.Point == geometry.TrailHip && f.swing.Positions[m.Position].Name == geometry.Top {
			mark = i
		}
	}
	b.ReportAllocs()
	step := 3.0
	for b.Loop() {
		f.swing.Marks[mark].At.X += step
		step = -step
		if _, err := s.Solve(context.Background(), f.swing); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolveWarm(b *testing.B) { benchmarkWarm(b, bothViews, false) }
func BenchmarkSolveWarmFaceOn(b *testing.B) {
	benchmarkWarm(b, []geometry.View{geometry.FaceOn}, false)
}
func BenchmarkSolveWarmProposed(b *testing.B) { benchmarkWarm(b, bothViews, true) }

func BenchmarkMeasures(b *testing.B) {
	sol, err := NewSolver().Solve(context.Background(), anyFilm(1, fullFilm).swing)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		sol.Measures()
	}
}

func BenchmarkNextMark(b *testing.B) {
	sol, err := NewSolver().Solve(context.Background(), anyFilm(1, fullFilm).swing)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		sol.NextMark()
	}
}
