package ui

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/geometry"
	"turngauge/ui/explain"
)

// behindAll is behind the last letter of every field: what is typed there goes
// to its end.
const behindAll = 1 << 16

// typed types text the way a keyboard does.
func (h *harness) typed(text string) {
	for _, r := range text {
		h.router.Queue(key.EditEvent{Range: key.Range{Start: behindAll, End: behindAll}, Text: string(r)})
		h.frame()
	}
}

// explained opens the test lesson at address and explains it.
func explained(t testing.TB) *harness {
	h := newHarness(t)
	h.openTestLesson()
	h.press("1", 0)
	h.press("E", 0)
	require.True(t, h.shows("Explaining"))
	return h
}

func (h *harness) drawings() []annotations.Drawing { return h.a.desk.Bench.Swing().Drawings }

// put marks a point of the test lesson at address.
func (h *harness) put(clip string, p geometry.Point, x, y float64) {
	h.t.Helper()
	require.NoError(h.t, h.a.desk.Bench.Editor().Apply(annotations.SetMark{Swing: "s1", Mark: annotations.Mark{
		Clip: clip, Position: geometry.Address, Point: p, At: geometry.ImagePt{X: x, Y: y}}}))
	h.frame()
}

// pull drags from one picture point of a stage to another.
func (h *harness) pull(stage int, x0, y0, x1, y1 float64) {
	from, to := h.stagePoint(stage, x0, y0), h.stagePoint(stage, x1, y1)
	h.point(pointer.Move, from, 0)
	h.point(pointer.Press, from, pointer.ButtonPrimary)
	h.point(pointer.Move, from.Add(to).Mul(0.5), pointer.ButtonPrimary)
	h.point(pointer.Move, to, pointer.ButtonPrimary)
	h.point(pointer.Release, to, 0)
	h.frame()
}

func TestMarksAreSafeWhileExplaining(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press("1", 0)
	h.put("fo", geometry.LeadHip, 150, 90)
	_, armed := h.a.desk.Bench.Armed()
	require.True(t, armed, "the guided pass asks for a point")
	h.clickAt(h.stagePoint(0, 150, 90)) // the point asked for is placed, and in hand
	before := h.a.desk.Bench.Lesson()
	_, selected := h.a.desk.Bench.Selected()
	require.True(t, selected)
	h.press("E", 0)
	for _, k := range []key.Name{key.NameRightArrow, key.NameUpArrow, key.NameLeftArrow} {
		h.press(k, 0)
	}
	h.press(key.NameUpArrow, key.ModShift)
	h.clickAt(h.stagePoint(0, 200, 100))
	h.pull(0, 150, 90, 170, 80)
	for _, k := range []key.Name{"2", "H", "U", "C", "G", key.NameDeleteForward, key.NameReturn} {
		h.press(k, 0)
	}
	assert.Same(t, before, h.a.desk.Bench.Lesson())
	assert.True(t, h.shows("Marks are safe while you explain: E or Esc goes back to them.") || h.a.notices.Passing() != "")
	h.press("D", 0)
	assert.Equal(t, 1, h.a.desk.Bench.Stages[0].Frame, "one can step on")
	h.press("S", 0)
	h.press(key.NameEscape, 0)
	assert.False(t, h.shows("Explaining"))
	h.clickAt(h.stagePoint(0, 200, 100))
	assert.NotSame(t, before, h.a.desk.Bench.Lesson(), "marking goes on where it was")
}

func TestLinesAreSwitchedByButtonsAndKeysAndRemembered(t *testing.T) {
	h := explained(t)
	h.click("Hip line, on or off")
	h.press("6", key.ModCtrl)
	kept := h.a.dirs.Settings()
	assert.Equal(t, "ankle-knee line,shoulder line,trunk line", kept.ExplainLines)
	h.press("E", 0)
	h.press("6", key.ModCtrl)
	assert.True(t, h.shows("Explaining"), "switching a line begins to explain")
	h.press("Z", key.ModCtrl)
}

func TestALineSaysWhatToMark(t *testing.T) {
	h := explained(t)
	for range 2 {
		h.press("2", key.ModCtrl) // the hip line off and on
	}
	h.put("fo", geometry.LeadHip, 150, 90)
	h.press("2", key.ModCtrl)
	h.press("2", key.ModCtrl)
	assert.Equal(t, "The hip line needs the trail hip marked here.", h.a.notices.Passing())
	assert.True(t, h.shows("0 of 3 lines drawn"))
	h.put("fo", geometry.TrailHip, 130, 92)
	h.frame()
	assert.True(t, h.shows("1 of 3 lines drawn"))
}

