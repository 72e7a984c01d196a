package fit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

// judged are measures at positions with ranges that about a third of the made-up
// golfers are within: what verdicts are tested on, not advice.
var judged = []struct {
	name   string
	at     geometry.PositionName
	target geometry.Range
}{
	{"pelvis turn", geometry.Top, geometry.Range{Low: 36, High: 52}},
	{"torso turn", geometry.Top, geometry.Range{Low: 80, High: 100}},
	{"separation", geometry.Top, geometry.Range{Low: 35, High: 55}},
	{"pelvis turn", geometry.Impact, geometry.Range{Low: -45, High: -30}},
	{"torso turn", geometry.Impact, geometry.Range{Low: -30, High: -12}},
	{"sway", geometry.Top, geometry.Range{Low: -4, High: 0}},
	{"sway", geometry.Impact, geometry.Range{Low: 4, High: 8}},
	{"pelvis height change", geometry.Top, geometry.Range{Low: -2, High: 1}},
	{"head travel", geometry.Top, geometry.Range{Low: -4, High: 2}},
	{"forward bend", geometry.Address, geometry.Range{Low: 32, High: 40}},
	{"forward bend", geometry.Top, geometry.Range{Low: 30, High: 40}},
	{"lead knee flex", geometry.Address, geometry.Range{Low: 18, High: 26}},
	{"lead foot flare", geometry.Address, geometry.Range{Low: 10, High: 25}},
	{"shaft plane", geometry.Address, geometry.Range{Low: 55, High: 62}},
}

// The words a likelihood is said in, from which probability on (Mastrandrea et al.
// 2010, guidance note of the IPCC's fifth report on uncertainties).
var likelihoods = []struct {
	word  string
	least float64
}{{"virtually certain", 0.99}, {"very likely", 0.90}, {"likely", 0.66}}

// statements counts what was said and what of it was true.
type statements struct {
	n, true int
	stated  float64 // sum of the stated probabilities
}

func (s *statements) add(p float64, ok bool) {
	s.n++
	s.stated += p
	if ok {
		s.true++
	}
}

// short is by how much the share of true statements falls short of a nominal one,
// beyond what chance does once in forty times (Wilson 1927).
func (s *statements) short(nominal float64) float64 {
	if s.n == 0 {
		return 0
	}
	_, hi := wilson(s.true, s.n)
	return nominal - hi
}

func (s *statements) String() string {
	return fmt.Sprintf("%5d said, %5.1f %% true, %5.1f %% stated", s.n, 100*float64(s.true)/float64(s.n), 100*s.stated/float64(s.n))
}

// calibration is what verdicts came to on golfers whose truth is known.
type calibration struct {
	by    map[string]*statements // by likelihood, and by verdict and likelihood
	score [2]float64             // sums of log probabilities of where the truth lies: as stated, and by the rule of 90 % before
	n     int
}

func (c *calibration) put(key string, p float64, ok bool) {
	if c.by[key] == nil {
		c.by[key] = &statements{}
	}
	c.by[key].add(p, ok)
}

func (c *calibration) add(m *geometry.Measure, truth float64, target geometry.Range) {
	j := geometry.Judge(m.Value, m.Sigma, target, likelihoods[len(likelihoods)-1].least)
	if j.Verdict != geometry.CantTell {
		for _, l := range likelihoods {
			if j.Probability >= l.least {
				ok := j.Verdict.True(truth, target)
				c.put(l.word, j.Probability, ok)
				c.put(string(j.Verdict)+", "+l.word, j.Probability, ok)
				break
			}
		}
	}
	// The rule before gave a two-sided verdict from 90 % on, and else nothing: a
	// third for each of the three.
	const before = 0.9
	at := []float64{j.Below, j.Within, j.Above}
	k := 1
	switch {
	case truth < target.Low:
		k = 0
	case truth > target.High:
		k = 2
	}
	old := 1.0 / 3
	if most := slices.Max(at); most >= before {
		old = (1 - before) / 2
		if at[k] == most {
			old = before
		}
	}
	c.score[0] += math.Log(math.Max(at[k], 1e-6))
	c.score[1] += math.Log(old)
	c.n++
}

// Of all verdicts of a likelihood, and of each kind, as many are true as it says.
// The golfers are those of the table of noise, the lasting misplacement of one row
// apart, which is twice what is assumed.
func TestVerdictsAreCalibrated(t *testing.T) {
	t.Parallel()
	n := 8
	if *accuracy {
		n = *accuracyN
	}
	whole := calibration{by: map[string]*statements{}}
	for _, row := range noiseRows {
		if strings.Contains(row.name, "lasting") || !*accuracy && !slices.Contains([]string{"x0.5", "x2", "face-on x1"}, row.name) || !strings.Contains(row.name, *accuracyRows) {
			continue
		}
		c := calibration{by: map[string]*statements{}}
		eachGolfer(n, func(i int) (*film, *Solution, error) {
			f := makeFilm(rand.New(rand.NewPCG(*accuracySeed+1, uint64(i))), row.o)
			sol, err := NewSolver().Solve(context.Background(), f.swing)
			return f, sol, err
		}, func(f *film, sol *Solution, err error) {
			if err != nil {
				return
			}
			for _, j := range judged {
				truth, ok := f.truth[j.name+" / "+string(j.at)]
				m, miss := sol.Measure(j.name, j.at)
				if !ok || miss != nil {
					continue
				}
				c.add(&m, truth, j.target)
				whole.add(&m, truth, j.target)
			}
		})
		text := ""
		for _, l := range likelihoods {
			if s := c.by[l.word]; s != nil {
				text += fmt.Sprintf("  %s: %s;", l.word, s)
			}
		}
		t.Logf("%-13s%s log score %.3f, before %.3f", row.name, text, c.score[0]/float64(c.n), c.score[1]/float64(c.n))
	}
	for _, v := range []geometry.Verdict{"", geometry.Within, geometry.Below, geometry.Above, geometry.NotBelow, geometry.NotAbove} {
		for _, l := range likelihoods {
			key := l.word
			if v != "" {
				key = string(v) + ", " + l.word
			}
			s := whole.by[key]
			if s == nil {
				continue
			}
			t.Logf("%-30s %s", key, s)
			assert.Less(t, s.short(l.least), 0.03, key)
			if v == "" { // each statement says its own probability, too
				assert.Less(t, s.short(s.stated/float64(s.n)), 0.03, "%s, stated", key)
			}
		}
	}
	t.Logf("log score %.3f, of the rule before %.3f, of %d", whole.score[0]/float64(whole.n), whole.score[1]/float64(whole.n), whole.n)
	assert.Greater(t, whole.score[0], whole.score[1])
}
