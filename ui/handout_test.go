package ui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

// scrollTo brings a control of the findings on the screen.
func (h *harness) scrollTo(name string) {
	h.t.Helper()
	for range 60 {
		if h.shows(name) && h.find(name).Max.Y <= h.size.Y { // all of it
			return
		}
		h.router.Queue(pointer.Event{Kind: pointer.Scroll, Source: pointer.Mouse, Position: f32.Pt(float32(h.size.X-100), float32(h.size.Y/2)), Scroll: f32.Pt(0, 100)})
		h.frame()
	}
	h.t.Fatalf("%q is nowhere", name)
}

// selected reports whether a choice with a label is made.
func (h *harness) selected(label string) bool {
	for _, n := range h.nodes() {
		if n.Desc.Label == label && n.Desc.Selected {
			return true
		}
	}
	return false
}

// writeHandout has what is to be taken home written.
func (h *harness) writeHandout() {
	h.t.Helper()
	h.scrollTo("Write the take-home sheet")
	h.click("Write the take-home sheet")
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
	d := h.a.desk
	earlier := d.Bench.Lesson().Clone()
	earlier.ID, earlier.Date = annotations.NewID(), "2026-04-04"
	h.a.desk.CompareWith(filepath.Join(t.TempDir(), "before.json"), earlier, earlier.Swings[0].ID)
	h.until("the comparison", func() bool { return d.Other.Measured })
	h.frame()
	h.scrollTo("before and after")
	h.click("before and after")
	h.frame()
	assert.Contains(t, h.labelled("Beside it: "), "2026-04-04")
	h.scrollTo("one over the other")
	h.click("one over the other")
	h.frame()
	assert.Contains(t, h.labelled("Seen through it: "), "2026-04-04")
	h.scrollTo("upright, on a phone")
	h.click("upright, on a phone")
	h.frame()
	assert.True(t, h.selected("upright, on a phone"))
}

// The window waits for what is being written, unless it is closed once more;
// then nothing half-written is left.
func TestClosingTheWindowWhileSomethingIsWritten(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	assert.True(t, h.a.findings.MayClose())
	h.writeHandout()
	assert.False(t, h.a.findings.MayClose())
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
	h.writeHandout()
	assert.False(t, h.a.findings.MayClose())
	assert.True(t, h.a.findings.MayClose(), "asked once more")
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
	h.scrollTo("Write the take-home sheet")
	h.click("sheet and clip")
	h.writeHandout()
	made := filepath.Join(filepath.Dir(d.Path), "Mara Lindqvist 2026-05-02 take-home")
	h.until("the sheet", func() bool { return len(h.a.notices.Alerts()) > 0 })
	h.scrollTo("Copy the sheet's first page as a picture")
	require.Len(t, h.a.notices.Alerts(), 1)
	assert.Contains(t, h.a.notices.Alerts()[0], "can't be made")
	assert.Contains(t, h.a.notices.Alerts()[0], "The sheet is there: Mara Lindqvist 2026-05-02 take-home.pdf and .html.")
	assert.FileExists(t, made+".pdf")
	assert.NoFileExists(t, made+".mp4")
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
