package visit

import (
	"image"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/video"
	"turngauge/video/sound"
	"turngauge/video/take"
)

// film is a film of nothing with swings at the given seconds; of its sounds, those of the
// neighbours are heard too.
func film(t *testing.T, dir, name string, view geometry.View, swings []float64, neighbours ...float64) *Film {
	t.Helper()
	path := filepath.Join(dir, name)
	w, err := video.Create(path, video.WriterOptions{Width: 64, Height: 48, RateNum: 30, RateDen: 1, CRF: 30, Preset: "ultrafast", GOP: 30})
	require.NoError(t, err)
	for range 90 {
		require.NoError(t, w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 64, 48))))
	}
	require.NoError(t, w.Close())
	x, err := video.ReadIndex(t.Context(), path)
	require.NoError(t, err)
	f := &Film{Path: path, Index: x, View: view, ViewSure: true, Pictures: make([]*image.RGBA, len(swings))}
	at := append([]float64(nil), neighbours...)
	for _, s := range swings {
		f.Swings = append(f.Swings, take.Swing{Strike: s, Heard: true, First: 10, Last: 40})
		at = append(at, s)
	}
	for _, s := range at {
		f.Strikes = append(f.Strikes, sound.Strike{Seconds: s})
	}
	for i := range f.Strikes {
		for k := i; k > 0 && f.Strikes[k].Seconds < f.Strikes[k-1].Seconds; k-- {
			f.Strikes[k], f.Strikes[k-1] = f.Strikes[k-1], f.Strikes[k]
		}
	}
	return f
}

// pairs says which swings of which films the rows show.
func pairs(v *Visit) [][2]string {
	var out [][2]string
	for _, r := range v.Rows {
		var row [2]string
		for k, s := range r.Shots {
			if s.Film != nil {
				row[k] = s.Film.Name() + string(rune('1'+s.Swing))
			}
		}
		out = append(out, row)
	}
	return out
}

// TestTwoTakesArePaired by the sequence of their strikes: the second phone was started
// after the first swing, and missed the last one's sound.
func TestTwoTakesArePaired(t *testing.T) {
	dir := t.TempDir()
	v := &Visit{Films: []*Film{
		film(t, dir, "a", geometry.FaceOn, []float64{10, 31, 60, 75}, 20, 50),
		film(t, dir, "b", geometry.DownTheLine, []float64{11, 40}, 0.1, 30),
	}}
	v.pair()
	assert.Equal(t, [][2]string{{"a1", ""}, {"a2", "b1"}, {"a3", "b2"}, {"a4", ""}}, pairs(v))
	assert.Empty(t, v.Notes)
	assert.Equal(t, Place{2, 1}, v.Move(Place{1, 1}, Place{2, 1}))
	assert.Equal(t, [][2]string{{"a1", ""}, {"a2", "b2"}, {"a3", "b1"}, {"a4", ""}}, pairs(v))
	v.SwapViews()
	assert.Equal(t, [2]string{"b2", "a2"}, pairs(v)[1])
	assert.Equal(t, geometry.DownTheLine, v.Films[0].View)
}

// TestSingleClipsArePairedByTheirOrder where nothing else tells, and the coach is told so.
func TestSingleClipsArePairedByTheirOrder(t *testing.T) {
	dir := t.TempDir()
	v := &Visit{Films: []*Film{
		film(t, dir, "side2", geometry.DownTheLine, []float64{2}), film(t, dir, "front1", geometry.FaceOn, []float64{1.5}),
		film(t, dir, "front2", geometry.FaceOn, []float64{2.2}), film(t, dir, "side1", geometry.DownTheLine, []float64{1.1}),
	}}
	v.pair()
	assert.Equal(t, [][2]string{{"front11", "side11"}, {"front21", "side21"}}, pairs(v))
	require.Len(t, v.Notes, 2)
	assert.Contains(t, v.Notes[0], "by the order in which they come")
}

// TestSwingsOfALesson: rows that are left out stay out, several swings of one file are
// parts of it, and a file below the lesson's folder is named from there.
func TestSwingsOfALesson(t *testing.T) {
	dir := t.TempDir()
	v := &Visit{Films: []*Film{film(t, dir, "a.mp4", geometry.FaceOn, []float64{1, 2})}}
	v.pair()
	require.Len(t, v.Rows, 2)
	v.Rows[1].Practice = true
	swings, found := v.Swings(filepath.Dir(dir), "open stance", annotations.Club{Name: "7-iron"})
	require.Len(t, swings, 2)
	assert.Equal(t, []string{"open stance", PracticeSwing}, []string{swings[0].Label, swings[1].Label})
	c := swings[0].Clips[0]
	assert.Equal(t, filepath.Base(dir)+"/a.mp4", c.File)
	assert.Equal(t, annotations.Part{First: 10, Last: 40}, c.Part)
	assert.Equal(t, 1.0, found[swings[0].ID][c.ID].Strike)
	l := annotations.NewLesson()
	l.Swings = swings
	assert.NoError(t, l.Validate())

	v.Rows[1].Leave = true
	swings, _ = v.Swings(t.TempDir(), "", annotations.Club{})
	require.Len(t, swings, 1)
	assert.Equal(t, v.Films[0].Path, swings[0].Clips[0].File)
}

// TestLookSaysWhatIsLeftAside: a file that is no clip, and a clip in which nobody swings.
func TestLookSaysWhatIsLeftAside(t *testing.T) {
	dir := t.TempDir()
	still := film(t, dir, "still.mp4", geometry.FaceOn, nil)
	last := 0.0
	v, err := Look(t.Context(), []string{still.Path, filepath.Join(dir, "none.mp4")}, Options{Progress: func(part float64) { last = part }})
	require.NoError(t, err)
	assert.Empty(t, v.Rows)
	require.Len(t, v.Notes, 2)
	assert.Contains(t, v.Notes[0], "still.mp4 is left aside")
	assert.Contains(t, v.Notes[1], "none.mp4")
	assert.InDelta(t, 1, last, 1e-9)
}
