package main

import (
	"bytes"
	"context"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/demo"
	"turngauge/ui/explain"
	"turngauge/ui/x11/xtest"
)

// drag moves the pointer with the button held, in the steps of a hand.
func (j *journey) drag(x0, y0, x1, y1 int) {
	j.t.Helper()
	at := func(x, y int) []string {
		return []string{"mousemove", strconv.Itoa(x), strconv.Itoa(y), "sleep", "0.05"}
	}
	args := append(at(x0, y0), "mousedown", "1")
	for k := 1; k <= 4; k++ {
		args = append(args, at(x0+(x1-x0)*k/4, y0+(y1-y0)*k/4)...)
	}
	j.Do(append(args, "mouseup", "1")...)
}

// TestCoachExplainsAndCopies explains the top of the demo swing: lines come and
// go, a line and a note are drawn, and another program takes the picture off the
// clipboard.
func TestCoachExplainsAndCopies(t *testing.T) {
	t.Parallel()
	xclip := xtest.Need(t, "xclip")
	dir := demoFolder(t)
	marked := filepath.Join(dir, demo.MarkedFile)
	before, _, err := annotations.Load(marked)
	require.NoError(t, err)
	j := begin(t, t.TempDir(), marked)
	j.until("the lesson with its numbers", func(s seen) bool {
		return bothShown(s) && s.Measured == s.Revision && len(s.Measures) > 0
	})
	top, ok := before.Swings[0].FrameOf("fo", geometry.Top)
	require.True(t, ok)
	j.Key("e")
	j.until("explaining", func(s seen) bool { return s.Explaining })
	j.Key("alt+4")
	s := j.until("the top", func(s seen) bool { return bothShown(s) && s.Stages[0].Frame == top.Index })

	face := s.Regions["stage face-on"]
	x, y := face[0]+60, face[1]+80
	j.Key("shift+l")
	j.until("the tool in hand", func(s seen) bool { return s.Armed == "line" })
	j.drag(x, y, x+120, y+50)
	j.until("a line", func(s seen) bool { return s.Drawings == 1 })
	j.Key("Escape")
	j.Key("shift+n")
	j.until("the tool in hand", func(s seen) bool { return s.Armed == "note" })
	j.Click(x+20, y+120)
	j.until("the note's field", func(s seen) bool { return s.Typing })
	j.Do("type", "--delay", "40", "knee over the foot")
	j.until("a note", func(s seen) bool { return s.Drawings == 2 })
	j.Key("Return")
	j.until("the keys to be commands again", func(s seen) bool { return !s.Typing })
	j.picture("explain")

	copied := func() []byte {
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		defer cancel()
		cmd := exec.CommandContext(ctx, xclip, "-selection", "clipboard", "-t", "image/png", "-o")
		cmd.Env = append(os.Environ(), "DISPLAY="+j.Display())
		out, _ := cmd.Output() // until something is copied there is nothing to be had
		return out
	}
	j.Key("ctrl+shift+c")
	var data []byte
	require.Eventually(t, func() bool { data = copied(); return len(data) > 0 }, 60*time.Second, 200*time.Millisecond)
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	if *screens != "" {
		require.NoError(t, os.WriteFile(filepath.Join(*screens, "explain-still.png"), data, 0o644))
	}
	found := map[explain.Ink]int{}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			r, g, b, _ := img.At(x, y).RGBA()
			for _, k := range []explain.Ink{explain.LeadInk, explain.TrailInk, explain.OwnInk} {
				if c := explain.OnPicture.Inks[k]; r>>8 == uint32(c.R) && g>>8 == uint32(c.G) && b>>8 == uint32(c.B) {
					found[k]++
				}
			}
		}
	}
	for k, n := range found {
		assert.Greater(t, n, 300, "ink %d", k)
	}
	assert.Len(t, found, 3, "the lead side, the trail side and the coach's own are on the still")
	assert.GreaterOrEqual(t, img.Bounds().Dy(), 720)

	// The marks could not be touched, and everything is on the disk.
	j.Key("2", "h", "Delete")
	j.Key("Escape")
	j.until("the marks again", func(s seen) bool { return !s.Explaining })
	j.Key("ctrl+w")
	j.until("the first window", func(s seen) bool { return s.Lesson == "" })
	j.stop()
	after, _, err := annotations.Load(marked)
	require.NoError(t, err)
	assert.Equal(t, before.Swings[0].Marks, after.Swings[0].Marks)
	require.Len(t, after.Swings[0].Drawings, 2)
	line, note := after.Swings[0].Drawings[0], after.Swings[0].Drawings[1]
	assert.Equal(t, annotations.DrawnLine, line.Kind)
	assert.Equal(t, [2]any{"fo", top.Index}, [2]any{line.Frame.Clip, line.Frame.Index})
	// 120 by 50 pixels of the window, by the stage's scale.
	scale := s.Stages[0].Scale
	assert.InDelta(t, 120/scale, line.Points[1].X-line.Points[0].X, 1.5)
	assert.InDelta(t, 50/scale, line.Points[1].Y-line.Points[0].Y, 1.5)
	assert.Equal(t, annotations.DrawnNote, note.Kind)
	assert.Equal(t, "knee over the foot", note.Text)
}
