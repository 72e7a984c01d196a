package main

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/geometry"
	"turngauge/ui/demo"
	"turngauge/ui/visit"
)

var filmedVisit = flag.String("filmed-visit", "", "a folder with the whole demo visit, in place of a smaller one filmed for the test")

// visitFolder returns a folder with the two takes of a demo visit, and the truth.
func visitFolder(t *testing.T) (string, *demo.VisitTruth) {
	t.Helper()
	if testing.Short() {
		t.Skip("needs the demo visit, whose filming takes a minute")
	}
	dir := t.TempDir()
	if *filmedVisit != "" {
		require.NoError(t, os.CopyFS(dir, os.DirFS(*filmedVisit)))
	} else {
		_, err := demo.CreateWith(context.Background(), dir, demo.Options{Visit: true, Swings: 2, Shrink: 2}, nil)
		require.NoError(t, err)
	}
	truth, err := demo.LoadVisitTruth(filepath.Join(dir, demo.VisitTruthFile))
	require.NoError(t, err)
	return dir, truth
}

// killed runs the program, kills it as soon as it has said something, and returns what it
// said until then.
func killed(t *testing.T, at string, args ...string) (said string) {
	t.Helper()
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), "TURNGAUGE_TEST_RUN=1")
	stderr, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	for lines := bufio.NewScanner(stderr); lines.Scan(); {
		said += lines.Text() + "\n"
		if strings.Contains(lines.Text(), at) {
			require.NoError(t, cmd.Process.Kill())
		}
	}
	require.Error(t, cmd.Wait())
	require.Equal(t, -1, cmd.ProcessState.ExitCode(), "%s", said)
	return said
}

// TestVisitWithoutAHand takes in the demo visit: every swing is found in both takes and
// none beside them, though there are a practice swing and other golfers; and the
// intervals of the student's means hold what the swings were drawn from. On the way the
// program is killed three times: it goes on where it was, and nothing is lost.
func TestVisitWithoutAHand(t *testing.T) {
	t.Parallel()
	dir, truth := visitFolder(t)
	out := filepath.Join(dir, "mine.json")
	args := []string{"visit", dir, "--student", "Mara Lindqvist", "--stature", "172", "--club", "7-iron", "--out", out, "--json"}
	killed(t, "finding the swings:", args...)
	said := killed(t, "from both sides", args...)
	assert.Contains(t, said, "Both phones stood still")
	begun, _, err := annotations.Load(out)
	require.NoError(t, err)
	require.Len(t, begun.Swings, len(truth.Swings), "the swings are saved before marks are proposed")
	said = killed(t, "swing 1 of 2: ", args...)
	assert.Contains(t, said, "going on with")
	assert.NotContains(t, said, "found in", "what was found is kept")
	half, _, err := annotations.Load(out)
	require.NoError(t, err)
	require.NotEmpty(t, half.Swings[0].Marks)
	assert.Empty(t, half.Swings[1].Marks)
	stdout, stderr, code := program(t, args...)
	require.Zero(t, code, stderr)
	t.Log(stderr)
	assert.NotContains(t, stderr, "swing 1 of 2: ")
	l, warnings, err := annotations.Load(out)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	require.Len(t, l.Swings, len(truth.Swings))
	assert.Equal(t, half.Swings[0], l.Swings[0], "what was proposed before stands")
	for i, s := range l.Swings {
		assert.Equal(t, begun.Swings[i].ID, s.ID)
		require.Len(t, s.Clips, 2, "swing %d", i+1)
		assert.Equal(t, visit.FullSwing, s.Label)
		for k, want := range truth.Swings[i].Clips {
			c := s.Clips[k]
			assert.Equal(t, want.View, c.View.String())
			assert.Equal(t, want.File, c.File)
			assert.Equal(t, want.SHA256, c.SHA256)
			for _, p := range truth.Swings[i].Positions {
				at := p.Frame(want.ID).Index
				assert.True(t, at >= c.Part.First && at <= c.Part.Last, "%s of swing %d: %d in %v", p.Name, i+1, at, c.Part)
			}
			for _, name := range []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact} {
				ref, ok := s.FrameOf(c.ID, name)
				require.True(t, ok)
				assert.InDelta(t, truth.Swings[i].Position(name).Frame(want.ID).Index, ref.Index, 2*tolProposal, "%s of swing %d, frames", name, i+1)
			}
		}
	}

	var report struct {
		Student []series.Report `json:"student"`
	}
	require.NoError(t, json.Unmarshal([]byte(stdout), &report))
	require.Len(t, report.Student, 1)
	assert.Len(t, report.Student[0].Swings, len(truth.Swings))
	means := map[string]demo.StudentMeasure{}
	for _, m := range truth.Student {
		means[m.Name+", "+string(m.Position)] = m
	}
	inside, all := 0, 0
	for _, m := range report.Student[0].Measures {
		want, ok := means[m.Name+", "+string(m.Position)]
		require.True(t, ok, m.Name)
		all++
		if want.Mean >= m.Low95 && want.Mean <= m.High95 {
			inside++
		} else {
			t.Logf("%s, %s: %.2f to %.2f %s, truly %.2f", m.Name, m.Position, m.Low95, m.High95, m.Unit, want.Mean)
		}
	}
	t.Logf("%d of %d true means lie in their intervals", inside, all)
	assert.Greater(t, all, 50)
	assert.Greater(t, float64(inside), 0.9*float64(all))

	// What is there already is left alone.
	stdout, stderr, code = program(t, "visit", dir, "--student", "Mara Lindqvist", "--out", out)
	require.Zero(t, code, stderr)
	assert.NotContains(t, stderr, "found")
	assert.Contains(t, stdout, "The student, over")
	again, _, err := annotations.Load(out)
	require.NoError(t, err)
	assert.Equal(t, l.Swings, again.Swings)
	assert.InDelta(t, 1.72, again.Student.StatureM, 1e-9)
}

func TestVisitSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	empty := t.TempDir()
	notVideo := filepath.Join(t.TempDir(), "a.mp4")
	require.NoError(t, os.WriteFile(notVideo, []byte("this is no video"), 0o600))
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"visit"}, exitUsage, "name the folder with the clips"},
		{[]string{"visit", empty}, exitUsage, "say whose visit it is"},
		{[]string{"visit", empty, "--student", "A", "--handed", "both"}, exitUsage, "left or right"},
		{[]string{"visit", empty, "--student", "A", "--stature", "1.7"}, exitUsage, "centimetres"},
		{[]string{"visit", empty, "--student", "A", "--json", "--csv"}, exitUsage, "one of"},
		{[]string{"visit", empty, "--student", "A"}, exitInput, "holds no clip"},
		{[]string{"visit", notVideo, "--student", "A", "--watch"}, exitUsage, "takes one folder"},
		{[]string{"visit", notVideo, "--student", "A"}, exitNothing, "a.mp4"},
	} {
		_, stderr, code := program(t, c.args...)
		assert.Equal(t, c.code, code, "%v: %s", c.args, stderr)
		assert.Contains(t, stderr, c.says)
	}
	left, err := os.ReadDir(filepath.Dir(notVideo))
	require.NoError(t, err)
	assert.Len(t, left, 1, "an empty lesson is not left behind")
}
