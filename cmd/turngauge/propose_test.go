package main

import (
	"bufio"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/demo"
)

// instantsOff is how far the moments between may be proposed face-on from those at which
// shaft and arm of the truth are level in space and the golfer has come to rest, seconds.
var instantsOff = map[geometry.PositionName]float64{
	geometry.ClubLevelBack: 0.025, geometry.LeadArmLevel: 0.025, geometry.Delivery: 0.015, geometry.Finish: 0.25,
}

// TestProposeGoesOnWhereItWasStopped has marks proposed for a lesson of two swings, is
// interrupted after the first, and goes on with the second. Where the points lie and when
// the golfer is at each key position is known: the demo draws them.
func TestProposeGoesOnWhereItWasStopped(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	path := filepath.Join(dir, demo.LessonFile)
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	twice := l.Clone()
	second := twice.Swings[0]
	second.ID = "s2"
	second.Clips[0].Part, second.Clips[1].Part = annotations.Part{First: 2, Last: 540}, annotations.Part{First: 30, Last: 580}
	twice.Swings = append(l.Clone().Swings, second)
	require.NoError(t, annotations.Save(path, twice))

	cmd := exec.Command(os.Args[0], "propose", path)
	cmd.Env = append(os.Environ(), "TURNGAUGE_TEST_RUN=1")
	said, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(said)
	for lines.Scan() {
		if strings.Contains(lines.Text(), "swing 1 of 2") {
			require.NoError(t, cmd.Process.Signal(os.Interrupt))
		}
	}
	require.Error(t, cmd.Wait())
	assert.Equal(t, exitCanceled, cmd.ProcessState.ExitCode())
	half, _, err := annotations.Load(path)
	require.NoError(t, err)
	require.NotEmpty(t, half.Swings[0].Marks)
	assert.Empty(t, half.Swings[1].Marks)

	_, stderr, code := program(t, "propose", path)
	require.Zero(t, code, stderr)
	assert.NotContains(t, stderr, "swing 1 of 2")
	whole, _, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, half.Swings[0].Marks, whole.Swings[0].Marks, "what was proposed before stands")
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	for _, s := range whole.Swings {
		near, seen := 0, 0
		for _, name := range []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact} {
			for _, c := range truth.Clips {
				ref, ok := s.FrameOf(c.ID, name)
				require.True(t, ok, "%s in %s", name, c.ID)
				assert.True(t, ref.Proposed)
				assert.InDelta(t, truth.Position(name).Frame(c.ID).Index, ref.Index, tolProposal, "%s, frames", name)
				height := truth.StatureM * c.FocalPx / math.Hypot(c.PositionM[0], c.PositionM[2])
				for _, m := range s.MarksAt(c.ID, name) {
					assert.Equal(t, geometry.Proposed, m.State)
					assert.Positive(t, m.SDPx)
					if at, visible := truth.Position(name).Frame(c.ID).Pixel(m.Point); visible {
						seen++
						if math.Hypot(m.At.X-at.X, m.At.Y-at.Y) < wide*height {
							near++
						}
					}
				}
			}
		}
		for name, most := range instantsOff {
			ref, ok := s.FrameOf(truth.Clips[0].ID, name)
			require.True(t, ok, name)
			off := float64(ref.Index-truth.Position(name).Frame(truth.Clips[0].ID).Index) / truth.Clips[0].FramesPerS
			t.Logf("swing %s: %s %+.1f ms", s.ID, name, 1000*off)
			assert.Less(t, math.Abs(off), most, name)
		}
		for _, c := range truth.Clips {
			set := 0
			for _, name := range geometry.KeyPositions {
				if _, ok := s.FrameOf(c.ID, name); ok {
					set++
				}
			}
			assert.Len(t, geometry.KeyPositions, set, c.ID)
		}
		t.Logf("swing %s: %d of %d proposed marks that can be seen lie within 4 cm", s.ID, near, seen)
		assert.Greater(t, seen, 60)
		assert.Greater(t, float64(near), 0.95*float64(seen))
	}
	_, stderr, code = program(t, "propose", path)
	assert.Zero(t, code)
	assert.Contains(t, stderr, "every swing has marks already")

	// The buckle, marked by hand in the first, is found in the picture of the second.
	e := annotations.NewEditor(whole)
	clip := whole.Swings[0].ClipOf(geometry.FaceOn).ID
	buckle, visible := truth.Position(geometry.Address).Frame(truth.Clips[0].ID).Pixel(geometry.Buckle)
	require.True(t, visible)
	require.NoError(t, e.Apply(annotations.SetMark{Swing: whole.Swings[0].ID, Mark: annotations.Mark{Clip: clip, Position: geometry.Address, Point: geometry.Buckle, At: buckle}}))
	require.NoError(t, annotations.Save(path, e.Lesson()))
	_, stderr, code = program(t, "propose", "--teach", path)
	require.Zero(t, code, stderr)
	assert.Contains(t, stderr, "of 1 point on belt and shirt 1 found in other swings")
	whole, _, err = annotations.Load(path)
	require.NoError(t, err)
	found, ok := whole.Swings[1].Mark(clip, geometry.Address, geometry.Buckle)
	require.True(t, ok)
	assert.Equal(t, geometry.Proposed, found.State)
	assert.InDelta(t, 0, math.Hypot(found.At.X-buckle.X, found.At.Y-buckle.Y), 2)
}

