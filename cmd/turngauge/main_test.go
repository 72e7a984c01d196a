package main

import (
	"bytes"
	"debug/elf"
	"encoding/json"
	"errors"
	"flag"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/annotations/saver"
	"turngauge/video"
	"turngauge/video/sandbox/oldsystem"
)

var update = flag.Bool("update", false, "write the golden output of measure anew")

// TestMain lets the test binary be the program: the tests run it as a user
// does.
func TestMain(m *testing.M) {
	if os.Getenv("TURNGAUGE_TEST_RUN") != "" {
		oldsystem.FromEnvironment()
		main()
	}
	// What is kept of a clip that is looked through must not be there in the next test.
	cache, err := os.MkdirTemp("", "turngauge-cache-")
	if err != nil {
		panic(err)
	}
	_ = os.Setenv("XDG_CACHE_HOME", cache)
	code := m.Run()
	_ = os.RemoveAll(demoKept.dir)
	_ = os.RemoveAll(cache)
	os.Exit(code)
}

// program runs the program and returns what it wrote and its exit code.
func program(t *testing.T, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), "TURNGAUGE_TEST_RUN=1")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		require.NoError(t, err)
	}
	return out.String(), errs.String(), cmd.ProcessState.ExitCode()
}

const (
	lessons = "../../testdata/lessons/"
	marked  = lessons + "marked.json"
)

func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func TestCommandLine(t *testing.T) {
	t.Parallel()
	faulty := write(t, "faulty.json", `{"kind":"turngauge-lesson","version":1,"student":{"handed":"both"},"swings":[{"id":"a","clips":[{"id":"c","view":"face-on","width":100,"height":100}],"positions":[{"name":"top"}],"marks":[{"clip":"c","position":"top","point":"left hip","x":1,"y":2}]}]}`)
	newer := write(t, "newer.json", `{"kind":"turngauge-lesson","version":9}`)
	cut := write(t, "cut.json", `{"kind":"turngauge-`)
	empty := write(t, "empty.json", `{"kind":"turngauge-lesson","version":1,"id":"e","student":{"handed":"left"},"swings":[{"id":"a"}]}`)
	later := write(t, "later.json", `{"kind":"turngauge-lesson","version":1,"student":{"handed":"left"},"mood":"good","swings":[]}`)
	notVideo := write(t, "notes.mp4", "this is no video, it only has the name of one")
	ranges := write(t, "ranges.json", `[{"measure":"pelvis turn","low":3,"high":1}]`)
	for _, c := range []struct {
		name           string
		args           []string
		code           int
		stdout, stderr string // parts that must be there
	}{
		{"help", []string{"help"}, 0, "turngauge CLIP...", ""},
		{"help says the cautions", []string{"--help"}, 0, "see a licensed professional", ""},
		{"help on a command", []string{"help", "measure"}, 0, "Exit codes: 0 measured", ""},
		{"help of a command", []string{"demo", "-h"}, 0, "turngauge demo [DIR]", ""},
		{"help on nothing", []string{"help", "juggle"}, 2, "", `there is no command "juggle"`},
		{"version", []string{"--version"}, 0, "turngauge " + release, ""},
		{"command misspelt", []string{"mesure"}, 2, "", `there is no command and no file "mesure"`},
		{"window option", []string{"--fast"}, 2, "", "there is no option --fast"},
		{"window without the file", []string{"./none.json"}, 3, "", "./none.json can't be opened: stat ./none.json: no such file"},
		{"measure nothing", []string{"measure"}, 2, "", "name a lesson document to measure"},
		{"measure option", []string{"measure", marked, "--xml"}, 2, "", "there is no option -xml"},
		{"measure missing", []string{"measure", "none.json"}, 3, "", "the lesson can't be read: stat none.json: no such file or directory"},
		{"measure a folder without lessons", []string{"measure", "."}, 3, "", ". holds no lesson document: name a folder that does"},
		{"measure in two ways", []string{"measure", marked, "--csv", "--json"}, 2, "", "say one of --json, --csv and --rows"},
		{"measure with no job", []string{"measure", marked, "--jobs", "0"}, 2, "", "--jobs is from 1 to 256"},
		{"export nothing", []string{"export"}, 2, "", "name lesson documents to export"},
		{"import nothing", []string{"import"}, 2, "", "name a zip file"},
		{"measure faulty", []string{"measure", faulty}, 3, "", "student.handed: \"both\" is not known here; use \"right\" or \"left\"\nswings[0].marks[0].point: \"left hip\" is not a point; use \"lead hip\" or \"trail hip\"\n"},
		{"measure newer", []string{"measure", newer}, 3, "", "update the program to open it"},
		{"measure cut off", []string{"measure", cut}, 3, "", "line 1, column 20: the file ends too early"},
		{"measure a video", []string{"measure", notVideo}, 3, "", "not valid JSON at line 1, column 2"},
		{"measure an empty swing", []string{"measure", empty}, 4, "Not measured:\n    add a clip\n", "nothing could be measured"},
		{"the same as JSON", []string{"measure", empty, "--json"}, 4, `"reason": "add a clip"`, `"missing" says what to mark`},
		{"measure no swing", []string{"measure", later}, 4, "There is no swing in this lesson yet.", "warning: " + later + ": mood: not a field"},
		{"measure", []string{"measure", marked}, 0, "pelvis turn", ""},
		{"measure two, one missing", []string{"measure", marked, "none.json"}, 3, "pelvis turn", "none.json"},
		{"bad ranges", []string{"measure", marked, "--targets", ranges}, 3, "", "low 3 is above high 1"},
		{"no ranges", []string{"measure", "--targets", "none.json", marked}, 3, "", "the target ranges can't be read"},
		{"after two dashes all are files", []string{"measure", "--", "--json"}, 3, "", "stat --json: no such file"},
		{"probe nothing", []string{"probe"}, 2, "", "name a clip to look at"},
		{"probe missing", []string{"probe", "none.mp4"}, 3, "", "“none.mp4” is not where it was"},
		{"probe no video", []string{"probe", notVideo}, 3, "", "“notes.mp4”"},
		{"demo in two folders", []string{"demo", "a", "b"}, 2, "", "name one folder"},
		{"demo in a file", []string{"demo", faulty}, 1, "", "the demo lesson can't be made in " + faulty},
	} {
		t.Run(c.name, func(t *testing.T) {
			stdout, stderr, code := program(t, c.args...)
			assert.Equal(t, c.code, code, "stderr: %s", stderr)
			assert.Contains(t, stdout, c.stdout)
			assert.Contains(t, stderr, c.stderr)
			if c.stderr == "" {
				assert.Empty(t, stderr)
			}
			if c.stdout == "" {
				assert.Empty(t, stdout)
			}
			assert.NotContains(t, stderr, "goroutine", "no panic")
		})
	}
}

