package explain

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
)

// steady is a clip of 300 frames at 240 a second.
type steady struct{}

func (steady) Frames() int           { return 300 }
func (steady) PTS(n int) int64       { return int64(n) * 64 }
func (steady) Seconds(n int) float64 { return float64(n) / 240 }
func (steady) FrameAt(s float64) int { return min(max(int(s*240+0.5), 0), 299) }

var stage = bench.Size{W: 600, H: 700}

const reach = 11

// hand is a coach's hand on a board.
type hand struct {
	t *testing.T
	b *bench.Bench
	*Board
}

func newHand(t *testing.T) *hand {
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s1", Clips: []annotations.Clip{
		{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080},
		{ID: "dl", View: geometry.DownTheLine, Width: 1080, Height: 1920},
	}}}
	b := bench.New(annotations.NewEditor(l), "s1")
	for i := range b.Stages {
		b.OpenFilm(i, steady{})
		b.Stages[i].Port = bench.Fit(b.Stages[i].Picture, stage)
	}
	return &hand{t, b, NewBoard(b, func() *bench.Show { return &b.Show })}
}

// to is where a place of the picture is on a stage.
func (h *hand) to(st int, x, y float64) bench.ScreenPt {
	return h.b.Stages[st].Port.ToScreen(bench.PicturePt{X: x, Y: y}, stage)
}

func (h *hand) press(st int, x, y float64) bool {
	taken, note := h.Press(st, h.to(st, x, y), stage, reach, nil)
	assert.Empty(h.t, note)
	return taken
}

func (h *hand) click(st int, x, y float64) bool {
	taken := h.press(st, x, y)
	h.Release(h.to(st, x, y), stage)
	return taken
}

func (h *hand) dragged(st int, x0, y0, x1, y1 float64) {
	h.press(st, x0, y0)
	for _, k := range []float64{0.3, 0.7, 1} {
		h.Drag(h.to(st, x0+k*(x1-x0), y0+k*(y1-y0)), stage)
	}
	h.Release(h.to(st, x1, y1), stage)
}

func (h *hand) drawn() []annotations.Drawing { return h.b.Swing().Drawings }

func placesAre(t *testing.T, want, got []geometry.ImagePt) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		assert.InDelta(t, want[i].X, got[i].X, 0.01)
		assert.InDelta(t, want[i].Y, got[i].Y, 0.01)
	}
}

func TestThePenStaysInHandForTheNextLine(t *testing.T) {
	h := newHand(t)
	h.b.GoTo(0, 33)
	h.Take(annotations.DrawnFreehand)
	h.dragged(0, 100, 200, 700, 500)
	h.dragged(0, 120, 520, 600, 560)
	require.Len(t, h.drawn(), 2)
	h.b.Undo()
	require.Len(t, h.drawn(), 1, "a line is a step of undo")
	h.Refresh()
	assert.Equal(t, annotations.DrawnFreehand, h.Tool(), "undo leaves the pen in hand")
	assert.True(t, h.LetGo())
	assert.Equal(t, annotations.DrawingUnset, h.Tool())
	assert.False(t, h.LetGo(), "one Esc puts pen and line down")
}

func TestALineIsDragged(t *testing.T) {
	h := newHand(t)
	h.b.GoTo(0, 33)
	h.Take(annotations.DrawnLine)
	h.dragged(0, 100, 200, 700, 500)
	require.Len(t, h.drawn(), 1)
	d := h.drawn()[0]
	assert.Equal(t, annotations.DrawnLine, d.Kind)
	assert.Equal(t, annotations.FrameRef{Clip: "fo", Index: 33, PTS: 33 * 64}, d.Frame)
	placesAre(t, []geometry.ImagePt{pt(100, 200), pt(700, 500)}, d.Points)
	assert.Equal(t, annotations.DrawingUnset, h.Tool(), "the tool draws once")
	held, _, ok := h.Held()
	require.True(t, ok)
	assert.Equal(t, d.ID, held.ID)
	h.b.Undo()
	assert.Empty(t, h.drawn())
	h.Refresh()
	_, _, ok = h.Held()
	assert.False(t, ok, "nothing is held that is gone")
	h.b.Redo()
	require.Len(t, h.drawn(), 1)
}

