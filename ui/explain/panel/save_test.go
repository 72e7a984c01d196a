package panel

import (
	"os"
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

// newCard is the card that asks for a name, on a lesson without clips.
func newCard(t *testing.T) (*SaveCard, *kittest.Window) {
	t.Helper()
	l := annotations.NewLesson()
	l.Date, l.Student.Name = "2026-05-02", "Mara Lindqvist"
	l.Swings = []annotations.Swing{{ID: "s1", Label: "7-iron"}}
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room {
		return New(w, Doors{
			Shown: func() []int { return []int{0} }, Size: func(int) bench.Size { return bench.Size{W: 600, H: 400} },
			Button:  func(layout.Context, string, draw.ButtonStyle) layout.Dimensions { return layout.Dimensions{} },
			Buttons: func(layout.Context, []kit.GuideButton) layout.Dimensions { return layout.Dimensions{} },
			Begun:   func() {},
		}).SaveCard()
	})
	return w.Room.(*SaveCard), w
}

func TestAPlaceThatWillNotDoIsNamed(t *testing.T) {
	s, w := newCard(t)
	dir := t.TempDir()
	file := filepath.Join(dir, "mine.png")
	require.NoError(t, os.WriteFile(file, []byte("mine"), 0o644))
	for _, c := range []struct{ folder, name, says string }{
		{"here", "a.png", "A whole path, such as /home/me/Pictures."},
		{filepath.Join(dir, "gone"), "a.png", "There is no such folder. Choose another, or make it first."},
		{file, "a.png", "This is a file, not a folder."},
		{dir, "", "Give it a name."},
		{dir, "a/b.png", "A name without “/”: the folder stands below."},
		{dir, "mine", "A file of this name is there already. Change the name, or replace it."},
	} {
		s.room.askStill()
		w.Frame()
		assert.Contains(t, s.name.Text(), "Mara Lindqvist 2026-05-02")
		s.folder.SetText(c.folder)
		s.name.SetText(c.name)
		w.Frame()
		w.Click("Save")
		w.Frame()
		assert.True(t, w.Shows(c.says), c.says)
		w.Key(key.NameEscape, 0)
		assert.False(t, s.IsOpen())
	}
}

func TestLinesAreReadAsTheyWereWritten(t *testing.T) {
	assert.Equal(t, usualLines, linesOf(""))
	for _, on := range []explain.Set{{}, usualLines, {explain.TrunkLine: true}} {
		assert.Equal(t, on, linesOf(lineNames(on)))
	}
}

func TestANewFileNeverTakesTheOldOnesPlace(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.png")
	require.NoError(t, writeStill(path, []byte("one"), false))
	assert.ErrorIs(t, writeStill(path, []byte("two"), false), os.ErrExist)
	got, _ := os.ReadFile(path)
	assert.Equal(t, "one", string(got))
	require.NoError(t, writeStill(path, []byte("two"), true))
	got, _ = os.ReadFile(path)
	assert.Equal(t, "two", string(got))
	assert.Error(t, writeStill(filepath.Join(t.TempDir(), "gone", "a.png"), nil, false))
	entries, _ := os.ReadDir(filepath.Dir(path))
	assert.Len(t, entries, 1)
}
