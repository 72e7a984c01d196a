package ui

import (
	"os"
	"path/filepath"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/help"
	"turngauge/ui/intake"
	"turngauge/ui/kit"
)

func picturePt(x, y float64) bench.PicturePt { return bench.PicturePt{X: x, Y: y} }

func pictureLabel(stage int, b *bench.Bench) string {
	return bench.Title(b.Stages[stage].View.String()) + " picture"
}

func TestFirstWindowOffersWaysToBegin(t *testing.T) {
	h := newHarness(t)
	for _, label := range []string{"Open the demo lesson", "New student", "Open …", "Drop your clips here", kit.Caution} {
		h.find(label)
	}
}

func TestNewStudentBecomesALessonOnDisk(t *testing.T) {
	h := newHarness(t)
	h.click("New student")
	h.frame()
	h.write("Odd Bø")
	h.click("Height, if known")
	h.write("181")
	h.click("left-handed")
	h.click("Begin the lesson")
	require.NotNil(t, h.a.desk)
	l, _, err := annotations.Load(h.a.desk.Path)
	require.NoError(t, err)
	assert.Equal(t, "Odd Bø", l.Student.Name)
	assert.Equal(t, geometry.LeftHanded, l.Student.Handed)
	assert.InDelta(t, 1.81, l.Student.StatureM, 1e-9)
}

func TestNewStudentWithAnImpossibleHeightIsToldSo(t *testing.T) {
	h := newHarness(t)
	h.click("New student")
	h.click("Height, if known")
	h.write("17200")
	h.click("Begin the lesson")
	assert.Nil(t, h.a.desk)
	h.find("A height in cm, such as 172, or leave it empty.")
}

func TestKeysStepAndSetPositions(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	h.press("D", 0)
	h.press("D", 0)
	assert.Equal(t, 2, b.Stages[0].Frame)
	h.press("S", key.ModShift)
	assert.Equal(t, 0, b.Stages[0].Frame)
	h.press(key.NameEnd, 0)
	assert.Equal(t, 47, b.Stages[0].Frame)
	h.press("1", 0)
	ref, ok := b.Swing().FrameOf("fo", geometry.Address)
	require.True(t, ok)
	assert.Equal(t, 47, ref.Index)
	h.until("frame 47", func() bool { return h.a.stage.Frame(0) == 47 })
}

func TestMarkingByHand(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	b := h.a.desk.Bench
	h.press("1", 0)
	h.clickAt(h.stagePoint(0, 150, 90))
	m, ok := b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	require.True(t, ok, "a click places the armed point")
	assert.InDelta(t, 150, m.At.X, 0.01)
	assert.InDelta(t, 90, m.At.Y, 0.01)

	h.press(key.NameRightArrow, key.ModShift)
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 150.1, m.At.X, 0.01)

	from := h.stagePoint(0, m.At.X, m.At.Y)
	h.point(pointer.Press, from, pointer.ButtonPrimary)
	h.point(pointer.Move, from.Add(f32.Pt(5, 5)), pointer.ButtonPrimary)
	h.point(pointer.Move, from.Add(f32.Pt(40, -20)), pointer.ButtonPrimary)
	h.point(pointer.Release, from.Add(f32.Pt(40, -20)), 0)
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	s := b.Stages[0].Port.Scale
	assert.InDelta(t, 150.1+40/s, m.At.X, 0.5)
	assert.InDelta(t, 90-20/s, m.At.Y, 0.5)

	h.press("Z", key.ModCtrl)
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 150.1, m.At.X, 0.01, "the drag is one step of undo")
	h.press("Z", key.ModCtrl|key.ModShift)
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 150.1+40/s, m.At.X, 0.5)
}

func TestMarksAreOnDiskAfterClosing(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	path := h.a.desk.Path
	h.press("1", 0)
	h.clickAt(h.stagePoint(0, 150, 90))
	h.press("W", key.ModCtrl)
	require.Nil(t, h.a.desk)
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	require.Len(t, l.Swings[0].Marks, 1)
	h.find("Open the lesson of Mara Lindqvist")
}