func TestALineAndAnAngleAreClicked(t *testing.T) {
	h := newHand(t)
	h.Take(annotations.DrawnLine)
	h.click(1, 100, 200)
	h.click(1, 101, 200) // the same place again
	assert.Empty(t, h.drawn())
	h.Move(1, h.to(1, 300, 300), stage)
	d, ok := h.Begun(1)
	require.True(t, ok, "what is begun is shown")
	placesAre(t, []geometry.ImagePt{pt(100, 200), pt(300, 300)}, d.Points)
	_, ok = h.Begun(0)
	assert.False(t, ok)
	h.click(1, 300, 300)
	require.Len(t, h.drawn(), 1)
	assert.Equal(t, "dl", h.drawn()[0].Frame.Clip)

	h.Take(annotations.DrawnAngle)
	h.click(1, 500, 200)
	h.click(1, 500, 600)
	assert.Len(t, h.drawn(), 1)
	h.click(1, 800, 600)
	require.Len(t, h.drawn(), 2)
	placesAre(t, []geometry.ImagePt{pt(500, 200), pt(500, 600), pt(800, 600)}, h.drawn()[1].Points)
}

func TestANoteIsTypedInOneStep(t *testing.T) {
	h := newHand(t)
	h.Take(annotations.DrawnNote)
	h.click(0, 900, 300)
	assert.Empty(t, h.drawn(), "a note that says nothing is none")
	held, _, ok := h.Held()
	require.True(t, ok)
	assert.Equal(t, annotations.DrawnNote, held.Kind)
	for _, s := range []string{"k", "kn", "kne", "knee"} {
		require.Empty(t, h.SetText(s))
	}
	require.Len(t, h.drawn(), 1)
	assert.Equal(t, "knee", h.drawn()[0].Text)
	h.SetText("")
	assert.Equal(t, "knee", h.drawn()[0].Text, "a note keeps its last word")
	h.b.Undo()
	assert.Empty(t, h.drawn(), "typing is one step")

	h.Refresh()
	h.Take(annotations.DrawnNote)
	h.click(0, 900, 300)
	assert.True(t, h.LetGo())
	assert.Empty(t, h.drawn())
}

func TestDrawingsAreMoved(t *testing.T) {
	h := newHand(t)
	h.Take(annotations.DrawnLine)
	h.dragged(0, 400, 400, 800, 400)
	assert.True(t, h.LetGo())

	h.dragged(0, 800, 400, 850, 500) // the end's handle
	placesAre(t, []geometry.ImagePt{pt(400, 400), pt(850, 500)}, h.drawn()[0].Points)
	_, handle, _ := h.Held()
	assert.Equal(t, 1, handle)
	h.Nudge(0.1, 0)
	h.Nudge(0, -1)
	placesAre(t, []geometry.ImagePt{pt(400, 400), pt(850.1, 499)}, h.drawn()[0].Points)

	h.dragged(0, 625, 450, 645, 440) // its middle
	placesAre(t, []geometry.ImagePt{pt(420, 390), pt(870.1, 489)}, h.drawn()[0].Points)
	h.dragged(0, 645, 440, -3000, 440)
	placesAre(t, []geometry.ImagePt{pt(0, 390), pt(450.1, 489)}, h.drawn()[0].Points)

	h.dragged(0, 0, 390, 450.1, 489)
	assert.NotEqual(t, h.drawn()[0].Points[0], h.drawn()[0].Points[1], "its ends never meet")

	labels := []string{}
	for {
		label, ok := h.b.Editor().Undo()
		if !ok {
			break
		}
		labels = append(labels, label)
	}
	assert.Equal(t, "draw a line", labels[len(labels)-1])
	assert.Equal(t, "change the line", labels[0])
	assert.LessOrEqual(t, len(labels), 7, "a drag is one step")
}

