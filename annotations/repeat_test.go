package annotations

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
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
		k := math.Sqrt2 * sigma * FarSide(m.Point, s.Clip(m.Clip).View) // both markings stray
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
}
