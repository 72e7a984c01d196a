package shots

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/shots"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

func newRoom(t *testing.T) (*Room, *kittest.Window) {
	t.Helper()
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s1", Label: "7-iron"}}
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room { return New(w, w.Dirs.Config) })
	return w.Room.(*Room), w
}

func TestShotIsLoggedByHandAndTakenBack(t *testing.T) {
	r, w := newRoom(t)
	w.Key("Y", 0)
	r.entry[0].SetText("−3,1")
	r.entry[2].SetText("8")
	w.Click("Add the shot")
	hit := w.Lesson().Shots
	require.Len(t, hit, 1)
	assert.Equal(t, "before", hit[0].Block)
	assert.Equal(t, map[shots.Reading]float64{shots.ClubPath: -3.1, shots.StrikeAcross: 8}, hit[0].Values)
	assert.Empty(t, r.entry[0].Text(), "the fields are ready for the next")

	r.entry[1].SetText("wide")
	w.Click("Add the shot")
	w.Frame()
	assert.True(t, w.Shows("“wide” can't be the face to path: write a number of degrees, 45 at most either way."))
	assert.Len(t, w.Lesson().Shots, 1)

	w.Click("after")
	r.entry[1].SetText("1")
	w.Click("Add the shot")
	assert.Equal(t, "after", w.Lesson().Shots[1].Block)
	w.Key(key.NameEscape, 0)
	assert.False(t, r.IsOpen())
	w.Open.Bench.Undo()
	assert.Len(t, w.Lesson().Shots, 1)
}

// A coach who counts in yards logs and reads in yards and inches; the lesson keeps
// metres (0.9144 to the yard, by the international agreement of 1959).
func TestShotsAreLoggedInYards(t *testing.T) {
	r, w := newRoom(t)
	w.Settings().Imperial = true
	w.Key("Y", 0)
	r.entry[2].SetText("0.5")
	r.entry[4].SetText("150")
	w.Click("Add the shot")
	hit := w.Lesson().Shots
	require.Len(t, hit, 1)
	assert.InDelta(t, 137.16, hit[0].Values[shots.Carry], 1e-9)
	assert.InDelta(t, 12.7, hit[0].Values[shots.StrikeAcross], 1e-9)
	w.Frame()
	assert.True(t, w.Shows("toe 0.50   carry 150.0"))
	assert.True(t, w.Shows("strike across: 0.50 in, then none: too few to tell"))
	r.entry[4].SetText("500")
	w.Click("Add the shot")
	w.Frame()
	assert.True(t, w.Shows("“500” can't be the carry: write a number of yd, 437 at most either way."))

	path := filepath.Join(t.TempDir(), "bay 4.csv")
	require.NoError(t, os.WriteFile(path, []byte("No,Carry\n1,150\n2,160\n"), 0o644))
	r.ReadTable(path)
	w.Frame()
	assert.Equal(t, "yd", r.columns.columns[1].Unit)
}

// Cells copied from a spreadsheet are separated by tabs.
func TestTableOfShotsIsPasted(t *testing.T) {
	r, w := newRoom(t)
	w.Key("Y", 0)
	assert.False(t, r.Paste("/home/coach/bay 4.csv"), "a path is opened by the window")
	assert.False(t, r.Paste("Hips first.\nThen the arms."), "no table")
	require.True(t, r.Paste("No\tCarry (yds)\n1\t150\n2\t160\n"))
	w.Frame()
	w.Click("Add to “before”")
	assert.InDelta(t, 160*0.9144, w.Lesson().Shots.Of("before", shots.Carry)[1], 1e-9, "yards, by the agreement of 1959")
}