func TestADrawingIsMadeMovedNamedAndTakenAway(t *testing.T) {
	h := explained(t)
	h.click("Draw a line of your own")
	h.pull(0, 100, 50, 180, 120)
	require.Len(t, h.drawings(), 1)
	d := h.drawings()[0]
	assert.Equal(t, "fo", d.Frame.Clip)
	assert.InDelta(t, 100, d.Points[0].X, 0.6)
	assert.InDelta(t, 120, d.Points[1].Y, 0.6)
	assert.True(t, h.shows("Line in hand"))

	h.press(key.NameReturn, 0)
	h.frame()
	require.True(t, h.a.explain.HoldsKeys(), "Enter goes to the text of what is in hand")
	h.typed("belt")
	h.press(key.NameReturn, 0)
	assert.True(t, h.shows("belt"), "its name stands at the line")
	h.pull(0, d.Points[1].X, d.Points[1].Y, 200, 60)
	assert.InDelta(t, 60, h.drawings()[0].Points[1].Y, 0.6)
	x := h.drawings()[0].Points[1].X
	h.press(key.NameRightArrow, key.ModShift)
	assert.InDelta(t, x+0.1, h.drawings()[0].Points[1].X, 0.01)
	h.press(key.NameDeleteForward, 0)
	assert.Empty(t, h.drawings())
	h.press("Z", key.ModCtrl)
	require.Len(t, h.drawings(), 1)
	assert.Equal(t, "belt", h.drawings()[0].Text)
	for range 4 {
		h.press("Z", key.ModCtrl)
	}
	assert.Empty(t, h.drawings())
	h.press("Z", key.ModCtrl|key.ModShift)
	assert.Len(t, h.drawings(), 1)
}

func TestAnAngleIsReadInThePicture(t *testing.T) {
	h := explained(t)
	h.press("A", key.ModShift)
	for _, p := range [][2]float64{{200, 40}, {140, 40}, {140, 140}} {
		h.clickAt(h.stagePoint(0, p[0], p[1]))
	}
	require.Len(t, h.drawings(), 1)
	// With arms of 60 and 100 px: 2.5 √(2/60² + 2/100²) = 0.0687 rad, ± 7.7°.
	h.find("90° ± 8 in the picture")
}

func TestANoteIsWrittenOnThePicture(t *testing.T) {
	h := explained(t)
	h.click("Write a note on the picture")
	at := h.stagePoint(0, 150, 90)
	h.router.Queue(pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Position: at, Buttons: pointer.ButtonPrimary},
		pointer.Event{Kind: pointer.Release, Source: pointer.Mouse, Position: at})
	h.until("the field to have the keyboard", func() bool { return h.a.explain.HoldsKeys() })
	h.typed("Knee out")
	h.press("D", 0)
	assert.Equal(t, 0, h.a.desk.Bench.Stages[0].Frame, "letters go into the note")
	require.Len(t, h.drawings(), 1)
	assert.Equal(t, "Knee out", h.drawings()[0].Text)
	assert.True(t, h.shows("Knee out"), "it stands on the picture")
	h.press(key.NameReturn, 0)
	h.press("D", 0)
	assert.Equal(t, 1, h.a.desk.Bench.Stages[0].Frame, "Enter ends typing")
	assert.False(t, h.shows("Knee out"), "a note belongs to its frame")
	h.press("J", key.ModShift)
	assert.Equal(t, 0, h.a.desk.Bench.Stages[0].Frame)
	assert.True(t, h.shows("Knee out"))
	h.press("J", 0)
	assert.Equal(t, "You have drawn on no frame after this one in the face-on clip.", h.a.notices.Passing())
}

func TestEscapeLeavesStepByStep(t *testing.T) {
	h := explained(t)
	h.press("L", key.ModShift)
	h.press(key.NameEscape, 0)
	assert.True(t, h.a.explain.On())
	assert.Equal(t, annotations.DrawingUnset, h.a.explain.Tool())
	h.press("L", key.ModShift)
	h.pull(0, 100, 50, 180, 120)
	h.press(key.NameEscape, 0)
	assert.False(t, h.shows("Line in hand"))
	assert.True(t, h.a.explain.On())
	h.press(key.NameEscape, 0)
	assert.False(t, h.a.explain.On())
	assert.Len(t, h.drawings(), 1, "what is drawn stays")
}

func TestDrawingsAreOnDiskAfterClosing(t *testing.T) {
	h := explained(t)
	path := h.a.desk.Path
	h.press("L", key.ModShift)
	h.pull(0, 100, 50, 180, 120)
	h.press("W", key.ModCtrl)
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	require.Len(t, l.Swings[0].Drawings, 1)
}

// stillOf waits for the still that was asked for.
func (h *harness) stillDone() {
	h.t.Helper()
	h.until("the still", func() bool { return !h.a.explain.Drawing() })
}