// clip writes a small clip of 48 frames at 24 a second and returns its path.
func clip(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "clip.mp4")
	w, err := video.Create(path, video.WriterOptions{Width: 160, Height: 96, RateNum: 24, RateDen: 1, GOP: 12})
	require.NoError(t, err)
	picture := image.NewRGBA(image.Rect(0, 0, 160, 96))
	for i := range 48 {
		for k := range picture.Pix {
			picture.Pix[k] = byte(k*(i+3)) | 3
		}
		require.NoError(t, w.WriteFrame(picture))
	}
	require.NoError(t, w.Close())
	return path
}

func TestProbeDescribesAClip(t *testing.T) {
	path := clip(t)
	stdout, stderr, code := program(t, "probe", path)
	require.Equal(t, 0, code, stderr)
	for _, want := range []string{path, "160 x 96 pixels", "48, 24.000 a second, even", "2.000 s", "h264", "key frames", "bt709", "sound       none"} {
		assert.Contains(t, stdout, want)
	}
	stdout, stderr, code = program(t, "probe", "--json", path)
	require.Equal(t, 0, code, stderr)
	var info video.Info
	require.NoError(t, json.Unmarshal([]byte(stdout), &info))
	assert.Equal(t, 48, info.Frames)
}

// TestProbeOfACutOffClip cuts the clip's pictures short: what is there can be
// used, and the program says what is not.
func TestProbeOfACutOffClip(t *testing.T) {
	path := clip(t)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	cut := write(t, "cut.mp4", string(data[:len(data)*3/4]))
	stdout, stderr, code := program(t, "probe", cut)
	require.Equal(t, 0, code, stderr)
	assert.Contains(t, stdout, "  note: ")
	head := write(t, "head.mp4", string(data[:200]))
	_, stderr, code = program(t, "probe", head)
	assert.Equal(t, 3, code)
	assert.Contains(t, stderr, "“head.mp4”")
}

