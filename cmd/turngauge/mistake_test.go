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
	"turngauge/geometry"
)

// swapped writes the marked lesson with the views of its clips swapped.
func swapped(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(marked)
	require.NoError(t, err)
	text := strings.NewReplacer(`"face-on"`, `"down-the-line"`, `"down-the-line"`, `"face-on"`).Replace(string(data))
	path := filepath.Join(t.TempDir(), "swapped.json")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func TestMeasureWithholdsTheNumbersOfAMistake(t *testing.T) {
	t.Parallel()
	path := swapped(t)
	stdout, stderr, code := program(t, "measure", "--json", path)
	assert.Equal(t, exitNothing, code)
	assert.Contains(t, stderr, `"mistake" says why`)
	var r annotations.Report
	require.NoError(t, json.Unmarshal([]byte(stdout), &r))
	require.NotNil(t, r.Swings[0].Fit.Mistake)
	assert.Equal(t, geometry.ViewsSwapped, r.Swings[0].Fit.Mistake.What)
	assert.Equal(t, "swap the views of the two clips", r.Swings[0].Fit.Mistake.Ask)
	assert.Empty(t, r.Swings[0].Measures)
	assert.NotEmpty(t, r.Swings[0].Missing)

	stdout, _, code = program(t, "measure", path)
	assert.Equal(t, exitNothing, code)
	assert.Contains(t, stdout, "The two views look swapped")
	assert.NotContains(t, stdout, "±")

	// Among several lessons it has a row that says so, and the others theirs.
	stdout, stderr, code = program(t, "measure", "--csv", path, marked)
	assert.Equal(t, exitNothing, code)
	assert.Contains(t, stderr, "nothing could be measured in "+path+": the two views look swapped")
	rows, err := csv.NewReader(strings.NewReader(stdout)).ReadAll()
	require.NoError(t, err)
	column := make(map[string]int)
	for i, name := range rows[0] {
		column[name] = i
	}
	assert.Equal(t, path, rows[1][column["file"]])
	assert.Equal(t, "views swapped", rows[1][column["mistake"]])
	for _, name := range []string{"measure", "value", "low95", "high95", "sd", "verdict", "probability"} {
		assert.Empty(t, rows[1][column[name]], name)
	}
	assert.Equal(t, marked, rows[2][column["file"]])
	assert.Empty(t, rows[2][column["mistake"]])
	assert.NotEmpty(t, rows[2][column["value"]])

	stdout, _, code = program(t, "measure", "--rows", path)
	assert.Equal(t, exitNothing, code)
	var x map[string]any
	require.NoError(t, json.Unmarshal([]byte(stdout), &x))
	assert.Equal(t, "views swapped", x["mistake"])
	assert.NotContains(t, x, "value", "missing numbers are absent")
}
