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
	"turngauge/ui/review/film"
	"turngauge/ui/session"
	"turngauge/ui/takehome"
)

// window is a window of the room, or of its card, on the marked lesson, on a computer
// without a sound server.
func window(t *testing.T, card bool) (*kittest.Window, *Room, *string) {
	t.Helper()
	t.Setenv("PULSE_SERVER", "unix:/nowhere")
	l, _, err := annotations.Load(filepath.Join("..", "..", "testdata", "lessons", "marked.json"))
	require.NoError(t, err)
	l.Swings[0].Findings = []annotations.Finding{{ID: "f1", Text: "Your hips have  turned\nless."}}
	l.Question = "Why do I slice?"
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
			Over:      func() (float64, bool) { return 0, false },
			Row:       func() string { return *row }, Panels: func() []string { return []string{"from above"} },
			Curves: func() ([]string, bool) { return []string{"sway"}, true },
			Terms:  func() session.Terms { return w.Env.Terms() }, Finding: func(annotations.Finding) {},
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
	for _, text := range []string{"Asked: Why do I slice?", "Your hips have turned less.", "Set-up: Stand taller.", "Feel: The trail hip goes back."} {
		assert.True(t, w.Shows("Say: "+text), text)
	}
	w.Click("Say: Set-up: Stand taller.")
	assert.True(t, w.Shows("Said: Set-up: Stand taller."))
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
	assert.Equal(t, "Set-up: Stand taller.", rec.Ticked[0].Text)
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

// oldReview puts a review of 2 s into the lesson: a quarter of it is heard, and a line is drawn
// after a second.
func oldReview(t *testing.T, w *kittest.Window, r *Room) annotated.Review {
	t.Helper()
	folder := filepath.Dir(w.Open.Path)
	entry := annotated.Review{ID: "01J", Made: "2026-12-05", List: "reviews/01J.jsonl", Voice: "reviews/01J.wav", Seconds: 2}
	list, voice := entry.Files(folder)
	log, err := annotated.Create(list, w.Lesson().ID, time.Now())
	require.NoError(t, err)
	fo := w.Lesson().Swings[0].Clips[0].ID
	state := annotated.State{Swing: w.Lesson().Swings[0].ID, Views: []annotated.View{{Clip: fo, Frame: 3}}}
	require.NoError(t, log.Show(0, &state))
	state.Drawings = []annotated.Drawing{{ID: "d1", Clip: fo, Kind: "line", Points: [][2]float64{{1, 2}, {3, 4}}}}
	require.NoError(t, log.Show(1e9, &state))
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
	return entry
}

// On the card a cough is silenced, a passage cut, pauses shortened, a drawing moved, and a film
// made; each is undone.
func TestTheCardOfReviews(t *testing.T) {
	w, r, _ := window(t, true)
	folder, entry := filepath.Dir(w.Open.Path), oldReview(t, w, r)
	c := r.Card()
	c.open()
	ready := func() bool { return c.player != nil && c.player.frames > 0 && c.player.shown }
	w.Until("the review", ready)
	assert.True(t, w.Shows("2026-12-05, 0:02"))
	shown := func() *annotated.Review { r, _ := w.Lesson().Reviews.Find("01J"); return &r }
	pass := func(from, to float64) {
		c.player.show(from)
		w.Click("The passage begins here")
		c.player.show(to)
		w.Click("The passage ends here")
	}
	// A cough is silenced, and heard again.
	pass(1, 1.25)
	w.Click("Silence the passage")
	assert.Equal(t, []annotated.Span{{From: 1, To: 1.25}}, shown().Silenced)
	w.Until("the review with its cough silenced", ready)
	assert.True(t, w.Shows("Let the passage be heard"))
	w.Click("Let the passage be heard")
	assert.Empty(t, shown().Silenced)
	w.Open.Bench.Undo()
	assert.Len(t, shown().Silenced, 1)
	w.Until("the review as it is now", ready)

	pass(0, 0.5)
	w.Click("Cut the passage")
	assert.Equal(t, []annotated.Span{{From: 0, To: 0.5}}, shown().Cuts)
	w.Until("what is left", func() bool { return ready() && c.player.frames == 45 })
	w.Click("Shorten pauses")
	assert.InDelta(t, longestPause, shown().LongestPause, 1e-9)
	w.Until("the review without its pauses", ready)
	w.Click("Shorten pauses")
	assert.Zero(t, shown().LongestPause)
	w.Until("all of it", ready)

	// The drawing is shown from another time on.
	w.Click("Choose the next drawing")
	c.player.show(0.25)
	w.Click("The drawing is shown from here")
	assert.Equal(t, []annotated.Moved{{ID: "d1", From: 0.75, To: 2}}, shown().Moved)
	w.Until("the moved drawing", ready)
	w.Click("Bring back what was mended")
	assert.Empty(t, shown().Cuts)
	assert.Empty(t, shown().Silenced)
	assert.Empty(t, shown().Moved)
	w.Until("the review as it was recorded", ready)
	w.Open.Bench.Undo()
	assert.Len(t, shown().Cuts, 1)
	w.Until("the review as it is now", ready)
	w.Open.Bench.Redo()
	assert.Empty(t, shown().Cuts)
	w.Until("the review as it was recorded", ready)
	w.Click("Undo")
	w.Click("Redo")
	assert.Equal(t, []string{"undo", "redo"}, w.Ran)
	c.title.SetText("For Mara")
	w.Frame()
	w.Frame()
	c.caption.SetText("Hips first.")
	r.edit(annotated.Review{ID: "01J", Title: "For Mara", List: entry.List, Voice: entry.Voice, Captions: captioned(nil, annotated.Caption{From: 0.5, To: 1.5, Text: "Hips first."})}, "write a caption of the review")
	w.Until("the review with its caption", ready)
	c.player.show(0.6)
	w.Frame()
	w.Frame()
	assert.Equal(t, "Hips first.", c.caption.Text(), "the caption of the moment can be written anew")
	assert.True(t, w.Shows("Take out the caption"))
	for _, wish := range []string{"Less noise", "8 MB", "upright, on a phone", "Captions on the pictures"} {
		w.Click(wish)
	}
	wished := film.Request{Review: *shown()}
	c.ask(&wished)
	assert.Equal(t, film.Request{Review: *shown(), Denoise: true, MostMB: 8, Size: takehome.Phone}, wished)
	w.Click("Make the film")
	w.Until("the film", func() bool { return !c.busy })
	assert.FileExists(t, filepath.Join(folder, shown().Film))
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

// A passage is said anew: what is told then stands in its place, the old one is kept, and one
// undo brings it back.
func TestSayingAnew(t *testing.T) {
	w, r, _ := window(t, true)
	entry := oldReview(t, w, r)
	c := r.Card()
	c.open()
	ready := func() bool { return c.player != nil && c.player.frames > 0 && c.player.shown }
	w.Until("the review", ready)
	c.from, c.to = 0.5, 1
	w.Frame()
	w.Click("Say the passage anew")
	require.True(t, r.Recording())
	assert.False(t, c.IsOpen(), "the lesson is to be seen")
	require.Len(t, w.Lesson().Reviews[0].Takes, 1, "nothing is lost of one that is broken off")
	r.recorder.Show(r.state())
	require.Eventually(t, func() bool { return r.recorder.Elapsed() > 0.2 }, time.Minute, time.Millisecond)
	r.finish()
	got := w.Lesson().Reviews[0]
	require.Len(t, got.Takes, 1)
	assert.Equal(t, []annotated.Span{{From: 0.5, To: 1}}, got.Takes[0].Instead)
	assert.Equal(t, 2.0, got.Takes[0].Clock)
	assert.Equal(t, entry.List, got.List)
	w.Until("the card again", func() bool { return c.IsOpen() && ready() })
	assert.InDelta(t, 1.5+got.Takes[0].Seconds, c.player.seconds(), 0.1)
	assert.InDelta(t, 0.5, c.player.at, 0.05, "where the passage begins")
	list, voice := entry.Files(filepath.Dir(w.Open.Path))
	assert.FileExists(t, list)
	assert.FileExists(t, voice)
	w.Open.Bench.Undo()
	assert.Empty(t, w.Lesson().Reviews[0].Takes)
}

// A review that is begun from a finding begins with its card and its row.
func TestBegunFromAFinding(t *testing.T) {
	w, r, row := window(t, false)
	f := annotations.Finding{ID: "f9", Text: "Stand closer.", Measure: "pelvis turn", Position: "top"}
	w.Open.Show().Position = "top"
	r.Talk(f)
	require.True(t, r.Recording())
	w.Frame()
	assert.True(t, w.Shows("Say: Stand closer."))
	assert.Equal(t, "Stand closer.", r.cards[0].text)
	assert.Equal(t, &annotated.Row{Measure: "pelvis turn", Position: "top"}, r.state().Row)
	*row = "torso turn @ top"
	assert.Equal(t, "torso turn", r.state().Row.Measure)
	*row = ""
	w.Open.Show().Position = "impact"
	assert.Nil(t, r.state().Row, "it is about another key position now")
	recorder := r.recorder
	r.Talk(f)
	assert.Same(t, recorder, r.recorder, "while one is recorded the finding is only shown")
	r.finish()

	// More cards than there is room for: the next that is to be said is among them.
	for range 9 {
		r.cards = append(r.cards, plan{})
	}
	for k, want := range map[int][2]int{0: {0, 4}, 1: {0, 4}, 3: {2, 6}, 9: {5, 9}} {
		for i := range r.cards {
			r.cards[i].said = i < k
		}
		from, to := r.seen(4)
		assert.Equal(t, want, [2]int{from, to}, k)
	}
}
