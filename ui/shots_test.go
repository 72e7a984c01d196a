package ui

import (
	"image"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

func TestShotIsLoggedByHandAndTakenBack(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("Y", 0)
	h.a.shots.entry[0].SetText("−3,1")
	h.a.shots.entry[2].SetText("8")
	h.click("Add the shot")
	shots := h.a.desk.bench.Lesson().Shots
	require.Len(t, shots, 1)
	assert.Equal(t, "before", shots[0].Block)
	assert.Equal(t, map[annotations.Reading]float64{annotations.ClubPath: -3.1, annotations.StrikeAcross: 8}, shots[0].Values)
	assert.Empty(t, h.a.shots.entry[0].Text(), "the fields are ready for the next")

	h.a.shots.entry[1].SetText("wide")
	h.click("Add the shot")
	h.frame()
	h.find("“wide” can't be the face to path: write a number of degrees, 45 at most either way.")
	assert.Len(t, h.a.desk.bench.Lesson().Shots, 1)

	h.click("after")
	h.a.shots.entry[1].SetText("1")
	h.click("Add the shot")
	assert.Equal(t, "after", h.a.desk.bench.Lesson().Shots[1].Block)
	h.press(key.NameEscape, 0)
	assert.False(t, h.a.shots.open)
	h.press("Z", key.ModCtrl)
	assert.Len(t, h.a.desk.bench.Lesson().Shots, 1)
}

// A coach who counts in yards logs and reads in yards and inches; the lesson keeps
// metres (0.9144 to the yard, by the international agreement of 1959).
func TestShotsAreLoggedInYards(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.a.settings.Imperial = true
	h.press("Y", 0)
	h.a.shots.entry[2].SetText("0.5")
	h.a.shots.entry[4].SetText("150")
	h.click("Add the shot")
	shots := h.a.desk.bench.Lesson().Shots
	require.Len(t, shots, 1)
	assert.InDelta(t, 137.16, shots[0].Values[annotations.Carry], 1e-9)
	assert.InDelta(t, 12.7, shots[0].Values[annotations.StrikeAcross], 1e-9)
	h.frame()
	h.find("across 0.50   carry 150.0")
	h.find("strike across: 0.50 in, then none: too few to tell")
	h.a.shots.entry[4].SetText("500")
	h.click("Add the shot")
	h.frame()
	h.find("“500” can't be the carry: write a number of yd, 437 at most either way.")

	path := filepath.Join(t.TempDir(), "bay 4.csv")
	require.NoError(t, os.WriteFile(path, []byte("No,Carry\n1,150\n2,160\n"), 0o644))
	h.a.openPaths([]string{path})
	h.frame()
	assert.Equal(t, "yd", h.a.shots.columns.columns[1].Unit)
}

func TestTableOfShotsIsReadAndItsShapeRemembered(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	path := filepath.Join(t.TempDir(), "bay 4.csv")
	table := "No;Path;Sideways (cm)\n1;-4,1;0,9\n2;-2,8;1,4\n3;-5,0;0,2\n4;-3,3;0,6\n5;-4,6;1,1\n"
	require.NoError(t, os.WriteFile(path, []byte(table), 0o644))
	h.a.openPaths([]string{path})
	h.frame()
	h.click("Sideways (cm): not used")
	h.click("strike across")
	h.click("cm")
	h.clickLast("other way")
	h.click("Add to “before”")
	l := h.a.desk.bench.Lesson()
	require.Len(t, l.Shots, 5)
	assert.InDelta(t, -9, l.ReadingsOf("before", annotations.StrikeAcross)[0], 1e-9, "millimetres, turned round")
	assert.InDelta(t, -4.1, l.ReadingsOf("before", annotations.ClubPath)[0], 1e-9)

	h.click("after")
	h.a.readShotTable(path)
	h.frame()
	assert.True(t, h.a.shots.columns.known, "asked once only")
	h.click("Add to “after”")
	assert.Len(t, h.a.desk.bench.Lesson().ReadingsOf("after", annotations.StrikeAcross), 5)
	h.frame()
	h.labelled("club path: −4.0 ± 1.1, then −4.0 ± 1.1: 0.0 ± ")
}

// clickLast clicks the last of several controls that are called alike.
func (h *harness) clickLast(label string) {
	h.t.Helper()
	var at image.Rectangle
	for _, n := range h.nodes() {
		if n.Desc.Label == label {
			at = n.Desc.Bounds
		}
	}
	h.clickAt(f32.Pt(float32(at.Min.X+at.Max.X)/2, float32(at.Min.Y+at.Max.Y)/2))
}

func TestTableThatIsNoneIsToldSo(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	path := filepath.Join(t.TempDir(), "notes.txt")
	require.NoError(t, os.WriteFile(path, []byte("nothing here"), 0o644))
	h.a.openPaths([]string{path})
	require.Len(t, h.a.notices.alerts, 1)
	assert.Contains(t, h.a.notices.alerts[0], "notes.txt: the table can't be read")
}

func TestTableOfShotsWithoutALessonIsToldSo(t *testing.T) {
	h := newHarness(t)
	path := filepath.Join(t.TempDir(), "bay 4.csv")
	require.NoError(t, os.WriteFile(path, []byte("path;carry\n1;2\n"), 0o644))
	h.a.openPaths([]string{path})
	h.frame()
	assert.False(t, h.a.student.open)
	require.Len(t, h.a.notices.alerts, 1)
	assert.Contains(t, h.a.notices.alerts[0], "open the lesson")
}
