package jointpath

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	splineAt     = []float64{0, .1, .25, .3, .5, .6, .8, .85, 1}
	splineValues = []float64{1, 1.3, .9, .7, -.2, -.1, .4, .6, .5}
)

func plain() []Reading {
	var out []Reading
	for i, x := range splineAt {
		out = append(out, Reading{x, splineValues[i], 0.1})
	}
	return out
}

// TestSmooth holds a path without second thoughts against scipy 1.10.1's
// make_smoothing_spline with weights 1/sd² and lam 1/stir² at its readings and between
// them, its crossing against scipy.optimize.brentq of that spline, and its standard
// deviations against Wahba 1983 ("Bayesian confidence intervals for the cross-validated
// smoothing spline", JRSS B 45): sd times the root of the hat matrix's diagonal, which
// are the same spline's values of unit vectors.
func TestSmooth(t *testing.T) {
	p, ok := smooth(plain(), 5, 0)
	require.True(t, ok)
	assert.InDeltaSlice(t, []float64{1.106228, 1.168347, 0.865729, 0.670934, -0.063833, -0.076609, 0.390394, 0.485264, 0.553545}, p.value, 1e-5)
	assert.InDeltaSlice(t, []float64{0.0911, 0.072425, 0.066829, 0.068593, 0.074911, 0.074965, 0.069371, 0.067336, 0.095486}, p.sd, 1e-5)
	for x, want := range map[float64]float64{.05: 1.153886, .4: 0.240404, .7: 0.130548, .93: 0.549167} {
		got, _ := p.At(x)
		assert.InDelta(t, want, got, 1e-5, "at %g", x)
	}
	c := p.Crossings(0)
	require.Len(t, c, 2)
	assert.InDelta(t, 0.470373, c[0].Seconds, 1e-5)
	assert.False(t, c[0].Upward)
	assert.True(t, c[1].Upward)

	// Asked for between, the values are the same, and the deviations larger than at readings.
	asked, ok := smooth(append(plain(), Reading{.7, 0, math.Inf(1)}, Reading{.4, 5, math.Inf(1)}), 5, 0)
	require.True(t, ok)
	got, sd := asked.At(.7)
	assert.InDelta(t, 0.130548, got, 1e-5)
	assert.Greater(t, sd, p.sd[6])
}

// TestSmoothForgetsWhatLiesOff: of 60 readings of a sine, known in closed form, one in
// five is of something else. The path keeps to the sine within what it says, and its
// crossings of 0 to multiples of pi.
func TestSmoothForgetsWhatLiesOff(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	var readings []Reading
	for i := range 60 {
		x := float64(i) / 8
		v := math.Sin(x) + 0.02*r.NormFloat64()
		if i%5 == 2 {
			v += 0.5 + r.Float64()
		}
		readings = append(readings, Reading{x, v, 0.02})
	}
	r.Shuffle(len(readings), func(i, j int) { readings[i], readings[j] = readings[j], readings[i] })
	p, ok := Smooth(readings, 0.7)
	require.True(t, ok)
	inside := 0
	for i, x := range p.at {
		assert.InDelta(t, math.Sin(x), p.value[i], 0.08)
		if math.Abs(math.Sin(x)-p.value[i]) < 2*p.sd[i] {
			inside++
		}
	}
	assert.Greater(t, inside, len(p.at)*8/10)
	var crossings []float64
	for _, c := range p.Crossings(0) {
		crossings = append(crossings, c.Seconds)
	}
	require.GreaterOrEqual(t, len(crossings), 2)
	assert.InDelta(t, math.Pi, crossings[len(crossings)-2], 0.03)
	assert.InDelta(t, 2*math.Pi, crossings[len(crossings)-1], 0.03)
}

// TestTooLittle: one moment makes no path, nor do questions.
func TestTooLittle(t *testing.T) {
	for _, readings := range [][]Reading{
		nil, {{1, 2, 1}}, {{1, 2, 1}, {1, 3, 1}}, {{1, 2, 1}, {2, 0, math.Inf(1)}},
	} {
		_, ok := Smooth(readings, 1)
		assert.False(t, ok, readings)
	}
	_, ok := Smooth(plain(), 0)
	assert.False(t, ok)
	// A line through two points, worked by hand.
	p, ok := Smooth([]Reading{{0, 0, 0.1}, {2, 4, 0.1}}, 1)
	require.True(t, ok)
	v, sd := p.At(3)
	assert.InDelta(t, 6, v, 1e-9)
	assert.True(t, math.IsInf(sd, 1))
}

// TestSwapped holds the likeliest row against the best of all rows, tried one by one.
func TestSwapped(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	score := func(own, change []float64, row int) float64 {
		sum := 0.0
		for i := range own {
			yes := row>>i&1 == 1
			if yes {
				sum += own[i]
			}
			if i > 0 && yes != (row>>(i-1)&1 == 1) {
				sum += change[i]
			}
		}
		return sum
	}
	for range 200 {
		n := 1 + r.IntN(9)
		own, change := make([]float64, n), make([]float64, n)
		for i := range n {
			own[i], change[i] = 3*r.NormFloat64(), 3*r.NormFloat64()-1
		}
		best := math.Inf(-1)
		for row := range 1 << n {
			best = math.Max(best, score(own, change, row))
		}
		got := 0
		for i, yes := range Swapped(own, change) {
			if yes {
				got |= 1 << i
			}
		}
		assert.InDelta(t, best, score(own, change, got), 1e-9)
	}
	assert.Nil(t, Swapped(nil, nil))
	// A picture that tells nothing agrees with its neighbours, one that errs a little too.
	assert.Equal(t, []bool{false, false, false}, Swapped([]float64{-5, 0, -5}, []float64{0, -2, -2}))
	assert.Equal(t, []bool{true, true, true}, Swapped([]float64{5, -1, 4}, []float64{0, -2, -2}))
}

// TestHighest: a parabola is highest at its vertex, also between readings; a line at an end.
func TestHighest(t *testing.T) {
	var parabola, line []Reading
	for i := range 21 {
		x := float64(i) / 100
		parabola = append(parabola, Reading{x, 3 - 25*(x-0.093)*(x-0.093), 0.002})
		line = append(line, Reading{x, x, 0.002})
	}
	p, ok := Smooth(parabola, 10)
	require.True(t, ok)
	c, ok := p.Highest()
	require.True(t, ok)
	assert.InDelta(t, 0.093, c.Seconds, 0.0005)
	assert.Greater(t, c.SD, 0.0)
	assert.Less(t, c.SD, 0.01)
	p, ok = Smooth(line, 10)
	require.True(t, ok)
	_, ok = p.Highest()
	assert.False(t, ok)
}
