package geometry

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func TestDbg(t *testing.T) {
	var sum [2][3]float64
	var ss [2][3]float64
	n := 0.0
	var pts [numBody][3]float64
	for i := 0; i < 300; i++ {
		r := rand.New(rand.NewPCG(*accuracySeed, uint64(i)))
		o := filmOptions{positions: KeyPositions, stick: true, stature: true, focal: true, fatTails: true, views: bothViews}
		f := makeFilm(r, o)
		sol, err := NewSolver().Solve(context.Background(), f.swing)
		if err != nil {
			continue
		}
		n++
		for c := range sol.Cameras {
			var d [3][3]float64 // Rest^T Rtrue : world rotation
			e, tr := sol.Cameras[c].Camera.Rotation, f.cams[c].Rotation
			for a := 0; a < 3; a++ {
				for b := 0; b < 3; b++ {
					for k := 0; k < 3; k++ {
						d[a][b] += e[k][a] * tr[k][b]
					}
				}
			}
			w := [3]float64{d[2][1] - d[1][2], d[0][2] - d[2][0], d[1][0] - d[0][1]}
			for k := range w {
				v := w[k] / 2 * 180 / math.Pi
				sum[c][k] += v
				ss[c][k] += v * v
			}
		}
		for p := 0; p < numBody; p++ {
			e := sol.Points[0][p].At
			tr := f.points[0][p]
			pts[p][0] += e.X - tr.X
			pts[p][1] += e.Y - tr.Y
			pts[p][2] += e.Z - tr.Z
		}
	}
	for c := range sum {
		for k := range sum[c] {
			fmt.Printf("cam %d axis %d mean %.3f sd %.3f\n", c, k, sum[c][k]/n, math.Sqrt(ss[c][k]/n))
		}
	}
	for p := range pts {
		fmt.Printf("%-15s %6.4f %6.4f %6.4f\n", Point(p), pts[p][0]/n, pts[p][1]/n, pts[p][2]/n)
	}
}
