package ui

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// labelled returns the first label in the window that begins with a text.
func (h *harness) labelled(prefix string) string {
	h.t.Helper()
	for _, l := range h.labels() {
		if strings.HasPrefix(l, prefix) {
			return l
		}
	}
	h.t.Fatalf("nothing in the window begins with %q, but there is %q", prefix, h.labels())
	return ""
}

// begins reports whether a label in the window begins with a text.
func (h *harness) begins(prefix string) bool {
	return slices.ContainsFunc(h.labels(), func(l string) bool { return strings.HasPrefix(l, prefix) })
}

// write types a text into what has the keyboard.
func (h *harness) write(text string) {
	h.router.Queue(key.EditEvent{Range: key.Range{Start: 0, End: 0}, Text: text})
	h.frame()
	h.frame()
}

// openFindings opens the panel for a marked swing with a target range of the
// coach's own, which the swing surely breaks: a stance of 20 cm at most.
func (h *harness) openFindings() {
	h.t.Helper()
	require.NoError(h.t, os.MkdirAll(h.a.dirs.Config, 0o755))
	require.NoError(h.t, os.WriteFile(h.a.dirs.OwnTargets(),
		[]byte(`[{"measure": "stance width over shoulder breadth", "position": "address", "clubs": "mid-iron", "high": 0.5, "source": "mine"}]`), 0o644))
	var problems []string
	h.a.standards, problems = h.a.dirs.Standards()
	require.Empty(h.t, problems)
	h.openMarked(func(map[string]any) {})
	h.until("the fit", func() bool { return h.a.desk.Result.Findings != nil })
	h.press("K", 0)
	h.frame()
}

func TestFindingIsTakenEditedAndPrescribed(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	b := h.a.desk.Bench
	h.click(h.labelled("Tell the student: Your heels stand"))
	require.Len(t, b.Swing().Findings, 1)
	f := b.Swing().Findings[0]
	assert.Equal(t, "stance wide", f.Rule)
	assert.Contains(t, f.Text, "we look for at most 0.50")
	assert.Less(t, f.Low95, f.Value)

	h.frame()
	h.click(h.labelled("Finding: "))
	h.write("Said again. ")
	assert.True(t, strings.HasPrefix(b.Swing().Findings[0].Text, "Said again. "), b.Swing().Findings[0].Text)
	before := b.Stages[0].Frame
	h.press("D", 0)
	assert.Equal(t, before, b.Stages[0].Frame, "letters go into the text")
	h.press(key.NameEscape, 0)
	h.frame()
	assert.False(t, h.a.findings.HoldsKeys())
	h.press("Z", key.ModCtrl)
	h.frame()
	assert.Equal(t, f.Text, b.Swing().Findings[0].Text)

	h.click(h.labelled("Use: Bring the feet closer"))
	assert.Equal(t, []string{"Bring the feet closer together by about the width of a shoe."}, b.Lesson().Prescription.SetUp)
	h.press("Z", key.ModCtrl)
	assert.True(t, b.Lesson().Prescription.Empty())
}

func TestSecondSetUpFieldCanBeWrittenFirst(t *testing.T) {
	h := newHarness(t)
	h.openMarked(func(map[string]any) {})
	h.press("K", 0)
	h.frame()
	h.click("Second set-up change")
	for i, letter := range []string{"B", "a", "l", "l"} {
		h.router.Queue(key.EditEvent{Range: key.Range{Start: i, End: i}, Text: letter})
		h.frame()
		h.frame()
	}
	p := &h.a.desk.Bench.Lesson().Prescription
	assert.Equal(t, []string{"Ball"}, p.SetUp)
	h.press(key.NameEscape, 0)
	h.frame()
	h.frame()
	h.press("Z", key.ModCtrl)
	assert.Empty(t, h.a.desk.Bench.Lesson().Prescription.SetUp)
}

func TestFindingLeftIsNotProposedAgain(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	leave := h.labelled("Leave it: ")
	h.click(leave)
	h.frame()
	assert.False(t, h.shows(leave))
	assert.Empty(t, h.a.desk.Bench.Swing().Findings)
	h.press("K", 0)
	h.find("Sheet")
}

func TestFindingInTheCoachsOwnWords(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	// The panel is longer than the window: the button is under what is proposed.
	h.scrollTo("Write one of your own")
	h.click("Write one of your own")
	h.frame()
	assert.Empty(t, h.a.desk.Bench.Swing().Findings, "one that says nothing is none")
	h.write("Élan.")
	require.Len(t, h.a.desk.Bench.Swing().Findings, 1)
	assert.Equal(t, "Élan.", h.a.desk.Bench.Swing().Findings[0].Text)
}

func TestTakeHomeSheetIsWrittenBesideTheLesson(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	h.click(h.labelled("Tell the student: Your heels stand"))
	h.scrollTo("Write the take-home sheet")
	dir := filepath.Dir(h.a.desk.Path)
	taken := filepath.Join(dir, "Mara Lindqvist 2026-05-02 take-home.html")
	require.NoError(t, os.WriteFile(taken, []byte("mine"), 0o644))
	h.click("Write the take-home sheet")
	made := filepath.Join(dir, "Mara Lindqvist 2026-05-02 take-home (2).pdf")
	h.until("the sheet", func() bool { return strings.HasPrefix(h.a.notices.Passing(), "Written beside the lesson: ") })
	h.scrollTo("Copy the sheet's first page as a picture")
	require.FileExists(t, made)
	require.FileExists(t, strings.TrimSuffix(made, ".pdf")+".png")
	page, err := os.ReadFile(filepath.Join(dir, "Mara Lindqvist 2026-05-02 take-home (2).html"))
	require.NoError(t, err)
	assert.Contains(t, string(page), "Your heels stand")
	pdf, err := os.ReadFile(made)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(pdf), "%PDF-"))
	kept, err := os.ReadFile(taken)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(kept), "nothing that is there is replaced")
}
