package preferences

import (
	"image"
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/shelf/shelftest"
	"turngauge/ui/shelf/worker"
)

type test struct {
	*kittest.Window
	r       *Room
	shelf   *worker.Client
	limit   int64
	rewrote int
}

func newTest(t *testing.T) *test {
	t.Helper()
	h := &test{}
	h.Window = kittest.New(t, nil, func(w *kittest.Window) kit.Room {
		h.shelf = shelftest.Client(w)
		h.r = New(w, h.shelf, Doors{
			LimitCache: func(bytes int64) { h.limit = bytes },
			JudgeAnew:  func() { h.rewrote++ },
			Help:       func(id string) string { return id },
		})
		return h.r
	})
	h.r.FitText(image.Pt(1600, 1000))
	return h
}

func TestTextIsNeverLargerThanTheWindowHoldsIt(t *testing.T) {
	h := newTest(t)
	h.Settings().TextScale = 2
	h.r.FitText(image.Pt(1600, 1000))
	assert.InDelta(t, 2, h.Theme().TextScale, 1e-6)
	h.r.FitText(image.Pt(1100, 700))
	assert.InDelta(t, 1.375, h.Theme().TextScale, 1e-6)
	h.Key("=", key.ModCtrl)
	require.NotEmpty(t, h.Notes)
	assert.Contains(t, h.Notes[0], "at most")
	h.Key("-", key.ModCtrl)
	assert.InDelta(t, 1.375/1.1, h.Theme().TextScale, 1e-4, "smaller than what is shown")
	assert.InDelta(t, 1.375/1.1, h.Dirs.Settings().TextScale, 1e-4)
}

func TestWhatIsChosenIsKept(t *testing.T) {
	h := newTest(t)
	h.Key(",", key.ModCtrl)
	h.Frame()
	for _, label := range []string{"light", "inches", "Letter", "2 GB"} {
		h.Click(label)
	}
	got := h.Dirs.Settings()
	assert.True(t, got.Light)
	assert.True(t, got.Imperial)
	assert.True(t, got.LetterPaper)
	assert.EqualValues(t, 2048, got.CacheMB)
	assert.EqualValues(t, 2<<30, h.limit)
	assert.Equal(t, 1, h.rewrote)
	h.Click("Done")
	assert.False(t, h.r.IsOpen())
	h.Key("D", key.ModCtrl)
	assert.False(t, h.Dirs.Settings().Light)
}

func TestLibraryIsMoved(t *testing.T) {
	h := newTest(t)
	shelftest.Open(t, h.Window, h.shelf, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"))
	was := h.shelf.Folder()
	to := filepath.Join(t.TempDir(), "on another disk")
	h.Key(",", key.ModCtrl)
	h.Frame()
	assert.Equal(t, was, h.r.library.Text())
	h.r.library.SetText("nowhere")
	h.Frame()
	h.Click("Move the library there")
	require.NotEmpty(t, h.Alerts)
	assert.Contains(t, h.Alerts[0], "whole path")
	h.r.library.SetText(to)
	h.Frame()
	h.Click("Move the library there")
	h.Until("the move", func() bool { return h.Dirs.Library() == to })
	assert.Equal(t, to, h.shelf.Folder())
	assert.FileExists(t, filepath.Join(to, "library.db"))
	assert.NoFileExists(t, filepath.Join(was, "library.db"))
	h.Click("Target ranges …")
	assert.Equal(t, []string{"ranges"}, h.Ran)
	assert.False(t, h.r.IsOpen())
}
