package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The form of these lines is that of golang.org/design/14313-benchmark-format.
const printed = `goos: linux
pkg: turngauge/video
BenchmarkIndex-2                	      30	  34033348 ns/op	      1920 frames
BenchmarkSequential/1920x1080-2 	       1	5188626982 ns/op	         0.7985 cpu-speed/ffmpeg	       187.9 frames/s	         0.7879 speed/ffmpeg
PASS
ok  	turngauge/video	59.169s
pkg: turngauge/geometry/fit
BenchmarkSolveCold 	 30	  55033348 ns/op
pkg: outside
BenchmarkSciPyFit 1 19000000000 ns/op
`

func TestTheTableSaysWhatIsMetAndWhatIsShort(t *testing.T) {
	var out strings.Builder
	require.NoError(t, run(strings.NewReader(printed), &out))
	table := regexp.MustCompile(` +`).ReplaceAllString(out.String(), " ")
	assert.Contains(t, table, "of 240 frames a second ≤ 50 ms 34 ms met")
	assert.Contains(t, table, "in order ≥ 0.9 × 0.788 × short by 13 %")
	assert.Contains(t, table, "fit a swing, cold ≤ 150 ms 55 ms met", "on one core no number stands behind the name")
	assert.Contains(t, table, "the same ≥ 1 × 345 × met SciPy", "as a ratio of speeds")
	assert.Contains(t, table, "search it ≤ 50 ms - not measured")

	err := run(strings.NewReader(printed+"FAIL\tturngauge/ui\t1s\n"), &out)
	assert.ErrorContains(t, err, "turngauge/ui")
}

// TestPromisesAreOfBenchmarksThatExist looks for each benchmark in the sources.
func TestPromisesAreOfBenchmarksThatExist(t *testing.T) {
	for _, p := range promises {
		folder, name, _ := strings.Cut(p.benchmark, ".")
		name, _, _ = strings.Cut(name, "/")
		files, err := filepath.Glob(filepath.Join("../..", folder, "*_test.go"))
		require.NoError(t, err)
		found := false
		for _, f := range files {
			b, err := os.ReadFile(f)
			require.NoError(t, err)
			found = found || strings.Contains(string(b), "func "+name+"(b *testing.B)")
		}
		assert.True(t, found, "%s", p.benchmark)
		if name := strings.TrimPrefix(p.outside, "outside."); name != "" {
			name, _, _ = strings.Cut(name, "/")
			script, err := exec.Command("grep", "-rl", name, "outside.sh", "../../video/track/testdata").Output()
			require.NoError(t, err, name)
			assert.NotEmpty(t, script)
		}
	}
}
