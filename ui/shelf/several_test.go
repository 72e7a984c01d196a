package shelf

import (
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"

	"turngauge/annotations/library"
	"turngauge/ui/kit"
	"turngauge/ui/shelf/shelftest"
)

// titles are those of the chosen lessons.
func (h *test) titles() (out []string) {
	for _, e := range h.r.several() {
		out = append(out, e.Title)
	}
	return out
}

// Lessons are chosen as files are, with Ctrl, Shift and the arrows, deleted together and got
// back together.
func TestSeveralLessonsAreChosen(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First", "2026-05-02"), shelftest.Visit("Mara Lindqvist", "Second", "2026-05-09"),
		shelftest.Visit("Bjørn Håland", "Third", "2026-05-16"), shelftest.Visit("Mara Lindqvist", "Fourth", "2026-05-23"))
	r := h.r
	h.Frame()
	label := func(i int) string {
		return "Lesson " + kit.Joined(r.lessons[i].Student, r.lessons[i].Date, r.lessons[i].Title)
	}
	title := func(rows ...int) (out []string) {
		for _, i := range rows {
			out = append(out, r.lessons[i].Title)
		}
		return out
	}
	h.Click(label(1))
	assert.Equal(t, title(1), h.titles())
	h.ClickWith(label(3), key.ModCtrl)
	assert.Equal(t, title(1, 3), h.titles())
	h.ClickWith(label(1), key.ModCtrl)
	assert.Equal(t, title(3), h.titles(), "taken out")
	h.ClickWith(label(3), key.ModCtrl)
	assert.Equal(t, title(3), h.titles(), "the last one stays")
	h.ClickWith(label(2), key.ModShift)
	assert.Equal(t, title(2, 3), h.titles())
	h.ClickWith(label(0), key.ModShift)
	assert.Equal(t, title(0, 1, 2, 3), h.titles(), "from where the range began")
	h.Click(label(0))
	assert.Equal(t, title(0), h.titles())

	h.Key("L", key.ModCtrl)
	h.Frame()
	h.Key(key.NameDownArrow, key.ModShift)
	h.Key(key.NameDownArrow, key.ModShift)
	h.Key(key.NameUpArrow, key.ModShift)
	assert.Equal(t, title(0, 1), h.titles())
	gone, rest := r.several(), r.lessons[2].Title
	h.Click("Delete 2 lessons")
	h.Until("two lessons", func() bool { return len(r.lessons) == 2 && len(r.deleted) == 2 })
	assert.Equal(t, []string{rest}, h.titles(), "the one behind them")
	for _, e := range gone {
		assert.NoFileExists(t, e.Path)
	}
	h.Key("Z", key.ModCtrl)
	h.Until("all lessons", func() bool { return len(r.lessons) == 4 && r.deleted == nil })
	h.Click(label(1))
	behind := r.lessons[2].Title
	h.Click("Delete the lesson")
	h.Until("three lessons", func() bool { return len(r.lessons) == 3 })
	assert.Equal(t, []string{behind}, h.titles(), "not the one before it")
	h.Key("Z", key.ModCtrl)
	h.Until("all lessons", func() bool { return len(r.lessons) == 4 && r.deleted == nil })
	for _, e := range gone {
		assert.FileExists(t, e.Path)
	}
}

// Several lessons go into one file.
func TestSeveralLessonsAreExported(t *testing.T) {
	h := newTest(t, shelftest.Visit("Mara Lindqvist", "First", "2026-05-02"), shelftest.Visit("Mara Lindqvist", "Second", "2026-05-09"), shelftest.Visit("Mara Lindqvist", "Third", "2026-05-16"))
	h.Key("L", key.ModCtrl)
	h.Frame()
	h.Key(key.NamePageUp, 0)
	h.Key(key.NameDownArrow, key.ModShift)
	h.Frame()
	h.Click("Export 2 lessons")
	h.Until("the export", func() bool { return h.r.exported != "" })
	assert.Contains(t, h.r.exported, "Exported, 2 lessons with")
	files, _ := filepath.Glob(filepath.Join(h.Dirs.Exports(), "*.zip"))
	assert.Len(t, files, 1)
	assert.Equal(t, library.ExportName(library.Joined("Mara Lindqvist", "2 lessons"))+".zip", filepath.Base(files[0]))
}
