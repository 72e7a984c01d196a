package review

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gioui.org/io/key"

	"turngauge/annotations"
	annotated "turngauge/annotations/review"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/session"
)

// window is a window of the room, or of its card, on the marked lesson, on a computer
// without a sound server.
func window(t *testing.T, card bool) (*kittest.Window, *Room, *string) {
	t.Helper()
	t.Setenv("PULSE_SERVER", "unix:/nowhere")
	l, _, err := annotations.Load(filepath.Join("..", "..", "testdata", "lessons", "marked.json"))
	require.NoError(t, err)
	l.Swings[0].Findings = []annotations.Finding{{ID: "f1", Text: "Your hips have  turned\nless."}}
	l.Prescription = annotations.Prescription{SetUp: []string{"Stand taller."}, Feel: "The trail hip goes back."}
	row := new(string)
	var r *Room
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room {
		r = New(w, Doors{
			Shown: func() []int { return []int{0, 1} }, Size: func(int) bench.Size { return bench.Size{W: 700, H: 600} },
			Pointer: func(stage int) (bench.ScreenPt, bool) {
				return bench.ScreenPt{X: 350, Y: 300}, stage == 1 && *row != ""
			},
			Explained: func() (bool, explain.Set) { return true, explain.Set{explain.HipLine: true} },
			Begun:     func(int) (annotations.Drawing, bool) { return annotations.Drawing{}, false },
			Row:       func() string { return *row }, Panels: func() []string { return []string{"from above"} },
			Terms: func() session.Terms { return w.Env.Terms() },
		})
		if card {
			return r.Card()
		}
		return r
	})
	return w, r, row
}

// A review is begun and ended by one key, and is in the lesson from the first moment on;
// without a microphone one sentence says so, and what is shown is recorded.
func TestTalkingALessonThrough(t *testing.T) {
	w, r, row := window(t, false)
	l := w.Lesson()
	w.Key(key.NameF3, 0)
	w.Frame()
	require.NotNil(t, r.recorder)
	require.Len(t, w.Lesson().Reviews, 1, "nothing is lost of one that is broken off")
	for _, text := range []string{"Your hips have turned less.", "Stand taller.", "The trail hip goes back."} {
		w.Shows("Say: " + text)
	}
	w.Click("Say: Stand taller.")
	w.Shows("Said: Stand taller.")
	r.recorder.Show(r.state())
	*row = "pelvis turn @ top"
	r.recorder.Show(r.state())
	if r.quiet == "" { // a computer with ALSA's devices is heard
		w.Until("word of the microphone", func() bool {
			if r.recorder == nil {
				t.Fatal(w.Alerts, notes(w))
			}
			_, heard := r.recorder.Level()
			return r.quiet != "" || heard
		})
	}
	w.Key(key.NameF3, 0)
	w.Frame()
	require.Nil(t, r.recorder)
	entry := w.Lesson().Reviews[0]
	assert.Positive(t, entry.Seconds)
	list, _ := entry.Files(filepath.Dir(w.Open.Path))
	rec, err := annotated.ReadList(list)
	require.NoError(t, err)
	assert.True(t, rec.Ended)
	assert.Equal(t, "Stand taller.", rec.Ticked[0].Text)
	last := rec.Steps[len(rec.Steps)-1].State
	assert.Equal(t, &annotated.Row{Measure: "pelvis turn", Position: "top"}, last.Row)
	assert.Equal(t, []string{explain.HipLine.String()}, last.Lines)
	assert.Equal(t, l.Swings[0].ID, last.Swing)
	require.Len(t, last.Views, 2)
	assert.Nil(t, last.Pointer, "no clip is open, so there is no place on one")

	// Undo takes it out of the lesson, and the files stay for redo.
	for len(w.Lesson().Reviews) > 0 {
		w.Open.Bench.Undo()
	}
	assert.FileExists(t, list)

	// A lesson that is closed ends what is recorded.
	w.Key(key.NameF3, 0)
	w.Frame()
	require.NotNil(t, r.recorder)
	r.LessonClosed()
	assert.Nil(t, r.recorder)
}

