package fit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
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
	{"x0.5 wide, lasting", with(func(o *filmOptions) {
		o.scale, o.wideHips, o.lasting = 0.5, true, map[geometry.PointClass]float64{geometry.HipClass: 0.02}
	})},
	{"face-on x0.5", with(func(o *filmOptions) { o.views, o.scale = []geometry.View{geometry.FaceOn}, 0.5 })},
	{"face-on x1", with(func(o *filmOptions) { o.views = []geometry.View{geometry.FaceOn} })},
	{"face-on x2", with(func(o *filmOptions) { o.views, o.scale = []geometry.View{geometry.FaceOn}, 2 })},
}

// eachGolfer solves the lessons of n golfers, as many at a time as there are
// processors, and takes them in their order.
func eachGolfer(n int, solve func(i int) (*film, *Solution, error), take func(*film, *Solution, error)) {
	type lesson struct {
		f   *film
		sol *Solution
		err error
	}
	workers := runtime.GOMAXPROCS(0)
	for from := 0; from < n; from += workers {
		lessons := make([]lesson, min(workers, n-from))
		var all sync.WaitGroup
		for k := range lessons {
			all.Go(func() {
				l := &lessons[k]
				l.f, l.sol, l.err = solve(from + k)
			})
		}
		all.Wait()
		for _, l := range lessons {
			take(l.f, l.sol, l.err)
		}
	}
}

func TestAccuracyWithNoise(t *testing.T) {
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
		eachGolfer(*accuracyN, func(i int) (*film, *Solution, error) {
			o := row.o
			o.fatTails = false
			f := makeFilm(rand.New(rand.NewPCG(*accuracySeed, uint64(i))), o)
			sol, err := NewSolver().Solve(context.Background(), f.swing)
			return f, sol, err
		}, func(f *film, sol *Solution, err error) {
			if err != nil {
				failed++
				return
			}
			for c := range logs {
				logs[c] += sol.p.LogScales[c] / 2
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
		})
		require.LessOrEqual(t, failed, *accuracyN/50)
		fmt.Printf("%-18s", row.name)
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

// The scales of the classes come out as the films were marked, on average, and the
// intervals of the scales hold them.
func TestScalesAreFound(t *testing.T) {
	t.Parallel()
	n := films(4, 20)
	for _, scale := range []float64{0.5, 2} {
		var sum [geometry.NumClasses]float64
		inside, all := 0, 0
		for i := range uint64(n) {
			f := makeFilm(rand.New(rand.NewPCG(12, i)), with(func(o *filmOptions) { o.scale, o.fatTails = scale, false }))
			m := solve(t, f.swing).Marking()
			require.Len(t, m.Classes, geometry.NumClasses)
			assert.InDelta(t, 300, m.Freedom, 100)
			for _, c := range m.Classes {
				sum[c.Class] += math.Log(c.Scale) / float64(n)
				if c.Low95 < scale && scale < c.High95 {
					inside++
				}
				all++
			}
			assert.Less(t, m.AgreeLow95, m.AgreePx)
			assert.Less(t, m.AgreePx, m.AgreeHigh95)
		}
		for c, l := range sum {
			assert.InEpsilon(t, scale, math.Exp(l), 0.25, "%s at %g", geometry.PointClass(c), scale)
		}
		assert.Greater(t, float64(inside)/float64(all), 0.85, "intervals of the scales at %g", scale)
	}
}

// With few marks the scales are those of the prior, a coach's own where it is known.
func TestFewMarksLeaveThePrior(t *testing.T) {
	f := anyFilm(4, fullFilm)
	sw := f.swing
	sw.Marks = nil
	for _, m := range f.swing.Marks {
		if m.Position == 0 && m.Clip == 0 && (m.Point == geometry.LeadHip || m.Point == geometry.TrailHip || m.Point == geometry.LeadAnkle || m.Point == geometry.TrailAnkle) {
			sw.Marks = append(sw.Marks, m)
		}
	}
	for _, mean := range []float64{0, 1} {
		prior := geometry.UsualMarking()
		for i := range prior.Mean {
			prior.Mean[i] = mean
		}
		sw.Marking = prior
		m := solve(t, sw).Marking()
		assert.Less(t, m.Freedom, 20.0)
		for _, c := range m.Classes {
			t.Logf("%s %.2f (%.2f to %.2f)", c.Class, c.Scale, c.Low95, c.High95)
			assert.InEpsilon(t, math.Exp(mean/2), c.Scale, 0.5, c.Class.String())
			assert.Greater(t, c.High95/c.Low95, 4.0)
		}
	}
}

// The mean of w d² of a mark by drawing it, where it is checked by nothing but a
// place of known spread, which the fit weighs it against.
func TestRemlExpectationByDrawing(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for _, kept := range []float64{0.2, 0.5, 0.9} {
		a := (1 - kept) / kept
		var sum float64
		const draws = 40000
		for range draws {
			x, y := math.Sqrt(1+a)*r.NormFloat64(), math.Sqrt(1+a)*r.NormFloat64()
			e, rho := math.Hypot(x, y), 0.0
			for range 200 { // the fit's own iteration: weights held, then a step
				_, w := levmar.Robust(rho * rho)
				rho += 0.5 * (e/(1+a*w) - rho)
			}
			_, w := levmar.Robust(rho * rho)
			sum += w * rho * rho / draws
		}
		assert.InEpsilon(t, sum, levmar.ExpectedRobust(kept), 0.02, "kept %g", kept)
	}
}

// The interval of a normal variable whose standard deviation is lognormal, by
// drawing it.
func TestLognormalQuantileByDrawing(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for _, tau := range []float64{0.1, 0.3, 0.8} {
		const draws = 200000
		q, beyond := geometry.LognormalQuantile(tau)*geometry.Z95, 0
		for range draws {
			if math.Abs(math.Exp(tau*r.NormFloat64())*r.NormFloat64()) > q {
				beyond++
			}
		}
		assert.InDelta(t, 0.05, float64(beyond)/draws, 0.003, "tau %g", tau)
	}
	assert.Equal(t, 1.0, geometry.LognormalQuantile(0))
}
