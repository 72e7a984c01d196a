package fit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// noiseRows are films marked as in decide.md: by scales of the usual marking.
var noiseRows = []struct {
	name string
	o    filmOptions
}{
	{"x0.5", with(func(o *filmOptions) { o.scale = 0.5 })},
	{"x1", with(func(o *filmOptions) {})},
	{"x1.5", with(func(o *filmOptions) { o.scale = 1.5 })},
	{"x2", with(func(o *filmOptions) { o.scale = 2 })},
	{"x0.5 wide", with(func(o *filmOptions) { o.scale, o.wideHips = 0.5, true })},
	{"x1 wide", with(func(o *filmOptions) { o.wideHips = true })},
	{"mixed", with(func(o *filmOptions) {
		o.placing = map[geometry.PointClass]float64{geometry.FootClass: 0.003, geometry.HipClass: 0.025}
	})},
	{"lasting", with(func(o *filmOptions) { o.lasting = map[geometry.PointClass]float64{geometry.HipClass: 0.02} })},
	{"face-on x0.5", with(func(o *filmOptions) { o.views, o.scale = []geometry.View{geometry.FaceOn}, 0.5 })},
	{"face-on x1", with(func(o *filmOptions) { o.views = []geometry.View{geometry.FaceOn} })},
	{"face-on x2", with(func(o *filmOptions) { o.views, o.scale = []geometry.View{geometry.FaceOn}, 2 })},
}

func TestNoiseTable(t *testing.T) {
	if !*accuracy {
		t.Skip("make accuracy")
	}
	for _, row := range noiseRows {
		if *accuracyRows != "" && !strings.Contains(row.name, *accuracyRows) {
			continue
		}
		res := map[string]*tally{}
		var logs [geometry.NumMarkComponents]float64
		failed := 0
		for i := 0; i < *accuracyN; i++ {
			o := row.o
			o.fatTails = false
			f := makeFilm(rand.New(rand.NewPCG(*accuracySeed, uint64(i))), o)
			sol, err := NewSolver().Solve(context.Background(), f.swing)
			if err != nil {
				failed++
				continue
			}
			for c := range logs {
				logs[c] += sol.p.scale[c] / 2
			}
			ms, _ := sol.Measures()
			for k := range ms {
				key := ms[k].Name
				if truth, ok := f.truth[key+" / "+string(ms[k].Position)]; ok {
					if res[key] == nil {
						res[key] = &tally{}
					}
					res[key].add(&ms[k], truth)
				}
			}
		}
		require.LessOrEqual(t, failed, *accuracyN/50)
		fmt.Printf("%-14s", row.name)
		for _, m := range []string{"pelvis turn", "torso turn", "sway", "forward bend"} {
			x := res[m]
			fmt.Printf("  %s %.2f/%.1f/%.3f", m, x.rmse(), x.widths/float64(x.n)/2, x.coverage())
		}
		fmt.Print("  scales")
		for c := range logs {
			fmt.Printf(" %.2f", math.Exp(logs[c]/float64(*accuracyN-failed)))
		}
		fmt.Println()
	}
}
