package repeatability

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// marked is the demo's lesson with every point marked at three key positions.
func marked(t *testing.T) *annotations.Lesson {
	t.Helper()
	data, err := os.ReadFile("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	l = l.Clone()
	s := &l.Swings[0]
	kept := []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact}
	s.Marks = slices.DeleteFunc(s.Marks, func(m annotations.Mark) bool { return !slices.Contains(kept, m.Position) })
	s.Positions = slices.DeleteFunc(s.Positions, func(p annotations.Position) bool { return !slices.Contains(kept, p.Name) })
	return l
}

// again marks every placed point of a position a second time with a hand of
// the given click error, more on the far side as the marking model has it.
func again(l *annotations.Lesson, position geometry.PositionName, sigma float64, rng *rand.Rand) []annotations.Repeat {
	s := &l.Swings[0]
	var out []annotations.Repeat
	for _, m := range s.Marks {
		if m.Position != position || m.State == geometry.Hidden {
			continue
		}
		k := math.Sqrt2 * sigma * annotations.FarSide(m.Point, s.Clip(m.Clip).View) // both markings stray
		out = append(out, annotations.Repeat{Clip: m.Clip, Position: position, Point: m.Point, First: m.At,
			Second: geometry.ImagePt{X: m.At.X + k*rng.NormFloat64(), Y: m.At.Y + k*rng.NormFloat64()}})
	}
	return out
}

func TestFivePairsAreTooFew(t *testing.T) {
	l := marked(t)
	l.Swings[0].Repeats = again(l, geometry.Address, 2, rand.New(rand.NewPCG(7, 8)))[:5]
	report, err := Compare(context.Background(), l, 0, geometry.Address)
	require.NoError(t, err)
	assert.False(t, report.Enough)
	assert.Empty(t, report.Measures)
}

// TestErrorOfMeasurementAgreesWithMarkingAgain compares the propagated error
// with what it stands for: the spread of the measures over many markings.
func TestErrorOfMeasurementAgreesWithMarkingAgain(t *testing.T) {
	t.Parallel()
	l := marked(t)
	rng := rand.New(rand.NewPCG(9, 10))
	// As far off as the fit expects of marks; it trusts better ones more than
	// it will trust them once they are marked again.
	for i := range l.Swings[0].Marks {
		if m := &l.Swings[0].Marks[i]; m.State != geometry.Hidden {
			k := geometry.DefaultSigmaPx(m.Point, m.State, l.Swings[0].Clip(m.Clip).View)
			m.At.X, m.At.Y = m.At.X+k*rng.NormFloat64(), m.At.Y+k*rng.NormFloat64()
		}
	}
	l.Swings[0].Repeats = again(l, geometry.Top, 2, rng)
	report, err := Compare(context.Background(), l, 0, geometry.Top)
	require.NoError(t, err)
	require.Empty(t, report.Problem)
	require.True(t, report.Enough)
	require.NotEmpty(t, report.Measures)
	assert.Equal(t, len(l.Swings[0].Repeats), report.Here)
	assert.Greater(t, report.LargestPx, 2.0)
	assert.InDelta(t, 0, report.ShiftX.Bias, 1.5)

	const times = 120
	solver, values := fit.NewSolver(), map[string][]float64{}
	problem, _ := annotations.Problem(l, 0)
	marks := slices.Clone(problem.Marks)
	for range times {
		for i := range marks {
			k := report.Click.ClickSigmaPx * annotations.FarSide(marks[i].Point, problem.Clips[marks[i].Clip].View)
			problem.Marks[i].At.X = marks[i].At.X + k*rng.NormFloat64()
			problem.Marks[i].At.Y = marks[i].At.Y + k*rng.NormFloat64()
		}
		solution, err := solver.Solve(context.Background(), problem)
		require.NoError(t, err)
		measures, _ := solution.Measures()
		for _, m := range measures {
			if m.Position == geometry.Top {
				values[m.Name] = append(values[m.Name], m.Value)
			}
		}
	}
	for _, name := range []string{"pelvis turn", "torso turn", "sway", "forward bend"} {
		i := slices.IndexFunc(report.Measures, func(m Measure) bool { return m.Name == name })
		require.GreaterOrEqual(t, i, 0, name)
		m := report.Measures[i]
		n := float64(len(values[name]))
		require.GreaterOrEqual(t, n, times-2.0, "%s is told of nearly every marking", name)
		var mean, sd float64
		for _, v := range values[name] {
			mean += v / n
		}
		for _, v := range values[name] {
			sd += (v - mean) * (v - mean) / (n - 1)
		}
		sd = math.Sqrt(sd)
		t.Logf("%-14s propagated %.3f, marked again %.3f %s", name, m.SEM, sd, m.Unit)
		// The spread of 120 values is good to 6 %; the fit is not linear, and the
		// first of them says for all how far marks are believed.
		assert.InEpsilon(t, sd, m.SEM, 0.4, name)
		assert.InDelta(t, 1.96*math.Sqrt2*m.SEM, m.MDC95, 0.001)
	}
}