func TestTableOfShotsIsReadAndItsShapeRemembered(t *testing.T) {
	r, w := newRoom(t)
	path := filepath.Join(t.TempDir(), "bay 4.csv")
	table := "No;Path;Sideways (cm)\n1;-4,1;0,9\n2;-2,8;1,4\n3;-5,0;0,2\n4;-3,3;0,6\n5;-4,6;1,1\n"
	require.NoError(t, os.WriteFile(path, []byte(table), 0o644))
	w.Key("Y", 0)
	w.Click("Read a table …")
	w.Answer(path)
	w.Click("Sideways (cm): not used")
	w.Click("strike across")
	w.Click("cm")
	clickLast(w, "other way")
	w.Click("Add to “before”")
	l := w.Lesson()
	require.Len(t, l.Shots, 5)
	assert.InDelta(t, -9, l.Shots.Of("before", shots.StrikeAcross)[0], 1e-9, "millimetres, turned round")
	assert.InDelta(t, -4.1, l.Shots.Of("before", shots.ClubPath)[0], 1e-9)

	w.Click("after")
	r.ReadTable(path)
	w.Frame()
	assert.True(t, r.columns.known, "asked once only")
	w.Click("Add to “after”")
	assert.Len(t, w.Lesson().Shots.Of("after", shots.StrikeAcross), 5)
	w.Frame()
	compared := false
	for _, n := range w.Nodes() {
		compared = compared || strings.HasPrefix(n.Desc.Label, "club path: −4.0 ± 1.1, then −4.0 ± 1.1: 0.0 ± ")
	}
	assert.True(t, compared)
}

// clickLast clicks the last of several controls that are called alike.
func clickLast(w *kittest.Window, label string) {
	var at f32.Point
	for _, n := range w.Nodes() {
		if b := n.Desc.Bounds; n.Desc.Label == label {
			at = f32.Pt(float32(b.Min.X+b.Max.X)/2, float32(b.Min.Y+b.Max.Y)/2)
		}
	}
	w.ClickAt(at)
}

func TestTableThatIsNoneIsToldSo(t *testing.T) {
	r, w := newRoom(t)
	path := filepath.Join(t.TempDir(), "notes.txt")
	require.NoError(t, os.WriteFile(path, []byte("nothing here"), 0o644))
	r.ReadTable(path)
	require.Len(t, w.Alerts, 1)
	assert.Contains(t, w.Alerts[0], "notes.txt: the table can't be read")
	assert.False(t, r.IsOpen())
}

// A table that was asked for is not read into a lesson opened since.
func TestTableIsForTheLessonItWasAskedFor(t *testing.T) {
	r, w := newRoom(t)
	path := filepath.Join(t.TempDir(), "bay 4.csv")
	require.NoError(t, os.WriteFile(path, []byte("path;carry\n1;2\n"), 0o644))
	w.Key("Y", 0)
	w.Click("Read a table …")
	next := annotations.NewLesson()
	next.Swings = []annotations.Swing{{ID: "s1"}}
	w.OpenLesson(t, next)
	r.LessonClosed()
	w.Answer(path)
	assert.False(t, r.IsOpen())
	assert.Empty(t, w.Alerts)
}

// Where balls came down is a picture once carry and offline are known; a table with yards
// is shown in yards (0.9144 m by the international agreement of 1959), whatever the
// settings, and that is undone with it.
func TestFlightsOfATableInYards(t *testing.T) {
	r, w := newRoom(t)
	w.Key("Y", 0)
	path := filepath.Join(t.TempDir(), "shots.csv")
	rows := "Carry (yd),Offline (yd)\n150,-4\n152,3\n149,6\n155,-8\n151,1\n"
	require.NoError(t, os.WriteFile(path, []byte(rows), 0o644))
	r.ReadTable(path)
	w.Frame()
	w.Frame()
	require.True(t, r.columns.open)
	r.takeTable()
	w.Frame()
	hit := w.Lesson().Shots
	require.Len(t, hit, 5)
	assert.InDelta(t, 150*0.9144, hit[0].Values[shots.Carry], 1e-9)
	assert.True(t, w.Lesson().Yards)
	require.True(t, w.Shows("Carry and offline, yd"))
	f, any := r.flights("before", "after")
	require.True(t, any)
	info, _ := shots.InfoOf(shots.Carry)
	assert.Contains(t, f.says("before", "after", r.unit(info)), "before: 5 shots about 151.4 yd and −0.4 yd offline, half of them within an ellipse of ")
	data, err := w.Lesson().Encode()
	require.NoError(t, err)
	back, warnings, err := annotations.Decode(data)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.True(t, back.Yards)
	w.Open.Bench.Undo()
	assert.False(t, w.Lesson().Yards)
}
