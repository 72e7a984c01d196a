package panel

import (
	"image"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/visit"
	"turngauge/video"
	"turngauge/video/take"
)

// filmed writes a short clip of nothing, for what only needs a file.
func filmed(t *testing.T, name string) *visit.Film {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	w, err := video.Create(path, video.WriterOptions{Width: 64, Height: 48, RateNum: 60, RateDen: 1, CRF: 30, Preset: "ultrafast", GOP: 30})
	require.NoError(t, err)
	for range 240 {
		require.NoError(t, w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 64, 48))))
	}
	require.NoError(t, w.Close())
	x, err := video.ReadIndex(t.Context(), path)
	require.NoError(t, err)
	return &visit.Film{Path: path, Index: x}
}

// newCard is a window with the card, open on a visit of three swings of which the second
// has no ball.
func newCard(t *testing.T) (*Room, *kittest.Window, *[]string) {
	t.Helper()
	shown := new([]string)
	var r *Room
	w := kittest.New(t, &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1", Label: "Swing 1", Club: annotations.Club{Name: "7-iron"}}}},
		func(w *kittest.Window) kit.Room {
			r = New(w, w.Dirs, func(id string) {
				*shown = append(*shown, id)
				w.Open.ShowSwing(id)
			})
			return r
		})
	v := &visit.Visit{Notes: []string{"front.mp4 is taken for face-on, which its picture does not show for sure: look at it."}}
	for i, name := range []string{"front.mp4", "side.mp4"} {
		f := filmed(t, name)
		f.View = columns[i]
		for k := range 3 {
			f.Swings = append(f.Swings, take.Swing{Strike: 1 + float64(k), Heard: k != 1, First: 60 * k, Last: 60*k + 50})
			f.Pictures = append(f.Pictures, image.NewRGBA(image.Rectangle{Max: visit.PictureSize}))
		}
		v.Films = append(v.Films, f)
	}
	for k := range 3 {
		v.Rows = append(v.Rows, visit.Row{Shots: [2]visit.Shot{{Film: v.Films[0], Swing: k}, {Film: v.Films[1], Swing: k}}, Practice: k == 1})
	}
	r.state = state{Openable: kit.Opened(), lesson: w.Open}
	r.take(v)
	w.Frame()
	return r, w, shown
}

// TestChosenSwingsBecomeTheLesson: swings that are unticked stay out, the empty swing that
// a lesson begins with makes room, each is a part of its clip, and one undo takes all back.
func TestChosenSwingsBecomeTheLesson(t *testing.T) {
	r, w, shown := newCard(t)
	assert.True(t, w.Shows("Add 3 swings"))
	assert.True(t, w.Shows("front.mp4 is taken for face-on, which its picture does not show for sure: look at it."))
	w.Click("Take in Swing 3")
	w.Click("Add 2 swings")
	assert.False(t, r.IsOpen())
	require.Empty(t, w.Alerts)
	l := w.Lesson()
	require.Len(t, l.Swings, 2)
	assert.Equal(t, []string{l.Swings[0].ID}, *shown)
	assert.Equal(t, []string{visit.FullSwing, visit.PracticeSwing}, []string{l.Swings[0].Label, l.Swings[1].Label})
	for i, s := range l.Swings {
		assert.Equal(t, "7-iron", s.Club.Name)
		require.Len(t, s.Clips, 2)
		for k, c := range s.Clips {
			assert.Equal(t, columns[k], c.View)
			assert.Equal(t, annotations.Part{First: 60 * i, Last: 60*i + 50}, c.Part)
			_, err := os.Stat(c.PathIn(filepath.Dir(w.Open.Path)))
			assert.NoError(t, err)
		}
	}
	begun, _ := w.Open.Proposing() // which may have come to its end
	assert.Equal(t, 2, begun.Total, "marks are proposed in the background")
	w.Open.StopProposing()
	label, ok := w.Open.Bench.Editor().Undo()
	require.True(t, ok)
	assert.Equal(t, "add 2 swings", label)
	require.Len(t, w.Lesson().Swings, 1)
	assert.Equal(t, "s1", w.Lesson().Swings[0].ID)
}

// TestPicturesChangePlaces: two presses put another swing beside one, and Esc first lets
// go, then closes.
func TestPicturesChangePlaces(t *testing.T) {
	r, w, _ := newCard(t)
	w.Click("Swing 1, down-the-line: side.mp4, at 0:01.0")
	assert.True(t, r.holding)
	assert.True(t, r.Escape())
	assert.True(t, r.IsOpen())
	w.Frame()
	w.Click("Swing 1, down-the-line: side.mp4, at 0:01.0")
	assert.True(t, w.Shows("A picture put here becomes a swing of its own"))
	w.Click("Swing 3, down-the-line: side.mp4, at 0:03.0")
	assert.False(t, r.holding)
	assert.Equal(t, 2, r.found.Rows[0].Shots[1].Swing)
	assert.Equal(t, 0, r.found.Rows[2].Shots[1].Swing)
	w.Frame()
	w.Click("Swap the views")
	assert.Equal(t, geometry.DownTheLine, r.found.Films[0].View)
	assert.Equal(t, r.found.Films[1], r.found.Rows[0].Shots[0].Film)
	assert.True(t, r.Escape())
	assert.False(t, r.IsOpen())
	require.Len(t, w.Lesson().Swings, 1)
}

// TestWhatHoldsNoSwingIsToldSo looks through a clip in which nothing moves.
func TestWhatHoldsNoSwingIsToldSo(t *testing.T) {
	var r *Room
	w := kittest.New(t, &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}}, func(w *kittest.Window) kit.Room {
		r = New(w, w.Dirs, func(string) {})
		return r
	})
	r.Open([]string{filmed(t, "still.mp4").Path})
	w.Until("what was found", func() bool { return r.found != nil })
	w.Frame()
	assert.True(t, w.Shows("No swing is chosen"))
	assert.True(t, w.Shows("still.mp4 is left aside: no swing with a strike is found in it."))
	assert.True(t, r.Escape())
}

// TestAFolderIsWatched: the coach chooses it, what comes in later is taken
// into the lesson that was open then, and the same command ends it.
func TestAFolderIsWatched(t *testing.T) {
	r, w, _ := newCard(t)
	v := r.found
	r.close()
	r.watchFolder()
	require.Len(t, w.Asked, 1)
	still := filmed(t, "still.mp4").Path
	assert.True(t, w.Asked[0].Folder)
	w.Answer(filepath.Dir(still))
	assert.Equal(t, filepath.Dir(still), r.Watching())

	r.arrived(t.Context(), w.Open, []string{still})
	told := func(text string) func() bool {
		return func() bool {
			return slices.ContainsFunc(w.Notes, func(n bench.Note) bool { return strings.Contains(string(n), text) })
		}
	}
	w.Until("what was found", told("still.mp4 is left aside"))
	require.Len(t, w.Lesson().Swings, 1)

	r.addRows(w.Open, v)
	require.Len(t, w.Lesson().Swings, 3, "the empty one has made room")
	r.addRows(w.Open, v)
	require.Len(t, w.Lesson().Swings, 6)
	_, on := w.Open.Proposing()
	assert.True(t, on)
	w.Open.StopProposing()

	r.watchFolder()
	assert.Empty(t, r.Watching())
	r.beginWatch(w.Open, filepath.Dir(still), nil)
	r.LessonClosed()
	assert.Empty(t, r.Watching())
	r.beginWatch(w.Open, filepath.Join(filepath.Dir(still), "none"), nil)
	w.Until("the trouble", func() bool { return len(w.Alerts) > 0 })
	assert.Empty(t, r.Watching())
}