func TestProposeSaysWhatIsMissing(t *testing.T) {
	t.Parallel()
	path := write(t, "lesson.json", `{"kind":"turngauge-lesson","version":1,"student":{"handed":"right"},"swings":[{"id":"a","clips":[
		{"id":"fo","view":"face-on","width":640,"height":360},{"id":"dl","view":"down-the-line","file":"gone.mp4","width":640,"height":360}]}]}`)
	_, stderr, code := program(t, "propose", path)
	assert.Equal(t, exitInput, code)
	assert.Contains(t, stderr, "gone.mp4")
	_, stderr, code = program(t, "propose")
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, stderr, "name a lesson document")
}

// TestProposeTeaches: in one swing of two the hips were moved by hand by 10 px; --teach has
// that move them in the other, once, and nothing without it.
func TestProposeTeaches(t *testing.T) {
	t.Parallel()
	swing := func(id, marks string) string {
		return `{"id":"` + id + `","clips":[{"id":"fo","view":"face-on","width":1920,"height":1080,"stand":1}],"positions":[{"name":"top","frames":[{"clip":"fo","index":3}]}],"marks":[` + marks + `]}`
	}
	mark := func(point, rest string) string {
		return `{"clip":"fo","position":"top","point":"` + point + `","y":500,` + rest + `}`
	}
	moved := `"x":810,"state":"placed","seen_at":{"x":800,"y":500,"sd_px":9,"shared_bias_px":5}`
	proposed := `"x":805,"state":"proposed","sd_px":9,"shared_bias_px":5`
	path := write(t, "lesson.json", `{"kind":"turngauge-lesson","version":1,"student":{"handed":"right"},"swings":[`+
		swing("a", mark("lead hip", moved)+","+mark("trail hip", moved))+","+swing("b", mark("lead hip", proposed)+","+mark("trail hip", `"x":805,"state":"placed"`))+`]}`)
	lead := func() annotations.Mark {
		l, _, err := annotations.Load(path)
		require.NoError(t, err)
		hand, _ := l.Swings[1].Mark("fo", geometry.Top, geometry.TrailHip)
		assert.InDelta(t, 805, hand.At.X, 0, "by hand")
		m, _ := l.Swings[1].Mark("fo", geometry.Top, geometry.LeadHip)
		return m
	}
	_, stderr, code := program(t, "propose", path)
	require.Zero(t, code, stderr)
	assert.Contains(t, stderr, "every swing has marks already")
	assert.InDelta(t, 805, lead().At.X, 0)
	_, stderr, code = program(t, "propose", "--teach", path)
	require.Zero(t, code, stderr)
	assert.Contains(t, stderr, "2 marks moved by hand taught 1 other swing: 1 proposed mark")
	is := lead()
	assert.Greater(t, is.At.X, 808.0)
	assert.Less(t, is.At.X, 815.0)
	assert.Less(t, is.SDPx, 9.0)
	_, stderr, code = program(t, "propose", "--teach", path)
	require.Zero(t, code, stderr)
	assert.Contains(t, stderr, "taught already")
	assert.Equal(t, is, lead())
}
