package randomeffects

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAgainstMetafor compares with R's metafor (Viechtbauer 2010, J Stat Softw
// 36(3)), whose script lies beside its output.
func TestAgainstMetafor(t *testing.T) {
	text, err := os.ReadFile("testdata/metafor.json")
	require.NoError(t, err)
	var cases []struct {
		Values, Variances      []float64
		Mean, Sigma, Low, High float64
		Spread                 float64
		SpreadLow              float64 `json:"spread_low"`
		SpreadHigh             float64 `json:"spread_high"`
	}
	require.NoError(t, json.Unmarshal(text, &cases))
	require.Len(t, cases, 20)
	for i, c := range cases {
		sigmas := make([]float64, len(c.Variances))
		for k, v := range c.Variances {
			sigmas[k] = math.Sqrt(v)
		}
		e, err := Of(c.Values, sigmas)
		require.NoError(t, err)
		for name, pair := range map[string][2]float64{
			"mean": {c.Mean, e.Mean}, "sigma": {c.Sigma, e.Sigma}, "low": {c.Low, e.Low95}, "high": {c.High, e.High95},
			"spread": {c.Spread, e.Spread}, "spread from": {c.SpreadLow, e.SpreadLow}, "spread to": {c.SpreadHigh, e.SpreadHigh},
		} {
			assert.InDelta(t, pair[0], pair[1], 2e-4*(1+math.Abs(pair[0])), "case %d, %s", i, name)
		}
	}
}

// TestGroupsAgainstMetafor: groups with one spread, as metafor's regression on the
// group.
func TestGroupsAgainstMetafor(t *testing.T) {
	text, err := os.ReadFile("testdata/groups.json")
	require.NoError(t, err)
	var cases []struct {
		Groups            []int
		Values, Variances []float64
		Means, Sigmas     []float64
		Spread            float64
		SpreadLow         float64 `json:"spread_low"`
		SpreadHigh        float64 `json:"spread_high"`
	}
	require.NoError(t, json.Unmarshal(text, &cases))
	require.Len(t, cases, 16)
	for i, c := range cases {
		groups := make([]Group, len(c.Means))
		for k, g := range c.Groups {
			groups[g-1].Values = append(groups[g-1].Values, c.Values[k])
			groups[g-1].Sigmas = append(groups[g-1].Sigmas, math.Sqrt(c.Variances[k]))
		}
		e, err := OfGroups(groups)
		require.NoError(t, err)
		near := func(want, got float64, what string) {
			assert.InDelta(t, want, got, 2e-4*(1+math.Abs(want)), "case %d, %s", i, what)
		}
		for k := range groups {
			near(c.Means[k], e.Means[k].Value, "mean")
			near(c.Sigmas[k], e.Means[k].Sigma, "sigma")
		}
		near(c.Spread, e.Spread, "spread")
		near(c.SpreadLow, e.SpreadLow, "spread from")
		near(c.SpreadHigh, e.SpreadHigh, "spread to")
	}
}

// TestCoverage: of made-up students whose mean and spread are known, as many
// intervals hold the truth as they say, within 2 points.
func TestCoverage(t *testing.T) {
	const students = 4000 // 95 % ± 0.7 %
	r := rand.New(rand.NewPCG(18, 1))
	for _, n := range []int{3, 6} {
		for _, spread := range []float64{1, 3, 6} {
			mean, width, inside := 0, 0.0, 0
			for range students {
				values, sigmas := make([]float64, n), make([]float64, n)
				for i := range values {
					sigmas[i] = 2 + 3*r.Float64()
					values[i] = 45 + r.NormFloat64()*spread + r.NormFloat64()*sigmas[i]
				}
				e, err := Of(values, sigmas)
				require.NoError(t, err)
				if e.Low95 <= 45 && 45 <= e.High95 {
					mean++
				}
				if e.SpreadLow <= spread && spread <= e.SpreadHigh {
					inside++
				}
				width += (e.High95 - e.Low95) / 2 / students
			}
			t.Logf("%d swings, spread %g: mean covered %.3f (± %.1f), spread covered %.3f", n, spread, float64(mean)/students, width, float64(inside)/students)
			assert.InDelta(t, 0.95, float64(mean)/students, 0.02)
			assert.InDelta(t, 0.95, float64(inside)/students, 0.02)
		}
	}
}

func TestWhatCantBeEstimated(t *testing.T) {
	for _, c := range []struct{ values, sigmas []float64 }{
		{nil, nil}, {[]float64{1}, []float64{1}}, {[]float64{1, 2}, []float64{1}}, {[]float64{1, 2}, []float64{1, 0}},
		{[]float64{1, math.NaN()}, []float64{1, 1}}, {[]float64{1, 2}, []float64{1, math.Inf(1)}},
	} {
		_, err := Of(c.values, c.sigmas)
		assert.Error(t, err, "%v %v", c.values, c.sigmas)
	}
	_, err := OfGroups([]Group{{[]float64{1}, []float64{1}}, {[]float64{2}, []float64{1}}})
	assert.Error(t, err, "one of each tells no spread")
}
