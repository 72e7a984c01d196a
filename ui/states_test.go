package ui

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/geometry"
	"turngauge/ui/help"
	"turngauge/ui/repeats"
)

// These tests put the window into states that exclude each other, or end one
// from within another, and see that the coach can go on.

// secondSwing adds a swing with one clip to the lesson, as dropping clips of
// views that the swing on the bench already has does.
func (h *harness) secondSwing() {
	h.t.Helper()
	path := filepath.Join(h.t.TempDir(), "face-on-2.mp4")
	testClip(h.t, path, 12, 320, 180)
	h.a.intake.Open([]string{path})
	h.until("the clip to be looked at", func() bool { return h.shows("Add to the lesson") && !h.shows("Looking at the clips …") })
	h.click("Add to the lesson")
	require.Len(h.t, h.a.desk.Bench.Lesson().Swings, 2)
	h.until("the clip to be shown", func() bool { return h.a.desk.Films[0] != nil && h.a.stage.Frame(0) >= 0 })
}

func TestUndoOfASwingGoesBackToTheOneBefore(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.secondSwing()
	require.Equal(t, 12, h.a.desk.Films[0].Frames())
	h.press("Z", key.ModCtrl)
	assert.Equal(t, "s1", h.a.desk.Bench.Swing().ID)
	h.until("its clips to be shown again", func() bool {
		f := h.a.desk.Films
		return f[0] != nil && f[1] != nil && f[0].Frames() == 48 && h.a.stage.Frame(0) >= 0
	})
	h.press("Z", key.ModCtrl|key.ModShift)
	assert.Len(t, h.a.desk.Bench.Lesson().Swings, 2)
}

func TestClipsComeBackWithRedo(t *testing.T) {
	h := newHarness(t)
	h.openLessonOf(testClip, func(*annotations.Swing) {})
	require.NoError(t, h.a.desk.Bench.Editor().Apply(annotations.RemoveClip{Swing: "s1", Clip: "dl"}))
	h.frame()
	h.frame()
	assert.Nil(t, h.a.desk.Films[1], "its film is closed")
	h.press("Z", key.ModCtrl)
	h.until("the clip", func() bool { return h.a.desk.Films[1] != nil && h.a.stage.Frame(1) >= 0 })
	h.press("Z", key.ModCtrl|key.ModShift)
	assert.Nil(t, h.a.desk.Films[1])
}

func TestComparingWaitsForTheEndOfASecondMarking(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	h.press("2", 0)
	h.press("D", 0)
	h.press("1", 0)
	h.placeAsked(8, 0, 0)
	h.press("M", 0)
	for _, k := range []key.Name{"V", "E"} {
		h.press(k, 0)
		assert.Contains(t, h.a.notices.Passing(), "being marked again")
	}
	assert.False(t, h.a.compare.Card().IsOpen())
	assert.False(t, h.a.explain.On())
	h.a.desk.GoTo(geometry.ClubLevelBack) // as a row of the sheet does
	assert.Equal(t, geometry.Address, b.Position)
	h.press("K", 0)
	assert.True(t, h.a.findings.Shown())
	assert.True(t, b.MarkingAgain(), "looking at the findings does not end it")
	h.press(key.NameF1, key.ModShift)
	assert.True(t, h.a.tour.On())
	assert.False(t, b.MarkingAgain())
	assert.False(t, h.a.findings.Shown(), "the tour points at the sheet")
}

func TestTourEndsExplaining(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("E", 0)
	require.True(t, h.a.explain.On())
	h.press(key.NameF1, key.ModShift)
	assert.True(t, h.a.tour.On())
	assert.False(t, h.a.explain.On())
	h.press(key.NameEscape, 0)
	assert.False(t, h.a.tour.On())
}

func TestLettersOfANoteAreNoCommands(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("N", key.ModShift)
	h.clickAt(h.stagePoint(0, 100, 60))
	h.frame()
	h.write("Keep")
	for _, k := range []key.Name{"K", "V", "M"} {
		h.press(k, 0)
	}
	assert.False(t, h.a.findings.Shown())
	assert.False(t, h.a.compare.Card().IsOpen())
	require.Len(t, h.a.desk.Bench.Swing().Drawings, 1)
	assert.Equal(t, "Keep", h.a.desk.Bench.Swing().Drawings[0].Text)
	h.press(key.NameEscape, 0)
	h.frame()
	h.press("K", 0)
	assert.True(t, h.a.findings.Shown(), "keys work at once")
	assert.True(t, h.a.explain.On(), "beside what is explained")
}

