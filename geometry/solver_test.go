package geometry

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestFirst(t *testing.T) {
	for seed := uint64(1); seed < 6; seed++ {
		r := rand.New(rand.NewPCG(seed, 2))
		f := makeFilm(r, filmOptions{views: bothViews, positions: KeyPositions, stick: true, stature: true, focal: true})
		s := NewSolver()
		t0 := time.Now()
		sol, err := s.Solve(context.Background(), f.swing)
		require.NoError(t, err)
		t.Log(time.Since(t0), sol.Summary)
		for c, cam := range sol.Cameras {
			t.Log(cam.Camera.Position, f.cams[c].Position, cam.Camera.FocalPx, f.cams[c].FocalPx)
		}
		ms, miss := sol.Measures()
		t.Log(time.Since(t0), miss)
		for _, m := range ms {
			if tr, ok := f.truth[m.Name+" / "+string(m.Position)]; ok && seed == 1 {
				fmt.Printf("%-36s %-16s %8.2f true %8.2f sd %5.2f z %5.1f\n", m.Name, m.Position, m.Value, tr, m.Sigma, (m.Value-tr)/m.Sigma)
			}
		}
		t.Log(sol.Suspects)
		g, ok := sol.NextMark()
		t.Log(g, ok, time.Since(t0))
		t0 = time.Now()
		f.swing.Marks[40].At.X += 3
		sol, err = s.Solve(context.Background(), f.swing)
		require.NoError(t, err)
		t.Log("warm", time.Since(t0), sol.Summary)
	}
}