func TestAStillIsCopied(t *testing.T) {
	h := explained(t)
	var got []byte
	h.a.clip.picture = func(b []byte) error { got = b; return nil }
	h.press("L", key.ModShift)
	h.pull(0, 100, 50, 180, 120)
	h.press("C", key.ModCtrl|key.ModShift)
	h.stillDone()
	img, err := png.Decode(bytes.NewReader(got))
	require.NoError(t, err)
	own := explain.OnPicture.Inks[explain.OwnInk]
	found := 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if r, g, b, _ := img.At(x, y).RGBA(); r>>8 == uint32(own.R) && g>>8 == uint32(own.G) && b>>8 == uint32(own.B) {
				found++
			}
		}
	}
	assert.Greater(t, found, 200, "the line is on the still")
	both := img.Bounds().Dx()
	h.press("O", 0)
	h.click("Copy the pictures shown, with their lines")
	h.stillDone()
	img, err = png.Decode(bytes.NewReader(got))
	require.NoError(t, err)
	assert.NotEqual(t, both, img.Bounds().Dx(), "one view alone")

	h.a.clip.picture = func([]byte) error { return errors.New("no X server") }
	h.press("C", key.ModCtrl|key.ModShift)
	h.stillDone()
	require.NotEmpty(t, h.a.notices.Alerts())
	assert.Contains(t, h.a.notices.Alerts()[0], "save it with Ctrl+S instead")
}

func TestAStillIsSavedAndNeverOverwritesSilently(t *testing.T) {
	h := explained(t)
	dir := filepath.Dir(h.a.desk.Path)
	faultfs.SetBase(t, "HOME", t.TempDir())
	h.press("S", key.ModCtrl)
	h.frame()
	assert.True(t, h.shows("Save the picture"))
	const name = "Mara Lindqvist 2026-05-02 address.png"
	h.press("D", 0)
	assert.Equal(t, 0, h.a.desk.Bench.Stages[0].Frame)
	h.click("Save")
	h.stillDone()
	first, err := os.ReadFile(filepath.Join(dir, name))
	require.NoError(t, err)
	c, err := png.DecodeConfig(bytes.NewReader(first))
	require.NoError(t, err)
	assert.Greater(t, c.Height, 720)

	h.press("S", key.ModCtrl)
	h.frame()
	h.click("Save")
	h.stillDone()
	assert.FileExists(t, filepath.Join(dir, "Mara Lindqvist 2026-05-02 address (2).png"), "a name that is free")
	h.press("S", key.ModCtrl)
	h.frame()
	h.router.Queue(key.EditEvent{Range: key.Range{End: behindAll}, Text: name})
	h.frame()
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("mine"), 0o644))
	h.click("Save")
	assert.True(t, h.shows("A file of this name is there already. Change the name, or replace it."))
	kept, _ := os.ReadFile(filepath.Join(dir, name))
	assert.Equal(t, "mine", string(kept))
	h.click("Replace it")
	h.stillDone()
	kept, _ = os.ReadFile(filepath.Join(dir, name))
	assert.Equal(t, first, kept)

	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		assert.NotContains(t, e.Name(), ".turngauge-", "nothing half made is left")
	}
}

func TestTheBarHasRoomAtAnySizeOfText(t *testing.T) {
	for scale, size := range map[float32]image.Point{0.8: {X: 1100, Y: 700}, 1: {X: 1100, Y: 700}, 1.5: {X: 1100, Y: 700}, 2: {X: 1280, Y: 800}} {
		h := explained(t)
		h.size = size
		h.a.theme.SetTextScale(scale)
		h.frame()
		h.frame()
		bar := h.find("Explaining")
		for _, id := range []string{"ankle-knee line", "trunk line", "draw line", "write note", "copy still", "save still"} {
			r := h.find(h.a.commands.byID[id].Help)
			assert.True(t, r.In(bar), "text at %v: %s at %v leaves the bar %v", scale, id, r, bar)
		}
		for i := range h.a.desk.Bench.Stages {
			r := h.find(pictureLabel(i, h.a.desk.Bench))
			assert.False(t, r.Overlaps(bar))
			assert.Greater(t, r.Dy(), 80, "there is a picture left")
		}
	}
}

func BenchmarkExplainedFrame(b *testing.B) {
	h := explained(b)
	for _, c := range []string{"fo", "dl"} {
		for p := range geometry.Point(geometry.NumPoints) {
			h.put(c, p, 20+float64(p)*10, 30+float64(p%7)*18)
		}
	}
	for _, k := range []key.Name{"4", "5", "6"} { // the others are on
		h.press(k, key.ModCtrl)
	}
	h.until("the fit", func() bool { return h.a.desk.Result.Revision == h.a.desk.Bench.Editor().Revision() })
	b.ReportAllocs()
	for b.Loop() {
		h.frame()
	}
}
