package home

import (
	"image"
	"path/filepath"
	"testing"

	"gioui.org/layout"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

// shelf is a library of which nothing but its place is of interest.
type shelf struct{ shown bool }

func (s *shelf) Shown() bool               { return s.shown }
func (s *shelf) Update(gtx layout.Context) {}
func (s *shelf) Panel(gtx layout.Context) layout.Dimensions {
	kit.Named(gtx, image.Rectangle{Max: gtx.Constraints.Max}, "The library")
	return layout.Dimensions{Size: gtx.Constraints.Max}
}

func TestRecentLessonsAreOfferedUntilThereIsALibrary(t *testing.T) {
	var r *Room
	var opened []string
	begun := 0
	s := &shelf{}
	w := kittest.New(t, nil, func(w *kittest.Window) kit.Room {
		l := annotations.NewLesson()
		l.Student.Name = "Mara Lindqvist"
		path := filepath.Join(t.TempDir(), "visit.json")
		require.NoError(t, annotations.Save(path, l))
		w.Dirs.Remember(path, l)
		r = New(w, w.Dirs, s, Doors{
			Lesson: func(path string) { opened = append(opened, path) }, NewStudent: func() { begun++ },
			Region: func(string, image.Rectangle) {},
		})
		return r
	})
	require.Len(t, r.recents, 1)
	w.Click("Open the lesson of Mara Lindqvist")
	assert.Equal(t, []string{r.recents[0].Path}, opened)
	w.Click("New student")
	assert.Equal(t, 1, begun)
	w.Click("Open …")
	assert.Equal(t, []string{"open"}, w.Ran)
	assert.False(t, w.Shows("The library"))
	s.shown = true
	w.Frame()
	assert.True(t, w.Shows("The library"))
	assert.False(t, w.Shows("Recent lessons"), "the library has them")
	assert.True(t, w.Shows(kit.Caution))
}