func TestMeasuresFollowTheMarks(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("1", 0)
	h.clickAt(h.stagePoint(0, 150, 90))
	h.clickAt(h.stagePoint(0, 135, 90))
	d := h.a.desk
	h.until("the fit", func() bool { return d.Result.Revision == d.Bench.Editor().Revision() })
	require.NotNil(t, d.Result.Sheet)
	require.NotEmpty(t, d.Result.Missing)
}

func TestBadFilesAreToldInOneSentence(t *testing.T) {
	h := newHarness(t)
	h.a.openLesson(filepath.Join(t.TempDir(), "gone.json"))
	h.frame()
	require.Len(t, h.a.notices.Alerts(), 1)
	assert.Contains(t, h.a.notices.Alerts()[0], "gone.json")
	closer := h.find("Close this message")
	assert.Equal(t, closer.Dy(), closer.Dx(), "an icon on the card, not a strip across the window")
	h.click("Close this message")
	assert.Empty(t, h.a.notices.Alerts())

	text := filepath.Join(t.TempDir(), "notes.mp4")
	require.NoError(t, os.WriteFile(text, []byte("this is not a film"), 0o644))
	h.openTestLesson()
	h.a.intake.Open([]string{text})
	h.until("the clip to be refused", func() bool { return h.shows("No clip is left to add.") })
	h.find("“notes.mp4” is not a video the program can read: it holds plain text. Choose the clip itself.")
	h.press(key.NameEscape, 0)
	assert.False(t, h.a.intake.IsOpen())
}

func TestLettersGoToAnOpenFieldNotToTheBench(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	roomOf[*intake.Student](h.a).Begin(nil)
	h.frame()
	h.press("D", 0)
	assert.Equal(t, 0, h.a.desk.Bench.Stages[0].Frame)
	h.press(key.NameEscape, 0)
	h.press("D", 0)
	assert.Equal(t, 1, h.a.desk.Bench.Stages[0].Frame)
}

func TestSwingsOfALessonTakeTurns(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	require.NoError(t, h.a.desk.Bench.Editor().Apply(annotations.AddSwing{Swing: annotations.Swing{ID: "s2", Label: "rehearsal"}}))
	h.frame()
	h.click("Next swing of the lesson")
	assert.Equal(t, "s2", h.a.desk.Bench.Swing().ID)
	h.press(key.NamePageDown, key.ModCtrl)
	assert.Equal(t, "s1", h.a.desk.Bench.Swing().ID)
	h.until("the clips again", func() bool { return h.a.desk.Films[0] != nil && h.a.stage.Frame(0) >= 0 })
}

func TestEveryKeyIsBoundOnce(t *testing.T) {
	seen := map[kit.Chord]string{}
	for _, c := range newHarness(t).a.commands.list {
		for _, k := range c.Keys {
			if other, ok := seen[k]; ok {
				t.Errorf("%s is bound to %q and %q", k, other, c.ID)
			}
			seen[k] = c.ID
		}
		if !c.Hidden {
			assert.NotEmpty(t, c.Keys, c.ID)
			assert.Contains(t, kit.Groups, c.Group, c.ID)
			assert.NotEmpty(t, c.Help, c.ID)
		}
	}
}

func TestHelpListsEveryCommand(t *testing.T) {
	h := newHarness(t)
	h.press(key.NameF1, 0)
	for _, c := range h.a.commands.list {
		if !c.Hidden {
			assert.True(t, h.shows(c.Help), c.Help)
		}
	}
	h.press(key.NameEscape, 0)
	assert.False(t, roomOf[*help.Room](h.a).IsOpen())
}

func TestIdleWindowAsksForNoFrame(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.until("rest", func() bool { return len(h.woken) == 0 && h.a.notices.Passing() == "" })
	h.router.WakeupTime() // what was asked for until then
	for range 5 {
		h.frame()
	}
	_, wakes := h.router.WakeupTime()
	assert.False(t, wakes)
}
