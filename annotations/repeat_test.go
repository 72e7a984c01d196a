package annotations

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// again marks every placed point of a position a second time with a hand of
// the given click error, more on the far side as the marking model has it.
func again(l *Lesson, position geometry.PositionName, sigma float64, rng *rand.Rand) []Repeat {
	s := &l.Swings[0]
	var out []Repeat
	for _, m := range s.Marks {
		if m.Position != position || m.State == geometry.Hidden {
			continue
		}
		k := math.Sqrt2 * sigma * farSide(m.Point, s.Clip(m.Clip).View) // both markings stray
		out = append(out, Repeat{Clip: m.Clip, Position: position, Point: m.Point, First: m.At,
			Second: geometry.ImagePt{X: m.At.X + k*rng.NormFloat64(), Y: m.At.Y + k*rng.NormFloat64()}})
	}
	return out
}

func TestRepeatsTravelWithTheLesson(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	start := encoded(t, e.Lesson())
	pair := Repeat{Clip: "fo", Position: geometry.Address, Point: geometry.LeadHip,
		First: geometry.ImagePt{X: 1001.5, Y: 577}, Second: geometry.ImagePt{X: 1003, Y: 575.25}}
	require.NoError(t, e.Apply(SetRepeats{Swing: "s1", Position: geometry.Address, Repeats: []Repeat{pair}, Gesture: 4}))
	require.NoError(t, e.Apply(SetRepeats{Swing: "s1", Position: geometry.Address, Repeats: []Repeat{pair}, ClickSDPx: 1.8, Gesture: 4}))
	l, warnings, err := Decode([]byte(encoded(t, e.Lesson())))
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, []Repeat{pair}, l.Swings[0].Repeats)
	assert.Equal(t, 1.8, l.ClickSDPx)
	problem, _ := Problem(l, 0)
	assert.Equal(t, 1.8, problem.ClickSigmaPx)

	label, _ := e.Undo()
	assert.Equal(t, "mark address again", label)
	assert.Equal(t, start, encoded(t, e.Lesson()), "one marking is one step of undo")
}

func TestRepeatsGoWithTheirPosition(t *testing.T) {
	e := NewEditor(exampleLesson(t))
	require.NoError(t, e.Apply(SetRepeats{Swing: "s1", Position: geometry.Address, Repeats: []Repeat{{Clip: "fo", Point: geometry.LeadHip, First: geometry.ImagePt{X: 1, Y: 2}}}}))
	for _, clip := range []string{"fo", "dl"} {
		require.NoError(t, e.Apply(ClearPosition{Swing: "s1", Clip: clip, Position: geometry.Address}))
	}
	assert.Empty(t, e.Lesson().Swings[0].Repeats)
	require.Error(t, e.Apply(SetRepeats{Swing: "s1", Position: geometry.Address, Repeats: []Repeat{{Clip: "fo"}}}), "the position is gone")
}

func TestFaultyRepeatsAreNamedByTheirPath(t *testing.T) {
	doc := func(repeats string) string {
		return strings.Replace(string(example(t)), `"marks": [`, `"repeats": [`+repeats+`], "marks": [`, 1)
	}
	good := `{"clip": "fo", "position": "address", "point": "lead hip", "first": [1001.5, 577], "second": [1003, 575]}`
	_, _, err := Decode([]byte(doc(good)))
	require.NoError(t, err)
	for _, c := range []struct{ repeats, path string }{
		{strings.Replace(good, `"fo"`, `"x"`, 1), "swings[0].repeats[0].clip"},
		{strings.Replace(good, `address`, `delivery`, 1), "swings[0].repeats[0].position"},
		{strings.Replace(good, `lead hip`, `left hip`, 1), "swings[0].repeats[0].point"},
		{strings.Replace(good, `"first": [1001.5, 577], `, ``, 1), "swings[0].repeats[0].first"},
		{strings.Replace(good, `[1003, 575]`, `[1003]`, 1), "swings[0].repeats[0].second"},
		{strings.Replace(good, `[1003, 575]`, `[90000, 575]`, 1), "swings[0].repeats[0].second[0]"},
		{good + "," + good, "swings[0].repeats[1]"},
	} {
		_, _, err := Decode([]byte(doc(c.repeats)))
		var faults Faults
		require.ErrorAs(t, err, &faults, c.repeats)
		assert.True(t, slices.ContainsFunc(faults, func(f Fault) bool { return f.Path == c.path }), "%s: %v", c.path, err)
	}
	_, _, err = Decode([]byte(strings.Replace(string(example(t)), `"swings"`, `"click_sd_px": 4000, "swings"`, 1)))
	require.ErrorContains(t, err, "click_sd_px")
}

func TestTheCoachsClickErrorIsFound(t *testing.T) {
	l := filmed(geometry.RightHanded)
	rng := rand.New(rand.NewPCG(7, 8))
	const sigma = 1.7
	for _, p := range []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact} {
		l.Swings[0].Repeats = append(l.Swings[0].Repeats, again(l, p, sigma, rng)...)
	}
	r, ok := l.Repeatability()
	require.True(t, ok)
	require.Greater(t, r.Pairs, 100)
	// A standard deviation from n coordinates is itself good to 1/√(2n): three
	// of those are allowed.
	assert.InEpsilon(t, sigma, r.ClickSigmaPx, 3/math.Sqrt(4*float64(r.Pairs)))

	l.Swings[0].Repeats = l.Swings[0].Repeats[:5]
	_, ok = l.Repeatability()
	assert.False(t, ok, "five pairs are too few")
	report, err := CompareRepeats(context.Background(), l, 0, geometry.Address)
	require.NoError(t, err)
	assert.False(t, report.Enough)
	assert.Empty(t, report.Measures)
}

// TestErrorOfMeasurementAgreesWithMarkingAgain compares the propagated error
// with what it stands for: the spread of the measures over many markings.
func TestErrorOfMeasurementAgreesWithMarkingAgain(t *testing.T) {
	t.Parallel()
	l := filmed(geometry.RightHanded)
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
	report, err := CompareRepeats(context.Background(), l, 0, geometry.Top)
	require.NoError(t, err)
	require.Empty(t, report.Problem)
	require.True(t, report.Enough)
	require.NotEmpty(t, report.Measures)
	assert.Equal(t, len(l.Swings[0].Repeats), report.Here)
	assert.Greater(t, report.LargestPx, 2.0)
	assert.InDelta(t, 0, report.ShiftX.Bias, 1.5)

	const times = 120
	solver, values := fit.NewSolver(), map[string][]float64{}
	problem, _ := Problem(l, 0)
	marks := slices.Clone(problem.Marks)
	for range times {
		for i := range marks {
			k := report.Click.ClickSigmaPx * farSide(marks[i].Point, problem.Clips[marks[i].Clip].View)
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
		i := slices.IndexFunc(report.Measures, func(m RepeatedMeasure) bool { return m.Name == name })
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
