package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/demo"
	"turngauge/ui/x11/xtest"
)

var (
	screens = flag.String("screens", "", "keep screenshots of the journeys in this folder")
	filmed  = flag.String("filmed", "", "take the demo lesson from this folder instead of filming it")
)

// seen is what the window says it shows, as far as the tests need it.
type seen struct {
	Regions map[string][4]int `json:"regions"`
	Stages  []struct {
		Clip   string     `json:"clip"`
		Frame  int        `json:"frame"`
		Shown  int        `json:"shown"`
		Centre [2]float64 `json:"centre"`
		Scale  float64    `json:"scale"`
	} `json:"stages"`
	Lesson   string `json:"lesson"`
	Position string `json:"position"`
	Armed    string `json:"armed"`
	Active   int    `json:"active"`
	Revision uint64 `json:"revision"`
	Measured uint64 `json:"measured"`
	Settled  bool   `json:"settled"`
	Measures []struct {
		Name     string  `json:"name"`
		Position string  `json:"position"`
		Value    float64 `json:"value"`
		Low      float64 `json:"low95"`
		High     float64 `json:"high95"`
	} `json:"measures"`
	Alert     string `json:"alert"`
	Modal     bool   `json:"modal"`
	Comparing bool   `json:"comparing"`
	// Explaining and Drawings are of the lines and drawings on the pictures.
	Explaining bool    `json:"explaining"`
	Drawings   int     `json:"drawings"`
	Typing     bool    `json:"typing"`
	Heard      bool    `json:"heard"`  // a review is recorded, with its voice
	Review     float64 `json:"review"` // seconds of the one that can be played
	Goroutines int     `json:"goroutines"`
}

// journey is a coach before a real window of the real program.
type journey struct {
	*xtest.Hand
	t    *testing.T
	cmd  *exec.Cmd
	home string
	env  []string // beside the test's own

	mu  sync.Mutex
	now seen
}

// begin starts the program on a screen of its own, with a home of its own.
func begin(t *testing.T, home string, args ...string) *journey {
	t.Helper()
	return beginIn(t, home, 1600, 1000, nil, args...)
}

// beginIn is begin on a screen of a size, with an environment beside the test's own.
func beginIn(t *testing.T, home string, width, height int, env []string, args ...string) *journey {
	t.Helper()
	display := xtest.Start(t, width, height)
	j := &journey{Hand: xtest.NewHand(t, display), t: t, home: home, env: env}
	j.start(display, args...)
	return j
}

func (j *journey) start(display string, args ...string) {
	j.t.Helper()
	// A coach who has turned the tour away.
	settings := filepath.Join(j.home, "config", "turngauge", "settings.json")
	if _, err := os.Stat(settings); err != nil {
		require.NoError(j.t, os.MkdirAll(filepath.Dir(settings), 0o755))
		require.NoError(j.t, os.WriteFile(settings, []byte(`{"tour_seen": true}`), 0o644))
	}
	j.cmd = exec.Command(os.Args[0], args...)
	j.cmd.Env = append(os.Environ(), "TURNGAUGE_TEST_RUN=1",
		"DISPLAY="+display, "TURNGAUGE_TRACE=1",
		"XDG_DATA_HOME="+filepath.Join(j.home, "data"),
		"XDG_STATE_HOME="+filepath.Join(j.home, "state"),
		"XDG_CONFIG_HOME="+filepath.Join(j.home, "config"))
	j.cmd.Env = append(j.cmd.Env, j.env...)
	j.cmd.Stderr = os.Stderr
	out, err := j.cmd.StdoutPipe()
	require.NoError(j.t, err)
	require.NoError(j.t, j.cmd.Start())
	go func() {
		lines := bufio.NewScanner(out)
		lines.Buffer(nil, 1<<22)
		for lines.Scan() {
			var s seen
			if json.Unmarshal(lines.Bytes(), &s) == nil {
				j.mu.Lock()
				j.now = s
				j.mu.Unlock()
			}
		}
	}()
	j.t.Cleanup(j.stop)
	j.until("the window", func(s seen) bool { return s.Regions != nil })
	j.Focus("Turngauge")
}

// stop ends the program at once.
func (j *journey) stop() {
	_ = j.cmd.Process.Kill()
	_ = j.cmd.Wait()
}

