package series

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// TestSeriesOfALesson marks one swing four times over, each time with other errors:
// the swings of the usual kind are one series, and what was tried stands apart.
func TestSeriesOfALesson(t *testing.T) {
	data, err := os.ReadFile("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	l = l.Clone()
	r := rand.New(rand.NewPCG(18, 4))
	for _, id := range []string{"again", "third", "other"} {
		s := l.Swings[0]
		s.ID, s.Followed, s.Findings = id, nil, nil
		s.Marks = append([]annotations.Mark(nil), s.Marks...)
		for i := range s.Marks {
			s.Marks[i].At.X += 2 * r.NormFloat64()
			s.Marks[i].At.Y += 2 * r.NormFloat64()
		}
		if id == "other" {
			s.Tried = "lead foot turned in"
		}
		l.Swings = append(l.Swings, s)
	}
	o := annotations.Options{Targets: annotations.DefaultTargets()}
	results, err := annotations.EvaluateAll(context.Background(), l, o)
	require.NoError(t, err)
	list := Of(results, &o)
	require.Len(t, list, 1, "what was tried has no second")
	s := &list[0]
	require.Len(t, s.Swings, 3)
	assert.GreaterOrEqual(t, s.Typical, 0)
	for i := range s.Measures {
		m := &s.Measures[i]
		if m.Name != "pelvis turn" || m.Position != geometry.Top {
			continue
		}
		assert.Equal(t, 3, m.N)
		assert.True(t, m.Spread.Estimated)
		least, most := math.Inf(1), math.Inf(-1)
		for _, v := range m.Values {
			least, most = math.Min(least, v.Value), math.Max(most, v.Value)
		}
		assert.True(t, least <= m.Value && m.Value <= most)
		require.NotNil(t, m.Target)
		assert.NotEmpty(t, m.Verdict)
		assert.Less(t, m.Spread.Low95, 3.0)
	}
	report := s.Report()
	assert.Len(t, report.Swings, 3)
	assert.Contains(t, report.Swings, report.Typical)
	var b strings.Builder
	report.Table(&b)
	assert.Contains(t, b.String(), "The student, over 3 swings\n")
	assert.Regexp(t, `pelvis turn +\S+ ± \S+ +deg +\S+ \(\S+ to \S+\) +40 to 60`, b.String())
}