func TestMeasureTellsOfANewerCopy(t *testing.T) {
	state := t.TempDir()
	faultfs.SetBase(t, "XDG_STATE_HOME", state)
	dir := filepath.Join(t.TempDir(), "stick")
	require.NoError(t, os.Mkdir(dir, 0o755))
	path := filepath.Join(dir, "lesson.json")
	lesson, _, err := annotations.Load(marked)
	require.NoError(t, err)
	s, err := saver.Open(path, nil)
	require.NoError(t, err)
	require.NoError(t, os.RemoveAll(dir))
	s.Save(lesson)
	require.Error(t, s.Close())
	require.NoError(t, os.Mkdir(dir, 0o755))
	require.NoError(t, annotations.Save(path, lesson))
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(path, old, old))
	_, stderr, code := program(t, "measure", path)
	assert.Equal(t, 0, code)
	assert.Contains(t, stderr, "a newer copy of "+path+" could not be saved in its place and is kept as "+state)
}

// TestMeasureJSON compares the output for the lesson of testdata with the one
// checked in: the same measures with the same words and targets, and values
// within half of their standard deviation, so that a finer fit is no
// failure and a wrong sign, unit or order is one. Whether the values are right
// is tested where the truth is known, in geometry and annotations.
func TestMeasureJSON(t *testing.T) {
	golden := lessons + "marked.measures.json"
	stdout, stderr, code := program(t, "measure", "--json", marked)
	require.Equal(t, 0, code, stderr)
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(stdout), 0o644))
	}
	file, err := os.ReadFile(golden)
	require.NoError(t, err)
	var want, got annotations.Report
	require.NoError(t, json.Unmarshal(file, &want))
	require.NoError(t, json.Unmarshal([]byte(stdout), &got))
	require.Len(t, got.Swings, len(want.Swings))
	for i, w := range want.Swings {
		g := got.Swings[i]
		assert.Equal(t, w.ID, g.ID)
		assert.Equal(t, w.Fit.Status, g.Fit.Status)
		assert.Equal(t, w.Fit.Suspects, g.Fit.Suspects)
		assert.Equal(t, w.Missing, g.Missing)
		require.Len(t, g.Measures, len(w.Measures))
		for k, m := range w.Measures {
			n := g.Measures[k]
			what := m.Name + " at " + string(m.Position)
			assert.InDelta(t, m.Value, n.Value, m.SD/2, what)
			assert.InEpsilon(t, m.SD, n.SD, 0.5, what)
			assert.Less(t, n.Low95, n.Value, what)
			assert.Less(t, n.Value, n.High95, what)
			assert.Equal(t, []any{m.Name, m.Position, m.Definition, m.Unit, m.Method, m.Basis, m.Target},
				[]any{n.Name, n.Position, n.Definition, n.Unit, n.Method, n.Basis, n.Target})
		}
	}
}

