package annotations

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// TestDecidesIsTheShareOfVerdicts holds the probability that more measuring settles a
// verdict against measuring more, many times: a true value drawn from what is known, a
// second measurement of it, and the mean of the two weighted by their variances
// (Gauss 1821, Theoria combinationis).
func TestDecidesIsTheShareOfVerdicts(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for _, c := range []struct{ value, sigma, then, low, high float64 }{
		{40, 4, 2, 40, 60}, {43, 4, 3.5, 40, 60}, {50, 9, 3, 40, 60}, {38, 3, 1, 40, math.Inf(1)}, {5, 4, 2, 4, 6},
	} {
		m := Measured{Measure: geometry.Measure{Value: c.value, Sigma: c.sigma}}
		m.JudgeBy(Target{Range: geometry.Range{Low: c.low, High: c.high}}, 0)
		more := 1 / math.Sqrt(1/(c.then*c.then)-1/(c.sigma*c.sigma))
		const n = 40_000
		settled := 0
		for range n {
			truth := c.value + c.sigma*r.NormFloat64()
			again := truth + more*r.NormFloat64()
			mean := (c.value/(c.sigma*c.sigma) + again/(more*more)) * c.then * c.then
			if geometry.Judge(mean, c.then, m.Target.Range, 0).Verdict.TwoSided() {
				settled++
			}
		}
		assert.InDelta(t, float64(settled)/n, decides(&m, c.then, 0), 0.02, "%+v", c)
	}
	m := Measured{Measure: geometry.Measure{Value: 40, Sigma: 4}, Target: &Target{Range: geometry.Range{Low: 40, High: 60}}}
	assert.Zero(t, decides(&m, 4, 0), "nothing is gained")
}

// TestRemediesOfOpenVerdicts looks at what is advised where the verdict is open: the
// surest first, each narrower than what is, and only what the lesson has.
func TestRemediesOfOpenVerdicts(t *testing.T) {
	l := filmed(geometry.RightHanded)
	known, err := Evaluate(context.Background(), l, 0, Options{})
	require.NoError(t, err)
	turn, tilt := known.Find("pelvis turn", geometry.Top).Value, known.Find("pelvis tilt", geometry.Address).Value
	targets := Targets{ // with an end in the middle of what is known, so that it is open
		{Measure: "pelvis turn", Position: geometry.Top, Range: geometry.Range{Low: turn, High: turn + 20}},
		{Measure: "pelvis tilt", Position: geometry.Address, Range: geometry.Range{Low: tilt, High: tilt + 20}},
	}
	r, err := Evaluate(context.Background(), l, 0, Options{Targets: targets})
	require.NoError(t, err)
	kinds := func(list []Remedy) (out []words.Remedy) {
		for _, x := range list {
			out = append(out, x.What)
		}
		return out
	}
	m := r.Find("pelvis turn", geometry.Top)
	require.False(t, m.Verdict.TwoSided(), "%+v", m.Judgement)
	list := r.Remedies(m)
	require.GreaterOrEqual(t, len(list), 2)
	for i, x := range list {
		assert.True(t, x.Open)
		assert.Less(t, x.Then, x.Now, x.What)
		assert.Positive(t, x.Then)
		assert.Contains(t, x.Words(false), "to decide it")
		if i > 0 {
			assert.LessOrEqual(t, x.Decides, list[i-1].Decides+0.1)
		}
	}
	assert.Contains(t, kinds(list), words.ThreeSwings)
	assert.NotContains(t, kinds(list), words.FollowSwing, "there is no clip to follow")
	assert.NotContains(t, kinds(r.Remedies(r.Find("pelvis tilt", geometry.Address))), words.ThreeSwings, "its error lasts over swings")

	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].File = "clip.mp4"
	}
	again, err := Evaluate(context.Background(), l, 0, Options{Targets: targets})
	require.NoError(t, err)
	follow := func(r *Result) bool {
		return slices.Contains(kinds(r.remedies(&Measured{Measure: m.Measure, Basis: OnMarks}, nil)), words.FollowSwing)
	}
	assert.True(t, follow(again))
	e := NewEditor(l)
	require.NoError(t, e.Learn("s1", NewFollowed(&again.Problem, again.Values(), motion.Seen{})))
	again, err = Evaluate(context.Background(), e.Lesson(), 0, Options{Targets: targets})
	require.NoError(t, err)
	assert.False(t, follow(again), "it was followed")

	// One view alone: the other one comes first.
	one := l.Clone()
	s := &one.Swings[0]
	s.Marks = slices.DeleteFunc(s.Marks, func(m Mark) bool { return m.Clip != "fo" })
	s.Clips = s.Clips[:1]
	for i := range s.Positions {
		s.Positions[i].Frames = slices.DeleteFunc(s.Positions[i].Frames, func(f FrameRef) bool { return f.Clip != "fo" })
	}
	single, err := Evaluate(context.Background(), one, 0, Options{Targets: Targets{{Measure: "sway", Position: geometry.Top, Range: geometry.Range{Low: -1, High: 0}}}})
	require.NoError(t, err)
	if sway := single.Find("sway", geometry.Top); assert.NotNil(t, sway) && assert.False(t, sway.Verdict.TwoSided()) {
		assert.Contains(t, kinds(single.Remedies(sway)), words.FilmDownTheLine)
	}
}

func TestTempoIsSharpenedByInstants(t *testing.T) {
	l := filmed(geometry.RightHanded)
	for i := range l.Swings[0].Positions {
		for k := range l.Swings[0].Positions[i].Frames {
			l.Swings[0].Positions[i].Frames[k].Proposed = true
		}
	}
	r, err := Evaluate(context.Background(), l, 0, Options{})
	require.NoError(t, err)
	list := r.Remedies(r.Find("tempo", geometry.Impact))
	require.NotEmpty(t, list)
	assert.Equal(t, words.SetInstants, list[0].What)
	assert.Less(t, list[0].Then, 0.7*list[0].Now)
	assert.Contains(t, list[0].Words(false), "set each yourself")
}
