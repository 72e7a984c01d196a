package panel

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/visit"
)

// TestWhatWasStoppedGoesOn: a window that opens a lesson after a stop shows the card again,
// arranged as it was, goes on proposing and watching, and forgets all that once it is done.
func TestWhatWasStoppedGoesOn(t *testing.T) {
	t.Parallel()
	r, w, _ := newCard(t)
	r.LessonOpened()
	r.paths = []string{r.found.Films[0].Path, r.found.Films[1].Path}
	r.change(func(v *visit.Visit) { v.Move(visit.Place{Row: 0, View: 1}, visit.Place{Row: 2, View: 1}) })
	w.Click("Take in Swing 2")
	noted := r.diary.Read(w.Open.Path)
	assert.Equal(t, r.paths, noted.Clips)
	require.NotNil(t, noted.Arrangement)
	assert.True(t, noted.Arrangement.Rows[1].Leave)

	// Another window: the card is there, looking; the clips of nothing hold no swing, so that
	// what was arranged no longer fits.
	again := New(w, w.Dirs, func(string) {})
	again.LessonOpened()
	require.True(t, again.IsOpen())
	assert.Equal(t, noted.Arrangement, again.arranged)
	assert.Equal(t, noted, r.diary.Read(w.Open.Path), "nothing is lost while it looks")
	w.Until("what is found", func() bool { return again.found != nil })
	assert.True(t, again.Escape())
	assert.Equal(t, visit.UnderWay{}, r.diary.Read(w.Open.Path))

	// The swings are added, and the window is stopped before their marks are proposed.
	r.LessonOpened()
	r.note()
	r.addSwings() // what is proposed meanwhile comes with the next frame
	noted = r.diary.Read(w.Open.Path)
	require.Len(t, noted.Added, 2)
	assert.Equal(t, r.paths, noted.Clips, "the document may not be saved yet")
	folder := t.TempDir()
	r.beginWatch(w.Open, folder, []string{"old.mp4"})
	w.Until("the folder", func() bool { return r.diary.Read(w.Open.Path).Folder == folder })
	r.stopWatch() // as the program's end does
	w.Open.StopProposing()
	assert.Nil(t, r.diary.Read(w.Open.Path).Added, "the coach has stopped it")
	noted.Folder, noted.Before = folder, []string{"old.mp4"}
	r.diary.Write(w.Open.Path, &noted)

	again = New(w, w.Dirs, func(string) {})
	again.LessonOpened()
	assert.False(t, again.IsOpen(), "its clips are part of the lesson")
	_, on := w.Open.Proposing()
	assert.True(t, on)
	assert.Equal(t, folder, again.Watching())
	again.LessonClosed()
	noted = r.diary.Read(w.Open.Path)
	assert.Empty(t, noted.Folder, "a lesson that is closed is watched no longer")
	assert.Len(t, noted.Added, 2, "but what is begun goes on")
	w.Open.StopProposing()

	gone := filepath.Join(t.TempDir(), "gone")
	require.NoError(t, os.Mkdir(gone, 0o700))
	r.diary.Write(w.Open.Path, &visit.UnderWay{Folder: gone, Before: []string{}})
	require.NoError(t, os.Remove(gone))
	again = New(w, w.Dirs, func(string) {})
	again.LessonOpened()
	w.Until("the trouble", func() bool { return len(w.Alerts) > 0 })
	assert.Empty(t, again.Watching())
}