// TestMeasureJSONHasTheFieldsOfTheFormat reads the output with nothing but the
// field names of the lesson format.
func TestMeasureJSONHasTheFieldsOfTheFormat(t *testing.T) {
	stdout, _, _ := program(t, "measure", marked, "--json")
	var out struct {
		Version int
		Lesson  string
		Swings  []struct {
			ID  string
			Fit struct {
				Status                                   string
				Iterations, Observations, Unknowns, Rank int
				Cost                                     float64
				Cameras                                  []struct {
					Clip      string
					PositionM [3]float64 `json:"position_m"`
					FocalPx   float64    `json:"focal_px"`
				}
				SuspectMarks []any `json:"suspect_marks"`
				Noise        []struct {
					Class                string
					Scale, Low95, High95 float64
				}
				ToldPx       float64 `json:"told_px"`
				ToldPxLow95  float64 `json:"told_px_low95"`
				ToldPxHigh95 float64 `json:"told_px_high95"`
			}
			Measures []struct {
				Name, Definition, Position, Unit, Method, Verdict, Advice, Basis string
				Value, SD, Low95, High95, Probability                            float64

				MarksAlone *struct{ Value, SD, Low95, High95 float64 } `json:"marks_alone"`
				Remedies   []struct {
					Text      string
					HalfWidth float64 `json:"half_width"`
					Decides   float64
				}
				Target *struct {
					Low, High float64
					Source    string
				}
			}
			Missing []struct{ Name, Position, Reason string }
		}
	}
	d := json.NewDecoder(strings.NewReader(stdout))
	d.DisallowUnknownFields()
	require.NoError(t, d.Decode(&out))
	assert.Equal(t, 1, out.Version)
	s := out.Swings[0]
	assert.Equal(t, "converged", s.Fit.Status)
	assert.Len(t, s.Fit.Cameras, 2)
	assert.Len(t, s.Fit.Noise, 9)
	assert.Less(t, s.Fit.ToldPxLow95, s.Fit.ToldPx)
	assert.Less(t, s.Fit.ToldPx, s.Fit.ToldPxHigh95)
	found := false
	for _, m := range s.Measures {
		assert.Less(t, m.Low95, m.Value, m.Name)
		assert.Less(t, m.Value, m.High95, m.Name)
		assert.Equal(t, m.Target != nil, m.Verdict != "", m.Name)
		if m.Name == "pelvis turn" && m.Position == "top" {
			found = true
			assert.Equal(t, 40.0, m.Target.Low)
			assert.Equal(t, "deg", m.Unit)
		}
	}
	assert.True(t, found)
}

func TestOwnRangesGoBeforeTheProgramsOwn(t *testing.T) {
	ranges := write(t, "ranges.json", `[{"measure":"pelvis turn","position":"top","low":-500,"high":500,"source":"Odalys Brandt"}]`)
	stdout, _, code := program(t, "measure", marked, "--targets", ranges)
	assert.Equal(t, 0, code)
	assert.Regexp(t, `pelvis turn .* open 500 to closed 500 +virtually certainly within`, stdout)
}

func TestAVerdictCountsFromWhatIsSaid(t *testing.T) {
	ranges := write(t, "ranges.json", `[{"measure":"pelvis turn","position":"top","low":30,"source":"ours"}]`)
	given := func(decided string) bool {
		stdout, _, code := program(t, "measure", marked, "--targets", ranges, "--decided", decided, "--rows")
		assert.Equal(t, 0, code)
		for row := range strings.Lines(stdout) {
			var m struct {
				Name, Position, Verdict string
				Probability             float64
			}
			require.NoError(t, json.Unmarshal([]byte(row), &m))
			if m.Verdict != "" && m.Verdict != "can't tell" {
				percent, err := strconv.ParseFloat(decided, 64)
				require.NoError(t, err)
				assert.GreaterOrEqual(t, m.Probability, percent/100, "%s at %s", m.Name, m.Position)
			}
			if strings.Contains(row, `"can't tell"`) {
				return false
			}
		}
		return true
	}
	assert.True(t, given("51"))
	assert.False(t, given("99.9"))
	for _, none := range []string{"50", "100", "-3"} {
		_, stderr, code := program(t, "measure", marked, "--decided", none)
		assert.Equal(t, 2, code)
		assert.Contains(t, stderr, "over 50 and under 100 per cent")
		_, _, code = program(t, "report", marked, "--decided", none)
		assert.Equal(t, 2, code)
	}
}

// TestStartLoadsNothingRare holds that what is rarely used costs nothing at each start of
// the program and of the processes that decode (package video/lazy).
func TestStartLoadsNothingRare(t *testing.T) {
	f, err := elf.Open(os.Args[0])
	require.NoError(t, err)
	defer f.Close()
	needed, err := f.ImportedLibraries()
	require.NoError(t, err)
	require.NotEmpty(t, needed)
	for _, library := range needed {
		assert.NotRegexp(t, "libav(device|filter)", library)
	}
}
