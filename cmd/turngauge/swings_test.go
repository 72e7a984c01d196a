package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/series/seriestest"
	"turngauge/geometry"
)

// TestMeasureTellsOfVisits measures a made-up visit of two usual swings and two in which
// something was tried, since an earlier visit.
func TestMeasureTellsOfVisits(t *testing.T) {
	source, _, err := annotations.Load(marked)
	require.NoError(t, err)
	write := func(name, date string, seed uint64, kinds ...seriestest.Kind) string {
		l, _ := seriestest.Visit(source, seed, kinds...)
		l.ID, l.Date = "01JT8Q5W0M"+strings.ToUpper(name), date
		data, err := l.Encode()
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), name+".json")
		require.NoError(t, os.WriteFile(path, data, 0o644))
		return path
	}
	before := write("before", "2026-04-01", 6, seriestest.Kind{Swings: 2, Turn: 22})
	now := write("now", "2026-05-02", 7, seriestest.Kind{Swings: 2, Turn: 42}, seriestest.Kind{Swings: 2, Tried: "lead foot turned in", Turn: 70})

	stdout, stderr, code := program(t, "measure", now, "--since", before)
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "With “lead foot turned in”, against the usual swing: two swings, then two swings")
	assert.Contains(t, stdout, "Since 1 April 2026: two swings, then two swings")
	assert.Contains(t, stdout, "With the lead foot turned in the pelvis turned ")
	assert.Contains(t, stdout, "would be called real by chance")
	assert.Contains(t, stdout, "The swings are fitted with one body; the face-on and the down-the-line phone stood still.")

	stdout, _, _ = program(t, "measure", now, "--since", before, "--json")
	var r struct {
		Student  []series.Report
		Compared []series.Compared
	}
	require.NoError(t, json.Unmarshal([]byte(stdout), &r))
	require.Len(t, r.Student, 2)
	assert.Equal(t, "lead foot turned in", r.Student[1].Tried)
	require.Len(t, r.Compared, 3, "what was tried, and both kinds since the earlier visit")
	assert.Equal(t, "2026-04-01", r.Compared[1].Since)
	for _, c := range r.Compared {
		for _, x := range c.Changes {
			if x.Name == "pelvis turn" && x.Position == geometry.Top {
				assert.Positive(t, x.Value)
				assert.InDelta(t, x.Now-x.Before, x.Value, 1e-3)
				assert.Equal(t, x.Low95 > 0 || x.High95 < 0, x.Real)
			}
		}
	}

	stdout, _, _ = program(t, "measure", now, "--csv")
	rows, err := csv.NewReader(strings.NewReader(stdout)).ReadAll()
	require.NoError(t, err)
	column := make(map[string]int)
	for i, name := range rows[0] {
		column[name] = i
	}
	means := 0
	for _, row := range rows[1:] {
		if row[column["basis"]] == string(annotations.OnVisit) {
			means++
			assert.Equal(t, "2", row[column["swings"]])
			assert.NotEmpty(t, row[column["spread"]])
		}
	}
	assert.Positive(t, means)

	_, stderr, code = program(t, "measure", now, "--since", filepath.Join(t.TempDir(), "none.json"))
	assert.Equal(t, exitInput, code)
	assert.NotEmpty(t, stderr)
}
