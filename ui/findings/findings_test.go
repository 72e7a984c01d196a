package findings

import (
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// newRoom is the panel, open, on a marked swing that surely breaks a target range
// of the coach's own, a stance of 20 cm at most, and what the rules propose of it.
func newRoom(t *testing.T) (r *Room, w *kittest.Window, wide annotations.Proposal, shown *[]string) {
	t.Helper()
	l, _, err := annotations.Load("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	var narrow annotations.Targets
	require.NoError(t, narrow.UnmarshalJSON([]byte(`[{"measure": "stance width over shoulder breadth", "position": "address", "clubs": "mid-iron", "high": 0.5, "source": "mine"}]`)))
	shown = new([]string)
	w = kittest.New(t, l, func(w *kittest.Window) kit.Room {
		w.Env.Terms = func() session.Terms { return session.Terms{Targets: narrow, Rules: annotations.DefaultRules()} }
		w.Open.SolveAnew()
		return New(w, worker.NewClient(&w.Work, w.Alert), Doors{
			Terms: w.Env.Terms,
			Talk:  func(f annotations.Finding) { *shown = append(*shown, "talk: "+f.Text) },
			Show:  func(measure string, at geometry.PositionName) { *shown = append(*shown, measure+", "+string(at)) },
		})
	})
	r = w.Room.(*Room)
	w.Until("the proposal", func() bool { return len(w.Open.Result.Findings) > 0 && w.Open.Result.Findings[0].Rule == "stance wide" })
	wide = w.Open.Result.Findings[0]
	w.Key("K", 0)
	w.Frame()
	require.True(t, r.Shown())
	return r, w, wide, shown
}

func TestWhatIsTakenHomeIsWrittenByAKey(t *testing.T) {
	r, w, _, _ := newRoom(t)
	require.True(t, w.Shows("Write what is taken home"))
	r.handout.elsewhere = true
	r.handout.folder.SetText("/nowhere/at/all")
	w.Key("K", key.ModCtrl|key.ModShift)
	require.Len(t, w.Alerts, 1)
	assert.Contains(t, w.Alerts[0], "There is no folder /nowhere/at/all")
}

func TestUndoShowsInTheFields(t *testing.T) {
	r, w, wide, shown := newRoom(t)
	w.Click("Show: " + wide.Text)
	assert.Equal(t, []string{wide.Measure + ", address"}, *shown)
	w.Click("Tell the student: " + wide.Text)
	w.Frame()
	require.Len(t, w.Open.Bench.Swing().Findings, 1)
	f := w.Open.Bench.Swing().Findings[0]
	assert.Equal(t, wide.Text, r.taken[f.ID].field.Text())
	f.Text = "Narrower."
	require.NoError(t, w.Open.Edit(annotations.SetFinding{Swing: w.Open.Bench.Swing().ID, Finding: f}))
	w.Frame()
	assert.Equal(t, "Narrower.", r.taken[f.ID].field.Text())
	w.Open.Bench.Undo()
	w.Frame()
	assert.Equal(t, wide.Text, r.taken[f.ID].field.Text())
}

func TestSuggestionOfTheRuleFillsTheField(t *testing.T) {
	r, w, wide, _ := newRoom(t)
	const use = "Use: Bring the feet closer together by about the width of a shoe."
	assert.False(t, w.Shows(use), "the finding is not told yet")
	w.Click("Tell the student: " + wide.Text)
	w.Frame()
	w.Click(use)
	w.Frame()
	assert.False(t, w.Shows(use), "it is taken")
	assert.Equal(t, []string{use[len("Use: "):]}, w.Lesson().Prescription.SetUp)
	assert.Equal(t, use[len("Use: "):], r.setUp[0].Text())
}

// What is written in the second field while the first is empty is the lesson's
// first, and moves up once nothing is written any more.
func TestSetUpFieldsMoveUp(t *testing.T) {
	r, w, _, _ := newRoom(t)
	w.Click("Second set-up change")
	w.Send(key.EditEvent{Text: "Ball"})
	w.Frame()
	assert.True(t, r.HoldsKeys())
	assert.Equal(t, []string{"Ball"}, w.Lesson().Prescription.SetUp)
	w.Key(key.NameEscape, 0)
	w.Frame()
	w.Frame()
	assert.False(t, r.HoldsKeys())
	assert.Equal(t, "Ball", r.setUp[0].Text())
	assert.Empty(t, r.setUp[1].Text())
}

func TestPanelForgetsTheLesson(t *testing.T) {
	r, w, wide, _ := newRoom(t)
	w.Click("Leave it: " + wide.Text)
	w.Frame()
	assert.False(t, w.Shows("Leave it: "+wide.Text))
	r.LessonClosed()
	assert.False(t, r.Shown())
	w.Key("K", 0)
	w.Frame()
	assert.True(t, w.Shows("Leave it: "+wide.Text), "that was said of another lesson")
}

// A finding of the coach's own takes the number of a measure as it is, and each way of
// changing it is a step of undo of its own.
func TestAFindingTakesAMeasure(t *testing.T) {
	r, w, _, _ := newRoom(t)
	w.Click("Write one of your own")
	w.Frame()
	w.Send(key.EditEvent{Text: "Look at your hips."})
	w.Frame()
	w.Frame()
	only := func() annotations.Finding {
		require.Len(t, w.Lesson().Swings[0].Findings, 1)
		return w.Lesson().Swings[0].Findings[0]
	}
	assert.Equal(t, "Look at your hips.", only().Text)
	w.Click("Choose a measure")
	w.Frame()
	w.Frame()
	assert.True(t, r.HoldsKeys(), "a part of its name can be typed at once")
	w.Send(key.EditEvent{Text: "top pelvis turn"})
	w.Frame()
	w.Frame()
	m := r.matching("top pelvis turn")
	require.NotEmpty(t, m)
	name := "Pelvis turn, top: " + words.Told(m[0].Unit, false).WithInterval(m[0].Value, m[0].Low95, m[0].High95)
	require.True(t, w.Shows(name), name)
	w.Click(name)
	w.Frame()
	f := only()
	assert.Equal(t, []any{"pelvis turn", geometry.Top, m[0].Value, m[0].Low95, m[0].High95}, []any{f.Measure, f.Position, f.Value, f.Low95, f.High95})
	w.Click("Take the measure out")
	w.Frame()
	assert.Empty(t, only().Measure)
	w.Open.Bench.Undo()
	assert.Equal(t, "pelvis turn", only().Measure)
	w.Open.Bench.Undo()
	assert.Empty(t, only().Measure)
	assert.Equal(t, "Look at your hips.", only().Text)
}

// film is a clip of 100 frames without pictures.
type film struct{}

func (film) Frames() int           { return 100 }
func (film) PTS(n int) int64       { return int64(n) * 64 }
func (film) Seconds(n int) float64 { return float64(n) / 240 }
func (film) FrameAt(s float64) int { return int(s * 240) }

// The frame on the active stage is taken while a finding is being written, before its
// first letter, and goes out and comes back by undo.
func TestAFindingTakesTheFrameOnTheStage(t *testing.T) {
	_, w, _, _ := newRoom(t)
	b := w.Open.Bench
	st := &b.Stages[b.Active]
	st.Film, st.Frame = film{}, 17
	w.Click("Write one of your own")
	w.Frame()
	w.Click("This frame")
	w.Frame()
	w.Click("Finding in your own words")
	w.Frame()
	w.Send(key.EditEvent{Text: "Here."})
	w.Frame()
	w.Frame()
	frame := func() annotations.FrameRef { return w.Lesson().Swings[0].Findings[0].Frame }
	assert.Equal(t, annotations.FrameRef{Clip: st.Clip, Index: 17, PTS: 17 * 64}, frame())
	st.Frame = 30
	w.Key(key.NameEscape, 0)
	w.Frame()
	w.Key("K", key.ModCtrl)
	w.Frame()
	assert.Equal(t, 30, frame().Index)
	w.Click("Take the picture out")
	w.Frame()
	assert.Empty(t, frame().Clip)
	b.Undo()
	assert.Equal(t, 30, frame().Index)
}

// What the student asked is the lesson's, and undone like the rest; a finding is talked through.
func TestQuestionAndTalking(t *testing.T) {
	r, w, wide, shown := newRoom(t)
	require.True(t, w.Shows("What the student asked"))
	r.question.SetText("Why do I slice?")
	w.Frame()
	w.Frame()
	assert.Equal(t, "Why do I slice?", w.Lesson().Question)
	data, err := w.Lesson().Encode()
	require.NoError(t, err)
	back, _, err := annotations.Decode(data)
	require.NoError(t, err)
	assert.Equal(t, "Why do I slice?", back.Question)
	w.Open.Bench.Undo()
	w.Frame()
	assert.Empty(t, r.question.Text())
	w.Click("Tell the student: " + wide.Text)
	w.Frame()
	w.Click("Talk through: " + wide.Text)
	assert.Equal(t, []string{"talk: " + wide.Text}, *shown)
}
