package ui

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/kit"
)

// openMarked puts a marked lesson without films on the desk, and beside it a
// lesson of the same student that the file's changes make of it. It returns
// the other lesson's path.
func (h *harness) openMarked(change func(doc map[string]any)) string {
	h.t.Helper()
	source, err := os.ReadFile("../testdata/lessons/marked.json")
	require.NoError(h.t, err)
	dir := h.t.TempDir()
	path := filepath.Join(dir, "now.json")
	require.NoError(h.t, os.WriteFile(path, source, 0o644))
	var doc map[string]any
	require.NoError(h.t, json.Unmarshal(source, &doc))
	doc["id"], doc["title"], doc["date"] = "01EARLIER", "Before", "2026-04-01"
	change(doc)
	earlier, err := json.Marshal(doc)
	require.NoError(h.t, err)
	other := filepath.Join(dir, "before.json")
	require.NoError(h.t, os.WriteFile(other, earlier, 0o644))
	h.a.openLesson(path)
	h.frame()
	return other
}

// compareWith puts a lesson's swing beside the one on the bench.
func (h *harness) compareWith(path string) {
	h.t.Helper()
	h.a.compare.WithFile(path)
	h.until("both swings to be shown", func() bool { return h.a.desk.Comparing != nil })
}

func (h *harness) compared() bool {
	d := h.a.desk
	return d.Other != nil && d.Other.Measured && d.Result.Sheet != nil && d.Result.Sheet.Compared
}

func TestComparingSaysWhichChangesAreReal(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(doc map[string]any) {
		// What stands at lead arm level is called the top: a backswing that
		// ended there.
		swing := doc["swings"].([]any)[0].(map[string]any)
		var marks []any
		for _, m := range swing["marks"].([]any) {
			mark := m.(map[string]any)
			switch mark["position"] {
			case "top":
				continue
			case "lead arm level":
				mark["position"] = "top"
			}
			marks = append(marks, mark)
		}
		swing["marks"] = marks
	})
	h.compareWith(other)
	h.until("both swings to be measured", h.compared)
	arm, _ := h.a.desk.Result.Sheet.Find("lead arm height @ top")
	require.True(t, arm.HasPrevious)
	assert.True(t, arm.ChangeTold, arm.Change)
	stance, _ := h.a.desk.Result.Sheet.Find("stance width @ address")
	require.True(t, stance.HasPrevious)
	assert.False(t, stance.ChangeTold, stance.Change)

	assert.NotNil(t, h.a.desk.Comparing)
	h.press("4", key.ModAlt)
	assert.Equal(t, geometry.Top, h.a.desk.Show().Position)
	assert.True(t, h.a.plan.Figure().PreviousHips.Known, "the plan view shows both")
	before := h.a.desk.Bench.Editor().Revision()
	h.press("1", 0)
	h.press("H", 0)
	assert.Equal(t, before, h.a.desk.Bench.Editor().Revision(), "comparing changes no lesson")
	h.press("T", key.ModShift)
	assert.Equal(t, geometry.DownTheLine, h.a.desk.Comparing.View())
	h.press(key.NameEscape, 0)
	assert.Nil(t, h.a.desk.Comparing)
	assert.Equal(t, geometry.Top, h.a.desk.Bench.Position)
}

func TestTheLastLessonOfTheStudentIsComparedUnasked(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(map[string]any) {})
	now := h.a.desk.Path
	h.a.openLesson(other) // the coach had it open before
	h.a.openLesson(now)
	h.until("the earlier lesson to be measured", h.compared)
	assert.Nil(t, h.a.desk.Comparing, "its pictures wait until they are asked for")
	assert.Equal(t, other, h.a.desk.Other.Path)
}

func TestChoosingWhatToCompareWith(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(doc map[string]any) { doc["date"] = "2027-01-01" })
	now := h.a.desk.Path
	h.a.openLesson(other)
	h.a.openLesson(now)
	source, err := os.ReadFile(now)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(now), "copy.json"), source, 0o644))
	h.press("V", 0)
	require.True(t, h.a.compare.Card().IsOpen(), "a later lesson is not compared unasked")
	h.click("Compare with " + kit.Joined(h.a.desk.Bench.Lesson().Student.Name, "Before", "2027-01-01"))
	h.until("both swings to be measured", h.compared)
	h.find("Before  ·  2027-01-01, face-on")
	h.press("V", key.ModShift)
	h.click("Compare with nothing")
	assert.Nil(t, h.a.desk.Other)
	h.until("the sheet without it", func() bool { return !h.a.desk.Result.Sheet.Compared })
}

func TestOneSwingIsLaidOverTheOther(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(map[string]any) {})
	h.compareWith(other)
	h.press("O", key.ModShift)
	over, share, laid := h.a.compare.Over().Laid()
	require.True(t, laid)
	assert.InDelta(t, 1, over.Scale(), 1e-9, "of one and the same lesson")
	assert.InDelta(t, 0.5, share, 1e-6)
	assert.Equal(t, []int{0}, h.a.stage.Shown())
	h.press(".", 0)
	_, share, _ = h.a.compare.Over().Laid()
	assert.InDelta(t, 0.6, share, 1e-6)

	h.press(",", 0)
	h.press(",", 0)
	_, share, _ = h.a.compare.Over().Laid()
	assert.InDelta(t, 0.4, share, 1e-6)
	h.find(h.a.compare.Over().Words())
	h.click("Comparing: lay one over the other, or not")
	assert.Equal(t, []int{0, 1}, h.a.stage.Shown())
	h.click("Comparing: lay one over the other, or not")
	h.press(key.NameEscape, 0)
	require.NotNil(t, h.a.desk.Comparing, "Esc puts them side by side first")
	h.press(key.NameEscape, 0)
	assert.Nil(t, h.a.desk.Comparing)
}

func TestLayingOverSaysWhatToMark(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(doc map[string]any) {
		swing := doc["swings"].([]any)[0].(map[string]any)
		swing["marks"] = slices.DeleteFunc(swing["marks"].([]any), func(m any) bool {
			return m.(map[string]any)["position"] == "address"
		})
	})
	h.compareWith(other)
	h.press("O", key.ModShift)
	_, _, laid := h.a.compare.Over().Laid()
	assert.False(t, laid)
	assert.Contains(t, h.a.compare.Over().Words(), "mark feet and ball at address in both")
	h.find(h.a.compare.Over().Words())
}
