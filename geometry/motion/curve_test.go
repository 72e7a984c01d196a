package motion

import (
	"context"
	"flag"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// score gathers errors of one measure.
type score struct {
	n, inside int
	square    float64
	chi       float64
}

func (s *score) add(value, sigma, truth float64) {
	s.n++
	e := value - truth
	s.square += e * e
	// Where captured places jump from one frame to the next it is one error, not thirty.
	s.chi += math.Min(e*e/(sigma*sigma), 16)
	if math.Abs(e) <= 1.96*sigma {
		s.inside++
	}
}

// within95 is add for an interval that is not that of a bell curve.
func (s *score) within95(value, low, high, truth float64) {
	const grid = 0.005 // of the instants, seconds
	s.n++
	s.square += (value - truth) * (value - truth)
	if low-grid <= truth && truth <= high+grid {
		s.inside++
	}
}

func (s *score) rms() float64    { return math.Sqrt(s.square / float64(s.n)) }
func (s *score) within() float64 { return 100 * float64(s.inside) / float64(s.n) }

// curveScores fits golfers and compares all curves with the truth.
type curveScores struct {
	tracked, marked map[string]*score // at key positions
	band, speed     map[string]*score // at all instants
	peak, peakTime  score
	order           score
	slowest         time.Duration
}

func (s *curveScores) of(m map[string]*score, name string) *score {
	if m[name] == nil {
		m[name] = &score{}
	}
	return m[name]
}

func runCurves(t *testing.T, golfers int, seed uint64, make func(r *rand.Rand) motion, o filming) *curveScores {
	s := &curveScores{tracked: map[string]*score{}, marked: map[string]*score{}, band: map[string]*score{}, speed: map[string]*score{}}
	for g := range golfers {
		r := rand.New(rand.NewPCG(seed, uint64(g)))
		l := filmMotion(r, make(r), o)
		key, err := fit.NewSolver().Solve(context.Background(), l.input.Swing)
		require.NoError(t, err)
		l.input.Key = key
		began := time.Now()
		c, err := Fit(context.Background(), l.input)
		require.NoError(t, err)
		s.slowest = max(s.slowest, time.Since(began))
		for _, m := range c.Measures() {
			if m.Sigma < 1e-6 {
				continue
			}
			truth := l.truthAt(l.events[m.Position])[m.Name]
			if m.Position == geometry.Address {
				continue
			}
			s.of(s.tracked, m.Name).add(m.Value, m.Sigma, truth)
			if hand, miss := key.Measure(m.Name, m.Position); miss == nil {
				s.of(s.marked, m.Name).add(hand.Value, hand.Sigma, truth)
			}
		}
		dt := 1e-3
		if l.jitters {
			dt = 0.02
		}
		for i, at := range c.Seconds {
			if i%3 != 0 || at > 0.14 && at < 0.16 { // the truth's branch changes there
				continue
			}
			now, before, after := l.truthAt(at), l.truthAt(at-dt), l.truthAt(at+dt)
			for k := range c.Curves {
				v, name := &c.Curves[k].Values[i], c.Curves[k].Name
				if !v.Known || v.Sigma < 1e-6 {
					continue
				}
				s.of(s.band, name).add(v.Value, v.Sigma, now[name])
				s.of(s.speed, name).add(v.Rate, v.RateSigma, (after[name]-before[name])/(2*dt))
			}
		}
		best, when := -999.0, 0.0
		for at := l.events[geometry.Top] - 0.16; at < 0; at += 0.004 {
			if x := l.truthAt(at)["separation"]; x > best {
				best, when = x, at
			}
		}
		if c.Peak.Known {
			s.peak.add(c.Peak.Value, (c.Peak.High95-c.Peak.Low95)/3.92, best)
			s.peakTime.within95(c.Peak.Seconds, c.Peak.SecondsLow95, c.Peak.SecondsHigh95, when)
		}
		largest := func(name string) float64 {
			best, when := -999.0, 0.0
			for at := l.events[geometry.Top] - 0.25; at < l.events[geometry.Top]+0.15; at += 0.002 {
				if x := l.truthAt(at)[name]; x > best {
					best, when = x, at
				}
			}
			return when
		}
		if c.Reversal.Known {
			s.order.within95(c.Reversal.Lead, c.Reversal.Low95, c.Reversal.High95, largest("torso turn")-largest("pelvis turn"))
		}
	}
	return s
}

func (s *curveScores) log(t *testing.T) {
	for _, name := range []string{"pelvis turn", "torso turn", "separation", "sway", "lead knee flex", "trail knee flex", "forward bend"} {
		k, m, b, v := s.of(s.tracked, name), s.of(s.marked, name), s.of(s.band, name), s.of(s.speed, name)
		t.Logf("%-16s key positions: tracked %.2f (%.0f %%), marked %.2f (%.0f %%); all instants %.2f (%.1f %%, chi2 %.2f, n %d); speed %.1f (%.1f %%, chi2 %.2f)", name,
			k.rms(), k.within(), m.rms(), m.within(), b.rms(), b.within(), b.chi/float64(b.n), b.n, v.rms(), v.within(), v.chi/float64(v.n))
	}
	t.Logf("peak separation %.2f (%.0f %%), its time %.1f ms (%.0f %%), lead %.1f ms (%.0f %%); slowest fit %v",
		s.peak.rms(), s.peak.within(), 1000*s.peakTime.rms(), s.peakTime.within(), 1000*s.order.rms(), s.order.within(), s.slowest)
}

// sharp is what the fit is asked to reach 2 degrees with: 1 px of noise, 8 mm of
// misplacement that stays with the body. full has the usual click error at each mark
// besides, 2.5 px and 2.2 times that on the far side.
var (
	sharp = filming{trackPx: 1, clickPx: 1, placingM: 0.008}
	full  = filming{trackPx: 1, clickPx: 2.5, placingM: 0.008}
)

func golfers(t *testing.T, few int) int {
	if f := flag.Lookup("accuracy"); f != nil && f.Value.String() == "true" {
		n, err := strconv.Atoi(flag.Lookup("accuracy-n").Value.String())
		require.NoError(t, err)
		return n
	}
	return few
}

// TestCurvesOfMadeGolfers holds the fit through time against golfers whose truth
// is known because they were made. The bounds of a small run are wide; -accuracy
// makes a large one.
func TestCurvesOfMadeGolfers(t *testing.T) {
	t.Parallel()
	n := golfers(t, 5)
	s := runCurves(t, n, 1, madeMotion, full)
	s.log(t)
	s.check(t, n, 2.2, 90, "pelvis turn", "torso turn", "separation", "sway", "forward bend", "trail knee flex")
}

// TestCurvesOfACapturedGolfer does the same with a real swing. It is one golfer:
// what the priors get wrong about him is wrong each time, so that coverage is
// that of a golfer and not of golfers; his forward bend comes out 3 to 4 degrees
// short, as it does at the key positions.
func TestCurvesOfACapturedGolfer(t *testing.T) {
	t.Parallel()
	m := capturedMotion(t)
	n := golfers(t, 3)
	s := runCurves(t, n, 2, func(*rand.Rand) motion { return m }, full)
	s.log(t)
	s.check(t, n, 2.2, 85, "pelvis turn", "torso turn", "separation", "trail knee flex")
}

// TestCurvesAreSharp holds the pelvis turn to what is asked for, 2 degrees root mean
// square at the key positions, for made golfers and for the captured one.
func TestCurvesAreSharp(t *testing.T) {
	t.Parallel()
	m := capturedMotion(t)
	for _, c := range []struct {
		name string
		make func(r *rand.Rand) motion
	}{{"made", madeMotion}, {"captured", func(*rand.Rand) motion { return m }}} {
		s := runCurves(t, golfers(t, 2), 3, c.make, sharp)
		t.Log(c.name)
		s.log(t)
		assert.Less(t, s.tracked["pelvis turn"].rms(), 2.0, c.name)
	}
}

// check holds the scores to most degrees of pelvis turn, sharper than the marks
// alone, and to intervals that contain the truth in at least least per cent. With
// the usual clicks a large run comes to 1.8 and 1.9 degrees, the marks alone to 4.0
// and 3.7.
func (s *curveScores) check(t *testing.T, n int, most, least float64, names ...string) {
	t.Helper()
	assert.Less(t, s.tracked["pelvis turn"].rms(), most)
	for _, name := range []string{"pelvis turn", "torso turn", "separation"} {
		assert.Less(t, s.tracked[name].rms(), 0.8*s.marked[name].rms(), "%s is sharper than the marks alone", name)
	}
	spread := 1.5
	if n < 12 {
		least, spread = least-12, 2.5
	}
	for _, name := range names {
		assert.GreaterOrEqual(t, s.band[name].within(), least, "coverage of %s", name)
		assert.Less(t, s.band[name].chi/float64(s.band[name].n), spread, "%s", name)
		assert.Greater(t, s.speed[name].within(), 90.0, "coverage of the speed of %s", name)
		// Too wide is as wrong: the errors of a few golfers are a good part of what is stated.
		assert.Greater(t, s.band[name].chi/float64(s.band[name].n), 0.2, "%s", name)
		assert.Greater(t, s.speed[name].chi/float64(s.speed[name].n), 0.015, "the speed of %s", name)
	}
	for _, name := range []string{"pelvis turn", "torso turn", "separation"} {
		chi := s.speed[name].chi / float64(s.speed[name].n)
		assert.Greater(t, chi, 0.15, "the speed of %s", name)
		assert.Less(t, chi, spread, "the speed of %s", name)
	}
	assert.GreaterOrEqual(t, s.peak.within(), 75.0)
	assert.GreaterOrEqual(t, s.order.within(), 75.0)
}

// BenchmarkFit fits a swing of about a second and a half at 240 frames a
// second from two views; asked for are two seconds on one core.
func BenchmarkFit(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 3))
	l := filmMotion(r, madeMotion(r), full)
	key, err := fit.NewSolver().Solve(context.Background(), l.input.Swing)
	require.NoError(b, err)
	l.input.Key = key
	for b.Loop() {
		_, err := Fit(context.Background(), l.input)
		require.NoError(b, err)
	}
}
