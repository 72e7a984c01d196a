package explain

import (
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// tolPixel is far below what a screen shows.
const tolPixel = 1e-9

func pt(x, y float64) geometry.ImagePt { return geometry.ImagePt{X: x, Y: y} }

func near(t *testing.T, want, got geometry.ImagePt, what string) {
	t.Helper()
	assert.InDelta(t, want.X, got.X, tolPixel, "%s, x", what)
	assert.InDelta(t, want.Y, got.Y, tolPixel, "%s, y", what)
}

// frameOf is a frame on which points are marked.
func frameOf(v geometry.View, at geometry.PositionName, marks map[geometry.Point]geometry.ImagePt) *Frame {
	f := &Frame{View: v, Position: at, Width: 1920, Height: 1080}
	for p, q := range marks {
		f.Spots[p] = Spot{At: q, Known: true}
	}
	return f
}

func only(l Line) (s Set) { s[l] = true; return s }

// The figures of these tests are chosen so that they can be worked out by hand.

func TestAnkleKneeLineByHand(t *testing.T) {
	f := frameOf(geometry.DownTheLine, geometry.Top, map[geometry.Point]geometry.ImagePt{
		geometry.LeadAnkle: pt(500, 900), geometry.LeadKnee: pt(540, 700), geometry.LeadHip: pt(530, 450),
	})
	f.Seen.Back[0], f.Seen.HasBack[0] = pt(-40, 0), true
	f.Numbers = map[string]string{"lead hip offset from the ankle-knee line": "−3.2 ± 1.1 cm"}
	g := f.Figure(only(AnkleKneeLine))
	require.Len(t, g.Strokes, 2, "the trail leg is not marked")
	// The back of the knee lies at (500, 700): the line stands upright at 500,
	// passes the hip's height after 450 of its 200-pixel steps, and goes on by 8 %.
	near(t, pt(500, 900), g.Strokes[0].From, "ankle")
	near(t, pt(500, 900-1.08*450), g.Strokes[0].To, "top of the line")
	near(t, pt(500, 450), g.Strokes[1].From, "the line at the hip's height")
	near(t, pt(530, 450), g.Strokes[1].To, "hip")
	assert.False(t, g.Strokes[0].Dashed)
	assert.True(t, g.Strokes[1].Thin)
	require.Len(t, g.Labels, 1)
	assert.Equal(t, "lead hip offset −3.2 ± 1.1 cm", g.Labels[0].String())
	require.Len(t, g.Dots, 3)
	near(t, pt(500, 700), g.Dots[1].At, "back of the knee")
}

// Without a fit half the knee's depth, 0.034 of stature, is taken from the
// shank, 0.246 of it: 200 · 0.034 / 0.246 = 27.642 pixels.
func TestBackOfTheKneeWithoutAFit(t *testing.T) {
	f := frameOf(geometry.DownTheLine, geometry.Top, nil)
	assert.InDelta(t, 500-27.642, f.backOfKnee(0, pt(500, 900), pt(500, 700)).X, 0.001)
	f.Handed = geometry.LeftHanded
	assert.InDelta(t, 500+27.642, f.backOfKnee(0, pt(500, 900), pt(500, 700)).X, 0.001, "a left-hander stands on the other side of the ball")
}

func TestHipAndShoulderLinesByHand(t *testing.T) {
	f := frameOf(geometry.FaceOn, geometry.Top, map[geometry.Point]geometry.ImagePt{
		geometry.LeadHip: pt(600, 520), geometry.TrailHip: pt(400, 480),
		geometry.LeadShoulder: pt(600, 300), geometry.TrailShoulder: pt(400, 300),
	})
	f.Numbers = map[string]string{"pelvis turn": "41.4° ± 5.9", "pelvis tilt": "1.0° ± 2.0", "torso turn": "88.0° ± 4.0"}
	g := f.Figure(only(HipLine))
	require.Len(t, g.Strokes, 2)
	// Each end lies 0.35 of the 200 by 40 pixels between the hips further out.
	near(t, pt(500, 500), g.Strokes[0].From, "middle")
	near(t, pt(670, 534), g.Strokes[0].To, "lead end")
	near(t, pt(330, 466), g.Strokes[1].To, "trail end")
	assert.Equal(t, [2]bool{false, true}, [2]bool{g.Strokes[0].Dashed, g.Strokes[1].Dashed}, "lead solid, trail dashed")
	assert.Equal(t, [2]Ink{LeadInk, TrailInk}, [2]Ink{g.Strokes[0].Ink, g.Strokes[1].Ink})
	assert.Equal(t, "pelvis turn 41.4° ± 5.9", g.Labels[0].String())
	delete(f.Numbers, "pelvis turn")
	assert.Equal(t, "pelvis tilt 1.0° ± 2.0", f.Figure(only(HipLine)).Labels[0].String())
	delete(f.Numbers, "pelvis tilt")
	assert.Empty(t, f.Figure(only(HipLine)).Labels, "what is not measured is not written")

	g = f.Figure(only(ShoulderLine))
	near(t, pt(670, 300), g.Strokes[0].To, "lead end")
	assert.Equal(t, "torso turn 88.0° ± 4.0", g.Labels[0].String())
}

func TestFootDirectionByHand(t *testing.T) {
	f := frameOf(geometry.FaceOn, geometry.Address, map[geometry.Point]geometry.ImagePt{
		geometry.TrailHeel: pt(400, 900), geometry.TrailToe: pt(380, 940),
	})
	f.Numbers = map[string]string{"trail foot flare": "20.0° ± 6.0"}
	g := f.Figure(only(FootLine))
	require.Len(t, g.Strokes, 1)
	near(t, pt(362, 976), g.Strokes[0].To, "0.9 of the foot beyond the toe")
	assert.True(t, g.Strokes[0].Arrow && g.Strokes[0].Dashed)
	assert.Equal(t, "trail foot flare 20.0° ± 6.0", g.Labels[0].String())
}

func TestNumbersOfTheFrontAreWrittenOnce(t *testing.T) {
	marks := map[geometry.Point]geometry.ImagePt{geometry.LeadHip: pt(600, 520), geometry.TrailHip: pt(400, 480)}
	for _, c := range []struct {
		view   geometry.View
		paired bool
		want   int
	}{{geometry.FaceOn, false, 1}, {geometry.FaceOn, true, 1}, {geometry.DownTheLine, false, 1}, {geometry.DownTheLine, true, 0}} {
		f := frameOf(c.view, geometry.Top, marks)
		f.Paired = c.paired
		f.Numbers = map[string]string{"pelvis turn": "41.4° ± 5.9"}
		g := f.Figure(only(HipLine))
		assert.Len(t, g.Labels, c.want, "%v %v", c.view, c.paired)
		assert.Len(t, g.Strokes, 2)
	}
}

func TestTrunkLineByHand(t *testing.T) {
	f := frameOf(geometry.DownTheLine, geometry.Impact, map[geometry.Point]geometry.ImagePt{
		geometry.LeadHip: pt(480, 620), geometry.TrailHip: pt(520, 580),
		geometry.LeadShoulder: pt(640, 430), geometry.TrailShoulder: pt(660, 450),
	})
	// From (500, 600) to (650, 440): leaning by 150 over 160 pixels.
	f.Seen.Up, f.Seen.HasUp = pt(0, -3), true
	f.Numbers = map[string]string{"torso side bend": "9° ± 9", "forward bend": "43.0° ± 2.0"}
	g := f.Figure(only(TrunkLine))
	require.Len(t, g.Strokes, 2)
	near(t, pt(500, 600), g.Strokes[0].From, "middle of the hips")
	assert.Equal(t, 500.0, g.Strokes[0].To.X, "upright")
	assert.InDelta(t, 600-219.31712, g.Strokes[0].To.Y, 1e-5, "as long as the trunk")
	near(t, pt(687.5, 400), g.Strokes[1].To, "a quarter beyond the shoulders")
	assert.Equal(t, "forward bend 43.0° ± 2.0", g.Labels[0].String())
	f.View = geometry.FaceOn
	assert.Equal(t, "torso side bend 9° ± 9", f.Figure(only(TrunkLine)).Labels[0].String())
}

func TestShaftPlaneByHand(t *testing.T) {
	f := frameOf(geometry.DownTheLine, geometry.Address, nil)
	f.Shaft = [2]Spot{{At: pt(500, 500), Known: true}, {At: pt(800, 900), Known: true}}
	f.Numbers = map[string]string{"shaft plane": "54.1° ± 1.0", "club above plane": "12.0 ± 4.0 cm"}
	g := f.Figure(only(ShaftPlane))
	require.Len(t, g.Strokes, 1)
	near(t, pt(800, 900), g.Strokes[0].From, "clubhead")
	near(t, pt(170, 60), g.Strokes[0].To, "1.1 lengths of the shaft beyond the grip")
	assert.Equal(t, "shaft plane 54.1° ± 1.0", g.Labels[0].String())

	// At delivery the plane runs from (800, 900) towards (200, 100), a 3-4-5
	// triangle; the clubhead at (300, 400) lies 100 pixels from it, beside
	// (380, 340).
	f.Position = geometry.Delivery
	f.Seen.Plane, f.Seen.HasPlane = [2]geometry.ImagePt{pt(800, 900), pt(200, 100)}, true
	f.Spots[geometry.Clubhead] = Spot{At: pt(300, 400), Known: true}
	g = f.Figure(only(ShaftPlane))
	require.Len(t, g.Strokes, 2)
	near(t, pt(380, 340), g.Strokes[1].From, "on the plane")
	near(t, pt(300, 400), g.Strokes[1].To, "clubhead")
	assert.InDelta(t, 100, dist(g.Strokes[1].From, g.Strokes[1].To), tolPixel)
	assert.Equal(t, "club above plane 12.0 ± 4.0 cm", g.Labels[0].String())
}

func TestALineThatCantBeDrawnSaysWhy(t *testing.T) {
	faceOn := frameOf(geometry.FaceOn, geometry.Top, map[geometry.Point]geometry.ImagePt{geometry.LeadHip: pt(1, 1), geometry.TrailShoulder: pt(2, 2)})
	down := frameOf(geometry.DownTheLine, geometry.Top, map[geometry.Point]geometry.ImagePt{
		geometry.TrailAnkle: pt(1, 1), geometry.TrailKnee: pt(1, 2), geometry.TrailHip: pt(1, 3)})
	between := frameOf(geometry.DownTheLine, "", nil)
	for _, c := range []struct {
		frame *Frame
		line  Line
		want  string
	}{
		{faceOn, AnkleKneeLine, "is read down the line"},
		{faceOn, ShaftPlane, "is read down the line"},
		{faceOn, HipLine, "needs the trail hip marked here"},
		{faceOn, ShoulderLine, "needs the lead shoulder marked here"},
		{faceOn, FootLine, "needs the lead heel and lead toe marked here"},
		{faceOn, TrunkLine, "needs the trail hip and lead shoulder marked here"},
		{down, AnkleKneeLine, ""},
		{down, ShaftPlane, "needs the grip and the clubhead marked at address, down the line"},
		{between, HipLine, "stands at key positions, and between them once the swing is followed (I)"},
	} {
		assert.Equal(t, c.want, c.frame.Needs(c.line), "%s", c.line)
		if c.want != "" {
			assert.Empty(t, c.frame.Figure(only(c.line)).Strokes)
		}
	}
}

func TestNamesOfLines(t *testing.T) {
	for l := range Line(NumLines) {
		got, ok := ParseLine(l.String())
		assert.True(t, ok)
		assert.Equal(t, l, got)
	}
	_, ok := ParseLine("bow tie")
	assert.False(t, ok)
}

// lesson reads the marked lesson that other tests measure.
func lesson(t *testing.T) *annotations.Lesson {
	t.Helper()
	l, _, err := annotations.Load(filepath.Join("..", "..", "testdata", "lessons", "marked.json"))
	require.NoError(t, err)
	return l
}

func TestMarksAndDrawingsComeFromTheFrame(t *testing.T) {
	l := lesson(t)
	s := &l.Swings[0]
	at := geometry.Top
	ref, ok := s.FrameOf(s.Clips[0].ID, at)
	require.True(t, ok)
	s.Drawings = []annotations.Drawing{
		{ID: "here", Kind: annotations.DrawnNote, Frame: ref, Points: []geometry.ImagePt{pt(5, 5)}, Text: "yes"},
		{ID: "elsewhere", Kind: annotations.DrawnNote, Frame: annotations.FrameRef{Clip: ref.Clip, Index: ref.Index + 1}, Points: []geometry.ImagePt{pt(5, 5)}, Text: "no"},
	}
	s.Marks = slices.DeleteFunc(s.Marks, func(m annotations.Mark) bool { return m.Point == geometry.Ball })
	var seen Seen
	seen.Spots[geometry.LeadHip] = Spot{At: pt(1, 1), Known: true, Fitted: true}
	seen.Spots[geometry.Ball] = Spot{At: pt(2, 2), Known: true, Fitted: true}
	f := NewFrame(l, s.ID, ref.Clip, ref.Index, seen, nil)
	assert.Equal(t, at, f.Position)
	m, ok := s.Mark(ref.Clip, at, geometry.LeadHip)
	require.True(t, ok)
	assert.Equal(t, Spot{At: m.At, Known: true}, f.Spots[geometry.LeadHip], "the mark wins over the fit")
	assert.True(t, f.Spots[geometry.Ball].Fitted, "what is not marked here is where the fit puts it")
	require.Len(t, f.Drawings, 1)
	assert.Equal(t, "here", f.Drawings[0].ID)
	f = NewFrame(l, s.ID, ref.Clip, ref.Index+1, seen, nil)
	assert.Empty(t, f.Position)
	assert.Equal(t, [geometry.NumPoints]Spot{}, f.Spots, "points belong to key positions")
	require.Len(t, f.Drawings, 1)
	assert.Equal(t, "elsewhere", f.Drawings[0].ID)
}