func TestADrawingIsTakenByItsTextAndTakenAway(t *testing.T) {
	h := newHand(t)
	h.Take(annotations.DrawnNote)
	h.click(0, 900, 300)
	h.SetText("here")
	id := h.drawn()[0].ID
	h.LetGo()
	taken, _ := h.Press(0, h.to(0, 1200, 300), stage, reach, func(bench.ScreenPt) string { return id })
	assert.True(t, taken)
	h.Drag(h.to(0, 1210, 320), stage)
	h.Release(h.to(0, 1210, 320), stage)
	placesAre(t, []geometry.ImagePt{pt(910, 320)}, h.drawn()[0].Points)
	assert.Contains(t, h.Delete(), "Ctrl+Z")
	assert.Empty(t, h.drawn())
	assert.Contains(t, h.Delete(), "Click a drawing first")
}

func TestOnlyWhatIsShownIsTakenHold(t *testing.T) {
	h := newHand(t)
	h.b.SetLock(bench.Unlocked)
	h.b.GoTo(0, 10)
	h.Take(annotations.DrawnLine)
	h.dragged(0, 400, 400, 800, 400)
	h.b.GoTo(0, 50)
	h.Refresh()
	_, _, ok := h.Held()
	assert.False(t, ok, "another frame is shown")
	assert.False(t, h.press(0, 400, 400))
	frame, ok := h.Neighbour(0, -1)
	require.True(t, ok)
	assert.Equal(t, 10, frame)
	_, ok = h.Neighbour(0, 1)
	assert.False(t, ok)

	h.Take(annotations.DrawnAngle)
	h.click(0, 100, 100)
	h.click(0, 300, 100)
	h.b.GoTo(0, 51)
	h.Refresh()
	h.click(0, 300, 300)
	assert.Len(t, h.drawn(), 1, "an angle is not begun on one frame and ended on another")
}

func TestAPressThatTheSystemTakesAwayChangesNothing(t *testing.T) {
	h := newHand(t)
	h.Take(annotations.DrawnLine)
	h.dragged(0, 400, 400, 800, 400)
	h.press(0, 400, 400)
	h.Drag(h.to(0, 500, 500), stage)
	h.Cancel()
	placesAre(t, []geometry.ImagePt{pt(400, 400), pt(800, 400)}, h.drawn()[0].Points)
	h.Take(annotations.DrawnLine)
	h.press(0, 1, 1)
	h.Cancel()
	h.Move(0, h.to(0, 9, 9), stage)
	_, ok := h.Begun(0)
	assert.False(t, ok)
}

// FuzzHand lets a hand do anything in any order: the document stays valid, what is
// held is there, no mark is ever made, and undoing everything leads back to the
// start.
func FuzzHand(f *testing.F) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 9))
		b := make([]byte, 150)
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, script []byte) {
		h := newHand(t)
		start := h.b.Lesson()
		for len(script) >= 4 {
			a, st, x, y := script[0], int(script[1])%2, float64(script[2])*9-100, float64(script[3])*9-100
			script = script[4:]
			at := h.to(st, x, y)
			switch a % 12 {
			case 0:
				h.Take(annotations.DrawingKind(a / 12 % 4))
			case 1, 2:
				h.Press(st, at, stage, reach, nil)
			case 3:
				h.Drag(at, stage)
			case 4:
				h.Release(at, stage)
			case 5:
				h.Move(st, at, stage)
			case 6:
				h.SetText(string(rune('a' + a/12)))
			case 7:
				h.Nudge(x/50, y/50)
			case 8:
				h.Delete()
			case 9:
				h.LetGo()
			case 10:
				h.b.GoTo(st, int(x/50))
			case 11:
				switch a / 12 % 3 {
				case 0:
					h.b.Undo()
				case 1:
					h.b.Redo()
				case 2:
					h.Cancel()
				}
			}
			h.Refresh()
			if err := h.b.Lesson().Validate(); err != nil {
				t.Fatalf("the lesson is no longer valid: %v", err)
			}
			if d, handle, ok := h.Held(); ok && (handle < Whole || handle >= len(d.Points)) {
				t.Fatalf("point %d of a %s is held", handle, d.Kind)
			}
			if n := len(h.b.Swing().Marks); n != 0 {
				t.Fatalf("%d marks were made", n)
			}
		}
		for {
			if _, ok := h.b.Editor().Undo(); !ok {
				break
			}
		}
		if h.b.Lesson() != start {
			t.Fatal("undoing everything does not lead back to the start")
		}
	})
}