// On the card a review is cut, its pauses shortened, and made a film; each is undone.
func TestTheCardOfReviews(t *testing.T) {
	w, r, _ := window(t, true)
	folder := filepath.Dir(w.Open.Path)
	entry := annotated.Review{ID: "01J", Made: "2026-12-05", List: "reviews/01J.jsonl", Voice: "reviews/01J.wav", Seconds: 2}
	list, voice := entry.Files(folder)
	log, err := annotated.Create(list, w.Lesson().ID, time.Now())
	require.NoError(t, err)
	require.NoError(t, log.Show(0, &annotated.State{Swing: w.Lesson().Swings[0].ID}))
	require.NoError(t, log.Close(2e9))
	v, err := annotated.CreateVoice(voice)
	require.NoError(t, err)
	samples := make([]int16, 2*annotated.Rate)
	for i := range samples[:annotated.Rate/4] {
		samples[i] = int16(8000 * (i % 2))
	}
	require.NoError(t, v.Append(samples))
	require.NoError(t, v.Close())
	r.edit(entry, "record a review")
	c := r.Card()
	c.open()
	ready := func() bool { return c.player != nil && c.player.frames > 0 && c.player.shown }
	w.Until("the review", ready)
	w.Shows("2026-12-05, 0:02")
	w.Click("Cut from here")
	c.player.show(0.5)
	w.Click("Cut to here")
	assert.Equal(t, []annotated.Span{{From: 0, To: 0.5}}, w.Lesson().Reviews[0].Cuts)
	w.Until("what is left", func() bool { return ready() && c.player.frames == 45 })
	w.Click("Shorten pauses")
	assert.InDelta(t, longestPause, w.Lesson().Reviews[0].LongestPause, 1e-9)
	w.Until("the review without its pauses", ready)
	w.Click("Shorten pauses")
	assert.Zero(t, w.Lesson().Reviews[0].LongestPause)
	w.Click("Bring back cuts")
	assert.Empty(t, w.Lesson().Reviews[0].Cuts)
	w.Open.Bench.Undo()
	assert.Len(t, w.Lesson().Reviews[0].Cuts, 1)
	w.Until("the review as it is now", ready)
	c.title.SetText("For Mara")
	w.Frame()
	w.Frame()
	c.caption.SetText("Hips first.")
	r.edit(annotated.Review{ID: "01J", Title: "For Mara", List: entry.List, Voice: entry.Voice, Captions: captioned(nil, annotated.Caption{From: 0.5, To: 1.5, Text: "Hips first."})}, "write a caption of the review")
	w.Until("the review with its caption", ready)
	w.Shows("Take out the captions")
	w.Click("Make the film")
	w.Until("the film", func() bool { return !c.busy })
	all, err := filepath.Glob(filepath.Join(folder, "*review.mp4"))
	require.NoError(t, err)
	require.Len(t, all, 1)
	info, err := os.Stat(all[0])
	require.NoError(t, err)
	assert.Positive(t, info.Size())
	assert.Contains(t, strings.Join(notes(w), "\n"), "The film is beside the lesson")
	w.Click("Take the review out")
	assert.Empty(t, w.Lesson().Reviews)
	w.Key(key.NameEscape, 0)
	w.Frame()
	assert.False(t, c.IsOpen())
}

func notes(w *kittest.Window) (out []string) {
	for _, n := range w.Notes {
		out = append(out, string(n))
	}
	return out
}

// A caption among others: what it lies over makes room, and nothing overlaps.
func TestCaptionsStandApart(t *testing.T) {
	all := []annotated.Caption{{From: 0, To: 2, Text: "a"}, {From: 2, To: 4, Text: "b"}, {From: 4, To: 6, Text: "c"}}
	got := captioned(all, annotated.Caption{From: 1, To: 4.5, Text: "new"})
	assert.Equal(t, []annotated.Caption{{From: 0, To: 1, Text: "a"}, {From: 1, To: 4.5, Text: "new"}, {From: 4.5, To: 6, Text: "c"}}, got)
}