func (j *journey) see() seen {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.now
}

// until waits until the window shows what is asked for.
func (j *journey) until(what string, so func(s seen) bool) seen {
	j.t.Helper()
	return j.untilWithin(2*time.Minute, what, so)
}

// filming is how long the demo lesson may take to be made: a minute, and several
// on a busy machine.
const filming = 8 * time.Minute

func (j *journey) untilWithin(patience time.Duration, what string, so func(s seen) bool) seen {
	j.t.Helper()
	if *filmed != "" {
		patience = 20 * time.Second
	}
	s, ok := j.within(patience, so)
	if !ok {
		j.picture("failed")
		s.Measures = nil
		j.t.Fatalf("waited in vain for %s; the window shows %+v", what, s)
	}
	return s
}

// within waits a time at most and returns what the window shows, and whether it is so.
func (j *journey) within(patience time.Duration, so func(s seen) bool) (seen, bool) {
	deadline := time.Now().Add(patience)
	for wait := 5 * time.Millisecond; ; wait = min(2*wait, 100*time.Millisecond) {
		s := j.see()
		if ok := so(s); ok || time.Now().After(deadline) {
			return s, ok
		}
		time.Sleep(wait)
	}
}

// picture keeps a screenshot, if screenshots are asked for.
func (j *journey) picture(name string) {
	if *screens != "" {
		j.Screenshot(filepath.Join(*screens, name+".png"))
	}
}

// clickOn clicks the middle of a part of the window.
func (j *journey) clickOn(region string) {
	j.t.Helper()
	s := j.until(region, func(s seen) bool { return s.Regions[region] != [4]int{} })
	r := s.Regions[region]
	j.Click((r[0]+r[2])/2, (r[1]+r[3])/2)
}

// goTo shows a frame on a stage: near it by the time rail, then by the keys.
func (j *journey) goTo(view string, stage, frame, frames int) {
	j.t.Helper()
	near := func(s seen) bool { return math.Abs(float64(s.Stages[stage].Frame-frame)) < 6 }
	if near(j.see()) { // a click could come to a frame beside it after it was seen
		if j.see().Active != stage {
			j.Key("t")
			j.until("the other stage", func(s seen) bool { return s.Active == stage })
		}
	} else {
		r := j.see().Regions["rail "+view]
		const pad = 12
		x := float64(r[0]) + pad + float64(frame)/float64(frames-1)*float64(r[2]-r[0]-2*pad)
		j.Click(int(x), (r[1]+r[3])/2)
		j.until("a frame near the click", near)
	}
	for {
		at := j.see().Stages[stage].Frame
		if at == frame {
			break
		}
		key := "d"
		if at > frame {
			key = "s"
		}
		j.Key(key)
		j.until("a step", func(s seen) bool { return s.Stages[stage].Frame != at })
	}
	j.until("the frame itself", func(s seen) bool {
		return s.Stages[stage].Frame == frame && s.Stages[stage].Shown == frame
	})
}

// guessed are the points that are placed even where the body hides them.
var guessed = map[geometry.Point]bool{
	geometry.LeadHip: true, geometry.TrailHip: true, geometry.LeadShoulder: true, geometry.TrailShoulder: true,
}

// mark follows the guided pass at the key position shown and places each point
// where it truly is, or says that it can't be seen, until none is asked for.
// Where the clips are others than the demo's, moved tells where in their pictures a place
// of the demo's is; nil for the demo's own.
func (j *journey) mark(truth *demo.TruthPosition, moved func(geometry.ImagePt) geometry.ImagePt) {
	j.t.Helper()
	views := []string{"face-on", "down-the-line"}
	for range 2 * geometry.NumPoints {
		s := j.see()
		if s.Armed == "" {
			return
		}
		st := s.Stages[s.Active]
		p, ok := geometry.ParsePoint(s.Armed)
		require.True(j.t, ok, s.Armed)
		at, visible := truth.Frame([]string{"fo", "dl"}[s.Active]).Pixel(p)
		if moved != nil {
			at = moved(at)
		}
		r := s.Regions["stage "+views[s.Active]]
		x := float64(r[0]+r[2])/2 + (at.X-st.Centre[0])*st.Scale
		y := float64(r[1]+r[3])/2 + (at.Y-st.Centre[1])*st.Scale
		// A coach guesses the far hip and shoulder through the body; the fit
		// allows for it.
		visible = visible || guessed[p]
		inside := x > float64(r[0]) && x < float64(r[2]) && y > float64(r[1]) && y < float64(r[3])
		if visible && inside {
			j.Click(int(math.Round(x)), int(math.Round(y)))
		} else {
			j.Key("h")
		}
		j.until("the next point after the "+s.Armed, func(n seen) bool {
			return n.Revision > s.Revision && (n.Armed != s.Armed || n.Active != s.Active)
		})
	}
	j.t.Fatal("the guided pass does not end")
}