func TestExplainingGoesOnWhileComparing(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(map[string]any) {})
	h.press("E", 0)
	h.compareWith(other)
	h.frame()
	require.NotNil(t, h.a.desk.Comparing)
	assert.True(t, h.a.explain.On())
	h.press("L", key.ModShift)
	assert.Equal(t, annotations.DrawnLine, h.a.explain.Tool())
	h.press(key.NameEscape, 0)
	assert.True(t, h.a.explain.On(), "the tool was put down")
	h.press(key.NameEscape, 0)
	assert.False(t, h.a.explain.On())
	require.NotNil(t, h.a.desk.Comparing)
	h.press(key.NameEscape, 0)
	assert.Nil(t, h.a.desk.Comparing)
}

func TestClosingTheLessonWhileComparing(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(map[string]any) {})
	now := h.a.desk.Path
	h.compareWith(other)
	h.a.notices.Tell("Marks are safe.")
	h.press("W", key.ModCtrl)
	require.Nil(t, h.a.desk)
	assert.Empty(t, h.a.notices.Passing(), "it was about the lesson")
	h.a.openLesson(now)
	h.frame()
	assert.Nil(t, h.a.desk.Comparing)
}

func TestALessonOpenedWhileACardIsOpenClosesTheCard(t *testing.T) {
	for name, open := range map[string]func(*App){
		"compare": func(a *App) { a.compare.Card().Choose() }, "shots": func(a *App) { a.Run("shots") }, "still": func(a *App) { a.Run("save still") },
		"repeats": func(a *App) { roomIn[*repeats.Room](a).Show(geometry.Address) },
		"clips":   func(a *App) { a.intake.Open([]string{"not there.mp4"}) },
	} {
		t.Run(name, func(t *testing.T) {
			h := newHarness(t)
			other := h.openMarked(func(map[string]any) {})
			h.press("E", 0)
			open(h.a)
			h.frame()
			require.True(t, h.a.modal())
			h.a.intake.Open([]string{other}) // dropped on the window
			h.frame()
			assert.False(t, h.a.modal())
			assert.False(t, h.a.explain.On(), "a lesson begins with its marks")
			assert.Equal(t, other, h.a.desk.Path)

			// One that can't be saved is not opened: then none is.
			open(h.a)
			held := filepath.Join(t.TempDir(), "held.json")
			data, err := os.ReadFile(other)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(held, data, 0o600))
			saver, err := saver.Open(held, nil)
			require.NoError(t, err)
			defer saver.Close()
			h.a.intake.Open([]string{held})
			h.frame()
			assert.Nil(t, h.a.desk)
			assert.False(t, h.a.modal())
			h.frame()
		})
	}
}

func TestClosingTheLessonWhileTheSheetIsWritten(t *testing.T) {
	h := newHarness(t)
	h.openFindings()
	now := h.a.desk.Path
	h.writeHandout()
	h.scrollTo("Drill")
	h.click("Drill")
	h.frame()
	require.True(t, h.a.findings.HoldsKeys())
	h.a.closeLesson()
	h.frame()
	h.press("D", key.ModCtrl)
	assert.True(t, h.a.settings.Light, "keys work in the first window")
	h.a.openLesson(now)
	h.press("K", 0)
	assert.True(t, h.a.findings.MayClose(), "it was another's that was written")
	h.writeHandout()
	h.until("the sheet", func() bool { return strings.HasPrefix(h.a.notices.Passing(), "Written beside the lesson: ") })
}

func TestUndoWhileATickIsDraggedLeavesIt(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	h.press("1", 0)
	h.press("D", key.ModShift)
	h.press("2", 0)
	rail := h.find("Time rail, face-on")
	at := func(frame int) f32.Point {
		return f32.Pt(float32(rail.Min.X)+h.a.stage.RailX(0, frame), float32(rail.Min.Y)+4)
	}
	h.point(pointer.Press, at(10), pointer.ButtonPrimary)
	h.point(pointer.Move, at(20), pointer.ButtonPrimary)
	h.press("Z", key.ModCtrl)
	h.point(pointer.Release, at(20), 0)
	assert.Nil(t, b.Swing().Position(geometry.ClubLevelBack))
	require.NotNil(t, b.Swing().Position(geometry.Address))
	h.press("2", 0)
	assert.NotNil(t, b.Swing().Position(geometry.ClubLevelBack))
}

func TestNothingRunsOnAfterALesson(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.a.closeLesson() // what stays for every lesson is there now
	before := h.goroutines()
	h.openTestLesson()
	other := h.a.desk.Path
	h.press("1", 0)
	h.placeAsked(3, 0, 0)
	h.openTestLesson()
	h.press("1", 0)
	h.placeAsked(3, 0, 0)
	h.compareWith(other)
	h.until("the other clip", func() bool { f := h.a.desk.Film(1); return f != nil && h.a.stage.Frame(1) >= 0 })
	films := h.a.desk.Other.Films
	h.press("T", key.ModShift)
	h.a.closeLesson()
	h.until("everything to end", func() bool { return runtime.NumGoroutine() <= before })
	for _, f := range films {
		if f != nil {
			<-f.Closed()
		}
	}

	// Closing at once, while the clips are being opened, leaves nothing either.
	h.a.openLesson(other)
	h.a.closeLesson()
	h.until("everything to end", func() bool { return runtime.NumGoroutine() <= before })
}

