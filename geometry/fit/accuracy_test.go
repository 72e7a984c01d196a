package fit

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

var (
	accuracy     = flag.Bool("accuracy", false, "run the full Monte Carlo accuracy table (make accuracy)")
	accuracyN    = flag.Int("accuracy-n", 400, "golfers per row of the accuracy table")
	accuracyRows = flag.String("accuracy-rows", "", "only the tables whose name contains this, or, after =, is this")
	accuracySeed = flag.Uint64("accuracy-seed", 20261125, "seed of the accuracy table")
)

// films is how many films a test looks at: as many as tell a fault from luck, or all
// of them with the accuracy tables.
func films(few, all int) int {
	if *accuracy {
		return all
	}
	return few
}

// tally gathers the errors of one measure.
type tally struct {
	n, inside int
	se, bias  float64
	sigma2    float64
	bound2    float64
	widths    float64
	worst     float64
}

func (t *tally) add(m *geometry.Measure, truth float64) {
	e := m.Value - truth
	if m.Unit == geometry.Degrees {
		e = geometry.WrapAngle(e*math.Pi/180) * 180 / math.Pi
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

// run solves n golfers and returns the tallies by "name / position" and by
// name. Every fourth golfer is left-handed.
func (sc *scenario) run(t *testing.T, seed uint64, n int, bounds bool) map[string]*tally {
	out := map[string]*tally{}
	s := NewSolver()
	failed := 0
	add := func(key string, m *geometry.Measure, truth, bound float64) {
		if out[key] == nil {
			out[key] = &tally{}
		}
		out[key].add(m, truth)
		out[key].bound2 += bound * bound
	}
	for i := 0; i < n; i++ {
		r := rand.New(rand.NewPCG(seed, uint64(i)))
		o := sc.o
		if i%4 == 3 {
			o.handed = geometry.LeftHanded
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
		var bound map[string]float64
		if bounds {
			bound = f.bounds()
		}
		for k := range ms {
			key := ms[k].Name + " / " + string(ms[k].Position)
			if truth, ok := f.truth[key]; ok {
				add(key, &ms[k], truth, bound[key])
				add(ms[k].Name, &ms[k], truth, bound[key])
			}
		}
		for _, lead := range [2]geometry.Point{geometry.LeadHip, geometry.LeadShoulder} {
			for name, m := range shortcuts(f, lead) {
				add(name, &m, f.truth[turnName(lead)+" / top"], 0)
			}
		}
	}
	require.LessOrEqual(t, failed, n/100, "solves that failed")
	return out
}

func turnName(lead geometry.Point) string {
	if lead == geometry.LeadHip {
		return "pelvis turn"
	}
	return "torso turn"
}

// shortcuts are the turns at the top that the same marks give without a fit:
// from the width face-on against that at address, and from both widths.
func shortcuts(f *film, lead geometry.Point) map[string]geometry.Measure {
	sw := f.swing.Mirrored()
	var w [3][2]float64 // by view and position: lead minus trail, px
	var seen [3][2]int
	for _, m := range sw.Marks {
		k := 0
		switch sw.Positions[m.Position].Name {
		case geometry.Address:
		case geometry.Top:
			k = 1
		default:
			continue
		}
		v := sw.Clips[m.Clip].View
		switch m.Point {
		case lead:
			w[v][k] += m.At.X
			seen[v][k]++
		case lead.Opposite():
			w[v][k] -= m.At.X
			seen[v][k]++
		}
	}
	out := map[string]geometry.Measure{}
	put := func(name string, rad float64) {
		v := rad * 180 / math.Pi
		out[turnName(lead)+" / top by "+name] = geometry.Measure{Unit: geometry.Degrees, Value: v, Low95: v, High95: v}
	}
	if seen[geometry.FaceOn] == [2]int{2, 2} {
		turn := math.Acos(math.Min(math.Abs(w[geometry.FaceOn][1]/w[geometry.FaceOn][0]), 1))
		put("width ratio", turn)
		if seen[geometry.DownTheLine] == [2]int{2, 2} {
			// Each view's scale from its focal length over the golfer's
			// height in it is not known to a shortcut: take the clips' own
			// widths as equally scaled.
			now := math.Atan2(w[geometry.DownTheLine][1], w[geometry.FaceOn][1])
			then := math.Atan2(w[geometry.DownTheLine][0], w[geometry.FaceOn][0])
			put("both widths", geometry.WrapAngle(now-then))
		}
	}
	return out
}

// table prints tallies: the root mean square error, the bias, the information
// bound (film.bounds) and the efficiency, its share of the error; the root mean
// square of the stated standard deviations; the coverage with its 95 % binomial
// bounds, the mean interval and the worst error.
func table(sc *scenario, res map[string]*tally) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n%s\n%-52s %6s %8s %8s %8s %6s %8s %7s %12s %8s %8s\n", sc.name, "measure", "n", "RMSE", "bias", "bound", "effic.", "stated", "cover", "(binomial)", "width", "worst")
	var keys []string
	for k := range res {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, k := range keys {
		x := res[k]
		n := float64(x.n)
		lo, hi := wilson(x.inside, x.n)
		bound := math.Sqrt(x.bound2 / n)
		fmt.Fprintf(&b, "%-52s %6d %8.3f %8.3f %8.3f %6.2f %8.3f %6.1f%% %5.1f-%5.1f%% %8.3f %8.2f\n", k, x.n, x.rmse(), x.bias/n,
			bound, bound/x.rmse(), math.Sqrt(x.sigma2/n), 100*x.coverage(), 100*lo, 100*hi, x.widths/n, x.worst)
	}
	return b.String()
}

// wilson is the 95 % interval of a proportion (Wilson 1927, J Am Stat Assoc
// 22:209).
func wilson(k, n int) (lo, hi float64) {
	p, m := float64(k)/float64(n), float64(n)
	c := (p + geometry.Z95*geometry.Z95/(2*m)) / (1 + geometry.Z95*geometry.Z95/m)
	d := geometry.Z95 / (1 + geometry.Z95*geometry.Z95/m) * math.Sqrt(p*(1-p)/m+geometry.Z95*geometry.Z95/(4*m*m))
	return c - d, c + d
}

var accuracyBase = filmOptions{positions: geometry.KeyPositions, stick: true, stature: true, focal: true, fatTails: true}

func with(change func(*filmOptions)) filmOptions {
	o := accuracyBase
	o.views = bothViews
	change(&o)
	return o
}

var scenarios = []scenario{
	{"both views", with(func(o *filmOptions) {})},
	{"both views, hips marked at their outside", with(func(o *filmOptions) { o.wideHips = true })},
	{"both views, no stick, stature or focal length given", with(func(o *filmOptions) { o.stick, o.stature, o.focal = false, false, false })},
	{"both views, one mark in fifty 15-50 px off", with(func(o *filmOptions) { o.heavy = 0.02 })},
	{"both views, the misplacement belongs to the body", with(func(o *filmOptions) { o.fixedM = 0.008 })},
	{"both views, half the variance of the misplacement belongs to the body", with(func(o *filmOptions) { o.fixedM = 0.00566 })},
	{"both views at 60 frames a second", with(func(o *filmOptions) { o.fps = 60 })},
	{"face-on alone", with(func(o *filmOptions) { o.views = []geometry.View{geometry.FaceOn} })},
	{"face-on alone, hips marked at their outside", with(func(o *filmOptions) { o.views, o.wideHips = []geometry.View{geometry.FaceOn}, true })},
	{"down-the-line alone", with(func(o *filmOptions) { o.views = []geometry.View{geometry.DownTheLine} })},
}

func TestAccuracyTable(t *testing.T) {
	if !*accuracy {
		t.Skip("the full accuracy tables take minutes: make accuracy")
	}
	t.Logf("seed %d, %d golfers a table", *accuracySeed, *accuracyN)
	for i := range scenarios {
		sc := &scenarios[i]
		if want, exact := strings.CutPrefix(*accuracyRows, "="); exact && sc.name != want || !exact && !strings.Contains(sc.name, want) {
			continue
		}
		fmt.Print(table(sc, sc.run(t, *accuracySeed, *accuracyN, true)))
	}
}

// The small run: the same golfers, fewer, held to what the full tables show
// within the scatter of so few.
func TestSmallMonteCarlo(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("a Monte Carlo run")
	}
	n := films(24, 40)
	for _, c := range []struct {
		scenario int
		most     map[string]float64 // RMSE
	}{
		{0, map[string]float64{"pelvis turn": 6.3, "torso turn": 4.8, "sway": 1.12, "forward bend": 1.5, "lead foot flare": 2.6, "trail foot flare": 2.6,
			"lead knee flex": 5.2, "club above plane": 3.4, "plane change": 1.05, "head travel up": 1.1}},
		{7, map[string]float64{"pelvis turn": 8.8, "torso turn": 8.3, "sway": 1.2, "forward bend": 5.3, "lead foot flare": 3.7,
			"lead knee flex": 9.6, "trail knee flex": 9.6}},
	} {
		sc := &scenarios[c.scenario]
		t.Run(sc.name, func(t *testing.T) {
			res := sc.run(t, *accuracySeed, n, false)
			inside, all := 0, 0
			for name, most := range c.most {
				x := res[name]
				require.NotNil(t, x, name)
				t.Logf("%s: error %.2f, coverage %.1f %%", name, x.rmse(), 100*x.coverage())
				assert.Less(t, x.rmse(), most, "%s: root mean square error", name)
				lo, hi := wilson(x.inside, x.n)
				assert.Greater(t, hi, 0.93, "%s: intervals too narrow", name)
				assert.Less(t, lo, 0.98, "%s: intervals too wide are as wrong", name)
				inside += x.inside
				all += x.n
			}
			cover := float64(inside) / float64(all)
			t.Logf("%d of %d intervals hold the truth", inside, all)
			assert.Greater(t, cover, 0.92)
			assert.Less(t, cover, 0.99)
			fit, short := res["pelvis turn / top"], res["pelvis turn / top by width ratio"]
			assert.Less(t, fit.rmse(), short.rmse(), "the fit must beat the width ratio on the same marks")
		})
	}
}