// TestCoachMeasuresTheDemoSwing is the whole path in the real window: from
// "Open the demo lesson" to a measured sheet. The outside check is the truth
// that the demo was made from; the fit knows nothing of it.
func TestCoachMeasuresTheDemoSwing(t *testing.T) {
	if testing.Short() {
		t.Skip("films the demo swing, which takes a minute")
	}
	home := t.TempDir()
	if *filmed != "" {
		require.NoError(t, os.CopyFS(filepath.Join(home, "data", "turngauge", "demo"), os.DirFS(*filmed)))
	}
	j := begin(t, home)
	j.picture("first-window")
	j.clickOn("open the demo lesson")
	opened := j.untilWithin(filming, "both clips", func(s seen) bool {
		return len(s.Stages) == 2 && s.Stages[0].Shown == s.Stages[0].Frame && s.Stages[1].Shown == s.Stages[1].Frame
	})
	dir := filepath.Dir(opened.Lesson)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)

	keepDemo(t, dir)
	j.Key("l", "l") // each clip on its own, as when the sound was not found
	for _, p := range []struct {
		name geometry.PositionName
		key  string
	}{{geometry.Address, "1"}, {geometry.Top, "4"}} {
		pos := truth.Position(p.name)
		for i, c := range truth.Clips {
			j.goTo(c.View, i, pos.Frame(c.ID).Index, c.Frames)
			before := j.see().Revision
			j.Key(p.key)
			j.until("the key position", func(s seen) bool {
				return s.Revision > before && s.Position == string(p.name) && s.Armed != ""
			})
		}
		j.mark(pos, nil)
		j.picture("marked-" + string(p.name))
	}
	done := j.until("the measures of everything marked", func(s seen) bool { return s.Measured == s.Revision && s.Settled })
	want := truth.Position(geometry.Top).Measures["pelvis turn"]
	got := find(t, done, "pelvis turn", "top")
	assert.GreaterOrEqual(t, want, got.Low, "pelvis turn %v", got)
	assert.LessOrEqual(t, want, got.High, "pelvis turn %v", got)
	assert.Less(t, got.High-got.Low, 40.0, "the interval is too wide to be of use")
	t.Logf("pelvis turn at the top: %.1f (%.1f to %.1f), truly %.1f", got.Value, got.Low, got.High, want)

	// What is on the disk gives the same number on the command line, and
	// survives a kill.
	j.stop()
	var report struct {
		Swings []struct {
			Measures []struct {
				Name, Position string
				Value          float64
			}
		}
	}
	out, errs, code := program(t, "measure", "--json", opened.Lesson)
	require.Zero(t, code, errs)
	require.NoError(t, json.Unmarshal([]byte(out), &report))
	found := false
	for _, m := range report.Swings[0].Measures {
		if m.Name == "pelvis turn" && m.Position == "top" {
			found = true
			assert.InDelta(t, got.Value, m.Value, 0.1)
		}
	}
	assert.True(t, found, "the command line gives no pelvis turn:\n%s", out)
}

type found struct{ Value, Low, High float64 }

func find(t *testing.T, s seen, name, position string) found {
	t.Helper()
	for _, m := range s.Measures {
		if m.Name == name && m.Position == position {
			return found{m.Value, m.Low, m.High}
		}
	}
	t.Fatalf("no %s at %s among %v", name, position, s.Measures)
	return found{}
}

func (f found) String() string { return fmt.Sprintf("%.2f (%.2f to %.2f)", f.Value, f.Low, f.High) }
