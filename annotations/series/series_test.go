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

// TestMeansOfStudents: of made-up students whose mean and spread are known, whose
// swings are measured with errors of which a part is the same in all, the stated share
// of intervals holds the truth.
func TestMeansOfStudents(t *testing.T) {
	const students, truth, sigma, shared = 4000, 45.0, 4.0, 1.8
	r := rand.New(rand.NewPCG(18, 3))
	for _, n := range []int{2, 3, 6} {
		for _, spread := range []float64{1.5, 3} {
			mean, inside, width := 0, 0, 0.0
			for range students {
				m := Mean{Name: "pelvis turn", Unit: geometry.Degrees, N: n}
				common := shared * r.NormFloat64()
				for range n {
					v := truth + spread*r.NormFloat64() + common + math.Sqrt(sigma*sigma-shared*shared)*r.NormFloat64()
					m.Values = append(m.Values, &annotations.Measured{Measure: geometry.Measure{Value: v, Sigma: sigma, Shared: shared}})
				}
				require.True(t, m.estimate())
				if m.Low95 <= truth && truth <= m.High95 {
					mean++
				}
				if m.Estimated && m.SpreadLow <= spread && spread <= m.SpreadHigh {
					inside++
				}
				width += (m.High95 - m.Low95) / 2 / students
			}
			t.Logf("%d swings, spread %g: mean ± %.1f, covered %.3f; spread covered %.3f; one swing ± %.1f",
				n, spread, width, float64(mean)/students, float64(inside)/students, geometry.Z95*math.Hypot(sigma, spread))
			if n < fewest { // the spread is assumed, here rightly or twice too large
				assert.InDelta(t, 0.96, float64(mean)/students, 0.03)
			} else {
				assert.InDelta(t, 0.95, float64(mean)/students, 0.02)
				assert.InDelta(t, 0.95, float64(inside)/students, 0.02)
			}
		}
	}
}

// TestSeriesOfALesson marks one swing four times over, each time with other errors:
// the swings of a label are one series, and another label stands apart.
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
			s.Label = "lead foot turned in"
		}
		l.Swings = append(l.Swings, s)
	}
	o := annotations.Options{Targets: annotations.DefaultTargets()}
	results, err := annotations.EvaluateAll(context.Background(), l, o)
	require.NoError(t, err)
	list := Of(results, &o)
	require.Len(t, list, 1, "the one of another label has no second")
	s := &list[0]
	require.Len(t, s.Swings, 3)
	assert.GreaterOrEqual(t, s.Typical, 0)
	for i := range s.Measures {
		m := &s.Measures[i]
		if m.Name != "pelvis turn" || m.Position != geometry.Top {
			continue
		}
		assert.Equal(t, 3, m.N)
		assert.True(t, m.Estimated)
		least, most := math.Inf(1), math.Inf(-1)
		for _, v := range m.Values {
			least, most = math.Min(least, v.Value), math.Max(most, v.Value)
		}
		assert.True(t, least <= m.Value && m.Value <= most)
		require.NotNil(t, m.Target)
		assert.NotEmpty(t, m.Verdict)
		assert.Less(t, m.SpreadLow, 3.0)
	}
	report := s.Report()
	assert.Len(t, report.Swings, 3)
	assert.Contains(t, report.Swings, report.Typical)
	var b strings.Builder
	report.Table(&b)
	assert.Contains(t, b.String(), "The student, over 3 swings: "+s.Label)
	assert.Regexp(t, `pelvis turn +\S+ ± \S+ +deg +\S+ \(\S+ to \S+\) +40 to 60`, b.String())
}
