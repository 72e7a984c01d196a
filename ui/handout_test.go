package ui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

// scrollTo brings a control of the findings on the screen.
func (h *harness) scrollTo(name string) {
	h.t.Helper()
	for range 60 {
		if h.shows(name) {
			return
		}
		h.a.findings.list.Position.Offset += 100
		h.frame()
	}
	h.t.Fatalf("%q is nowhere", name)
}

// Before and after is there to be chosen where there is a swing before, and only
// there.
func TestBeforeAndAfterIsOfferedWhereThereIsASwingBefore(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	h.scrollTo("Write the take-home sheet")
	h.click("sheet and clip")
	h.frame()
	assert.True(t, h.shows("upright, on a phone"))
	assert.False(t, h.shows("before and after"), "there is no other swing")
	b, _ := h.a.swingBefore()
	assert.Nil(t, b)

	d := h.a.desk
	earlier := d.Bench.Lesson().Clone()
	earlier.ID, earlier.Date = annotations.NewID(), "2026-04-04"
	h.a.compareWith(filepath.Join(t.TempDir(), "before.json"), earlier, earlier.Swings[0].ID)
	h.until("the comparison", func() bool { return d.Other.Measured })
	h.frame()
	h.scrollTo("before and after")
	h.click("before and after")
	h.frame()
	assert.True(t, h.a.findings.handout.beside)
	b, title := h.a.swingBefore()
	require.NotNil(t, b)
	assert.Same(t, earlier, b.Lesson)
	assert.Contains(t, title, "2026-04-04")
	h.click("upright, on a phone")
	h.frame()
	assert.True(t, h.a.findings.handout.upright)
}

// The window waits for what is being written, unless it is closed once more;
// then nothing half-written is left.
func TestClosingTheWindowWhileSomethingIsWritten(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	assert.True(t, h.a.mayClose())
	h.a.makeHandout()
	require.True(t, h.a.findings.handout.busy)
	assert.False(t, h.a.mayClose())
	require.Len(t, h.a.notices.Alerts(), 1)
	assert.Contains(t, h.a.notices.Alerts()[0], "The window closes by itself")
	dir := filepath.Dir(h.a.desk.Path)
	h.until("the end", func() bool { return h.a.ending })
	assert.FileExists(t, filepath.Join(dir, "Mara Lindqvist 2026-05-02 take-home.pdf"))
	assert.FileExists(t, filepath.Join(dir, "Mara Lindqvist 2026-05-02 take-home.html"))

	h = newHarness(t)
	h.openFindings()
	dir = filepath.Dir(h.a.desk.Path)
	before := names(t, dir)
	h.a.makeHandout()
	assert.False(t, h.a.mayClose())
	assert.True(t, h.a.mayClose(), "asked once more")
	require.NoError(t, h.a.close())
	assert.Equal(t, before, names(t, dir))
}

// A clip that can't be made keeps nobody from the sheet.
func TestTheSheetIsThereWhereTheClipIsNot(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	d := h.a.desk
	for i := range d.Bench.Swing().Clips { // the test's have none
		require.NoFileExists(t, d.Bench.Swing().Clips[i].PathIn(filepath.Dir(d.Path)))
	}
	h.a.findings.handout.withClip = true
	h.a.makeHandout()
	h.until("the sheet", func() bool { return h.a.findings.handout.made != "" })
	require.Len(t, h.a.notices.Alerts(), 1)
	assert.Contains(t, h.a.notices.Alerts()[0], "can't be made")
	assert.Contains(t, h.a.notices.Alerts()[0], "The sheet is there: Mara Lindqvist 2026-05-02 take-home.pdf and .html.")
	assert.FileExists(t, h.a.findings.handout.made)
	assert.NoFileExists(t, strings.TrimSuffix(h.a.findings.handout.made, ".pdf")+".mp4")
}

// names lists the files of a folder that a coach would take for a sheet or a
// part of one.
func names(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range list {
		if strings.Contains(e.Name(), "take-home") {
			out = append(out, e.Name())
		}
	}
	return out
}
