package main

import (
	"context"
	"encoding/json"
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

// demoKept is the demo lesson that the journeys share, filmed once.
var demoKept struct {
	sync.Mutex
	dir string
}

// keepDemo keeps a demo lesson that was filmed for the journeys after it.
func keepDemo(t *testing.T, dir string) {
	t.Helper()
	demoKept.Lock()
	defer demoKept.Unlock()
	if demoKept.dir != "" {
		return
	}
	kept, err := os.MkdirTemp("", "turngauge-demo-")
	require.NoError(t, err)
	require.NoError(t, os.CopyFS(kept, os.DirFS(dir)))
	demoKept.dir = kept
}

// demoFolder returns a copy of the demo lesson's folder, filming it first if no
// journey has done so.
func demoFolder(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("needs the demo swing, whose filming takes a minute")
	}
	source := *filmed
	if source == "" {
		demoKept.Lock()
		source = demoKept.dir
		demoKept.Unlock()
	}
	dir := t.TempDir()
	if source == "" {
		_, err := demo.Create(context.Background(), dir, nil)
		require.NoError(t, err)
		keepDemo(t, dir)
		return dir
	}
	require.NoError(t, os.CopyFS(dir, os.DirFS(source)))
	return dir
}

// document rewrites a lesson document.
func document(t *testing.T, from, to string, change func(doc map[string]any)) {
	t.Helper()
	b, err := os.ReadFile(from)
	require.NoError(t, err)
	var doc map[string]any
	require.NoError(t, json.Unmarshal(b, &doc))
	change(doc)
	b, err = json.Marshal(doc)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(to, b, 0o644))
}

// bothShown reports whether both stages show the frames they are to show.
func bothShown(s seen) bool {
	return len(s.Stages) == 2 && s.Stages[0].Shown >= 0 &&
		s.Stages[0].Shown == s.Stages[0].Frame && s.Stages[1].Shown == s.Stages[1].Frame
}

// TestCoachComparesWithTheLastLesson opens a lesson whose student was here
// before, and steps through both swings side by side.
func TestCoachComparesWithTheLastLesson(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	marked := filepath.Join(dir, demo.MarkedFile)
	earlier := filepath.Join(dir, "earlier.json")
	document(t, marked, earlier, func(doc map[string]any) {
		doc["id"], doc["title"], doc["date"] = "01EARLIER", "Trial lesson", "2026-04-04"
	})
	home := t.TempDir()
	j := begin(t, home, earlier)
	j.until("the earlier lesson", bothShown)
	j.Key("ctrl+w")
	j.until("the first window", func(s seen) bool { return s.Lesson == "" })
	j.stop()

	j = begin(t, home, marked)
	j.until("the lesson", bothShown)
	j.until("its numbers", func(s seen) bool { return s.Measured == s.Revision && len(s.Measures) > 0 })
	before := j.see().Revision
	j.Key("v")
	j.until("both swings, face-on", func(s seen) bool { return s.Comparing && bothShown(s) })
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	for _, p := range []geometry.PositionName{geometry.ClubLevelBack, geometry.LeadArmLevel, geometry.Top} {
		want := truth.Position(p).Frame("fo").Index
		j.Key("Next") // Page Down
		j.until("both swings at "+string(p), func(s seen) bool {
			return s.Position == string(p) && bothShown(s) && s.Stages[0].Frame == want && s.Stages[1].Frame == want
		})
	}
	j.picture("compare-face-on")
	j.Key("shift+t")
	want := truth.Position(geometry.Top).Frame("dl").Index
	j.until("both swings, down-the-line", func(s seen) bool {
		return bothShown(s) && s.Stages[0].Frame == want && s.Stages[1].Frame == want
	})
	j.picture("compare-down-the-line")
	j.Key("1", "h", "Escape")
	after := j.until("the bench again", func(s seen) bool { return !s.Comparing && bothShown(s) })
	assert.Equal(t, before, after.Revision, "comparing changes nothing")
	assert.Equal(t, string(geometry.Top), after.Position)
}

// TestCoachMeasuresALeftHander takes in the demo swing filmed in a mirror and half as
// large, for a left-handed student. The outside check is the truth of the right-handed
// swing: lead and trail stay what they are.
func TestCoachMeasuresALeftHander(t *testing.T) {
	t.Parallel()
	ffmpeg := xtest.Need(t, "ffmpeg")
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	var clips []string
	for _, c := range truth.Clips {
		out := filepath.Join(t.TempDir(), "left-"+c.View+".mp4")
		cmd := exec.Command(ffmpeg, "-v", "error", "-i", filepath.Join(dir, c.File), "-vf", "hflip,scale=iw/2:-2",
			"-c:v", "libx264", "-preset", "ultrafast", "-crf", "26", "-c:a", "copy", out)
		msg, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", msg)
		clips = append(clips, out)
	}
	inTheMirror := func(p geometry.ImagePt) geometry.ImagePt {
		return geometry.ImagePt{X: (float64(truth.Clips[0].Width) - p.X) / 2, Y: p.Y / 2}
	}
	j := begin(t, t.TempDir(), clips...)
	j.until("the student's card", func(s seen) bool { return s.Modal })
	j.Do("type", "Odd Bakke")
	j.Key("Tab", "Right") // plays: left-handed, which has the keyboard once that is drawn
	opened := func(s seen) bool { return s.Lesson != "" }
	_, there := j.within(time.Second, opened)
	for tries := 0; tries < 10 && !there; tries++ {
		j.Key("Tab", "Return")
		_, there = j.within(10*time.Second, opened)
	}
	require.True(t, there, "the lesson is not begun")
	j.picture("left-hander-clips")
	j.Key("Return") // the views are as proposed
	j.until("both clips", bothShown)
	j.Key("l", "l")
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
		j.mark(pos, inTheMirror)
	}
	done := j.until("the measures of everything marked", func(s seen) bool { return s.Measured == s.Revision })
	j.picture("left-hander")
	for _, name := range []string{"pelvis turn", "torso turn"} {
		want, got := truth.Position(geometry.Top).Measures[name], find(t, done, name, "top")
		t.Logf("%s at the top: %v, truly %.1f", name, got, want)
		assert.Greater(t, got.Value, 0.0, "turned away from the target, though to the other side of the picture")
		assert.GreaterOrEqual(t, want, got.Low, "%s %v", name, got)
		assert.LessOrEqual(t, want, got.High, "%s %v", name, got)
	}
}
