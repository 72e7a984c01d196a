package geometry

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var (
	accuracy     = flag.Bool("accuracy", false, "run the full Monte Carlo accuracy table (make accuracy)")
	accuracyN    = flag.Int("accuracy-n", 400, "golfers per row of the accuracy table")
	accuracySeed = flag.Uint64("accuracy-seed", 20261125, "seed of the accuracy table")
)

// tally gathers the errors of one measure.
type tally struct {
	n, inside int
	se, bias  float64
	sigma2    float64
	widths    float64
	worst     float64
}

func (t *tally) add(m *Measure, truth float64) {
	e := m.Value - truth
	if m.Unit == Degrees {
		e = wrapRad(e*math.Pi/180) * 180 / math.Pi
	}
	t.n++
	t.se += e * e
	t.bias += e
	t.sigma2 += m.Sigma * m.Sigma
	t.widths += m.High95 - m.Low95
	if truth >= m.Low95 && truth <= m.High95 {
		t.inside++
	}
	t.worst = math.Max(t.worst, math.Abs(e))
}

func (t *tally) rmse() float64     { return math.Sqrt(t.se / float64(t.n)) }
func (t *tally) coverage() float64 { return float64(t.inside) / float64(t.n) }

type scenario struct {
	name string
	o    filmOptions
}

// run solves n golfers and returns the tallies by "name / position".
func (sc *scenario) run(t *testing.T, seed uint64, n int) map[string]*tally {
	out := map[string]*tally{}
	s := NewSolver()
	failed := 0
	for i := 0; i < n; i++ {
		r := rand.New(rand.NewPCG(seed, uint64(i)))
		o := sc.o
		if i%4 == 3 {
			o.handed = LeftHanded
		}
		f := makeFilm(r, o)
		s.last = nil
		sol, err := s.Solve(context.Background(), f.swing)
		if err != nil {
			failed++
			t.Logf("%s golfer %d: %v", sc.name, i, err)
			continue
		}
		ms, _ := sol.Measures()
		for k := range ms {
			key := ms[k].Name + " / " + string(ms[k].Position)
			truth, ok := f.truth[key]
			if !ok {
				continue
			}
			for _, key := range [2]string{key, ms[k].Name} {
				if out[key] == nil {
					out[key] = &tally{}
				}
				out[key].add(&ms[k], truth)
			}
		}
	}
	require.LessOrEqual(t, failed, n/100, "solves that failed")
	return out
}

func print(sc *scenario, res map[string]*tally) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n%s\n%-50s %6s %8s %8s %8s %9s %8s\n", sc.name, "measure", "n", "RMSE", "bias", "bound", "cover %", "worst")
	var keys []string
	for k := range res {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, k := range keys {
		x := res[k]
		n := float64(x.n)
		fmt.Fprintf(&b, "%-50s %6d %8.3f %8.3f %8.3f %9.1f %8.2f\n", k, x.n, x.rmse(), x.bias/n, math.Sqrt(x.sigma2/n), 100*x.coverage(), x.worst)
	}
	return b.String()
}

func TestAccuracy(t *testing.T) {
	if !*accuracy {
		t.Skip("the full accuracy table takes minutes: make accuracy")
	}
	base := filmOptions{positions: KeyPositions, stick: true, stature: true, focal: true, fatTails: true}
	for _, sc := range []scenario{
		{"both views", with(base, bothViews)},
		{"face-on alone", with(base, []View{FaceOn})},
		{"down-the-line alone", with(base, []View{DownTheLine})},
	} {
		fmt.Print(print(&sc, sc.run(t, *accuracySeed, *accuracyN)))
	}
}

func with(o filmOptions, v []View) filmOptions { o.views = v; return o }