// goroutines returns how many there are once their number rests.
func (h *harness) goroutines() (n int) {
	h.t.Helper()
	h.until("the window to come to rest", func() bool {
		was := n
		n = runtime.NumGoroutine()
		return n == was
	})
	return n
}

// TestNothingRunsOnAfterTheWindow closes lessons, and then everything, while
// clips play, marks are looked for, curves are made and the library works.
func TestNothingRunsOnAfterTheWindow(t *testing.T) {
	none := runtime.NumGoroutine()
	h := newHarness(t)
	h.a.startLibrary()
	h.until("the library", func() bool { return h.a.shelf.Ready() })
	h.openTestLesson()
	path := h.a.desk.Path
	h.a.closeLesson()
	home := h.goroutines()
	for _, keys := range []string{"A", "I", " ", "1AI", "1A4I K"} {
		h.a.openLesson(path)
		h.until("both clips", func() bool { d := h.a.desk; return d.Films[0] != nil && d.Films[1] != nil })
		for _, k := range keys {
			name := key.Name(k)
			if k == ' ' {
				name = key.NameSpace
			}
			h.press(name, 0)
		}
		h.a.closeLesson()
		h.until("everything of the lesson to end", func() bool { return runtime.NumGoroutine() <= home })
	}
	h.a.openLesson(path)
	h.press("A", 0)
	require.NoError(t, h.a.close())
	h.until("everything to end", func() bool { return runtime.NumGoroutine() <= none })
}

// pressOnce presses a key as a hand does, slowly: only frames that were asked
// for come after the one it is pressed in.
func (h *harness) pressOnce(name key.Name, mods key.Modifiers) {
	h.router.Queue(key.Event{Name: name, Modifiers: mods, State: key.Press}, key.Event{Name: name, Modifiers: mods, State: key.Release})
	for range 5 {
		h.frame()
		if at, again := h.router.WakeupTime(); !again || at.After(h.now) {
			return
		}
	}
}

func TestKeysWorkAtOnceAfterACardCloses(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	for name, open := range map[string]func(*App){
		"help": func(a *App) { roomOf[*help.Room](a).Show(0) }, "preferences": func(a *App) { a.Run("preferences") },
		"compare": func(a *App) { a.compare.Card().Choose() }, "shots": func(a *App) { a.Run("shots") },
		"repeats": func(a *App) { roomIn[*repeats.Room](a).Show(geometry.Address) },
	} {
		t.Run(name, func(t *testing.T) {
			open(h.a)
			h.frame()
			h.frame()
			h.pressOnce(key.NameEscape, 0)
			require.False(t, h.a.modal())
			h.pressOnce("P", 0)
			assert.True(t, h.a.points.Shown())
			h.a.points.Close()
		})
	}
	t.Run("note", func(t *testing.T) {
		h.press("N", key.ModShift)
		h.clickAt(h.stagePoint(0, 100, 60))
		h.frame()
		h.write("Keep")
		require.True(t, h.a.explain.HoldsKeys())
		h.pressOnce(key.NameEscape, 0)
		h.pressOnce("S", key.ModCtrl)
		assert.True(t, h.shows("Save the picture"))
		h.pressOnce(key.NameEscape, 0)
		h.pressOnce("E", 0)
		assert.False(t, h.a.explain.On())
	})
	t.Run("finding", func(t *testing.T) {
		h.press("K", 0)
		h.frame()
		h.click("Drill")
		h.write("Slowly")
		require.True(t, h.a.findings.HoldsKeys())
		h.pressOnce(key.NameEscape, 0)
		h.pressOnce("K", 0)
		assert.False(t, h.a.findings.Shown())
	})
}

// TestKeysOfOneFrameKeepTheirOrder presses several keys before the window draws
// again, as happens on a busy computer.
func TestKeysOfOneFrameKeepTheirOrder(t *testing.T) {
	h := newHarness(t)
	other := h.openMarked(func(map[string]any) {})
	h.compareWith(other)
	h.until("both swings to be measured", h.compared)
	require.NotNil(t, h.a.desk.Comparing)
	before := h.a.desk.Bench.Editor().Revision()
	for _, name := range []key.Name{"1", "H", key.NameEscape} {
		h.router.Queue(key.Event{Name: name, State: key.Press}, key.Event{Name: name, State: key.Release})
	}
	h.frame()
	h.frame()
	assert.Nil(t, h.a.desk.Comparing)
	assert.Equal(t, before, h.a.desk.Bench.Editor().Revision(), "the keys before Esc were for the comparison, which changes nothing")
}
