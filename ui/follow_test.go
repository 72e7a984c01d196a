package ui

import (
	"image"
	"image/color"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/video"
)

// following reports whether marks are being proposed.
func (h *harness) following() bool {
	_, on := h.a.desk.Following()
	return on
}

// driftX is how far the patch of openDrifting moves to the right, pixels a
// frame.
const driftX = 1.5

// openDrifting puts a lesson on the desk whose one clip shows a patch of
// random texture that drifts over a still, other texture. The patch's middle is
// at (100, 90) in frame 0.
func (h *harness) openDrifting() {
	h.t.Helper()
	dir := h.t.TempDir()
	out, err := video.Create(filepath.Join(dir, "drift.mp4"), video.WriterOptions{Width: 320, Height: 180, RateNum: 120, RateDen: 1, GOP: 12, Preset: "ultrafast", CRF: 8})
	require.NoError(h.t, err)
	noise := func(seed uint64) func(x, y float64) float64 {
		rng := rand.New(rand.NewPCG(seed, 1))
		var grid [80][80]float64
		for i := range grid {
			for j := range grid[i] {
				grid[i][j] = rng.Float64()
			}
		}
		return func(x, y float64) float64 { // bilinear, a cell of 5 pixels
			x, y = x/5, y/5
			i, j := int(x), int(y)
			fx, fy := x-float64(i), y-float64(j)
			at := func(i, j int) float64 { return grid[j%80][i%80] }
			return (at(i, j)*(1-fx)+at(i+1, j)*fx)*(1-fy) + (at(i, j+1)*(1-fx)+at(i+1, j+1)*fx)*fy
		}
	}
	ground, patch := noise(1), noise(2)
	img := image.NewRGBA(image.Rect(0, 0, 320, 180))
	for k := range 48 {
		left := 70 + driftX*float64(k)
		for y := range 180 {
			for x := range 320 {
				v := 60 + 40*ground(float64(x), float64(y))
				if px := float64(x) - left; px >= 0 && px < 60 && y >= 60 && y < 120 {
					v = 40 + 190*patch(px, float64(y))
				}
				img.SetRGBA(x, y, color.RGBA{uint8(v), uint8(v), uint8(v), 255})
			}
		}
		require.NoError(h.t, out.WriteFrame(img))
	}
	require.NoError(h.t, out.Close())
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s1", Clips: []annotations.Clip{
		{ID: "fo", View: geometry.FaceOn, File: "drift.mp4", Width: 320, Height: 180, TimeBase: [2]int64{1, 15360}}}}}
	path := filepath.Join(dir, "lesson.json")
	require.NoError(h.t, annotations.Save(path, l))
	h.a.openLesson(path)
	h.until("the clip", func() bool { return h.a.desk.Films[0] != nil && h.a.stage.Frame(0) >= 0 })
}

func TestMarksAreFollowedToTheNextKeyPosition(t *testing.T) {
	h := newHarness(t)
	h.openDrifting()
	b := h.a.desk.Bench
	h.press("A", 0)
	assert.Contains(t, h.a.notices.Passing(), "no key position")
	h.press("1", 0)
	b.Arm(geometry.Buckle)
	h.frame()
	h.clickAt(h.stagePoint(0, 100, 90))
	b.GoTo(0, 20)
	h.frame()
	h.press("4", 0)
	h.press("A", 0)
	h.until("the point to be followed", func() bool { return !h.following() })
	m, ok := b.Swing().Mark("fo", geometry.Top, geometry.Buckle)
	require.True(t, ok, h.a.notices.Passing())
	assert.Equal(t, geometry.Tracked, m.State, "offered, not placed")
	assert.InDelta(t, 100+20*driftX, m.At.X, 0.7)
	assert.InDelta(t, 90, m.At.Y, 0.7)
	assert.Greater(t, m.SDPx, geometry.DefaultSigmaPx(geometry.Buckle, geometry.Placed, geometry.FaceOn), "less sure than a mark by hand")
	h.press(key.NameReturn, 0) // takes hold of it
	h.press(key.NameReturn, 0) // takes it
	m, _ = b.Swing().Mark("fo", geometry.Top, geometry.Buckle)
	assert.Equal(t, geometry.Placed, m.State)
	assert.Zero(t, m.SDPx)
	h.press("Z", key.ModCtrl)
	h.press("Z", key.ModCtrl)
	_, ok = b.Swing().Mark("fo", geometry.Top, geometry.Buckle)
	assert.False(t, ok, "following is one step of undo")
}

func TestFollowingIsLeftWithEsc(t *testing.T) {
	h := newHarness(t)
	h.openDrifting()
	b := h.a.desk.Bench
	h.press("1", 0)
	b.Arm(geometry.Buckle)
	h.frame()
	h.clickAt(h.stagePoint(0, 100, 90))
	b.GoTo(0, 47)
	h.frame()
	h.press("4", 0)
	h.press("A", 0)
	h.press(key.NameEscape, 0)
	h.until("the end of it", func() bool { return !h.following() })
	marks := b.Swing().MarksAt("fo", geometry.Top)
	assert.LessOrEqual(t, len(marks), 1)
	require.NoError(t, b.Lesson().Validate())
}

// TestMarksAreProposedAtEveryKeyPosition: Ctrl+A follows a mark to all other key
// positions, and shows one of them where none was shown.
func TestMarksAreProposedAtEveryKeyPosition(t *testing.T) {
	h := newHarness(t)
	h.openDrifting()
	b := h.a.desk.Bench
	h.press("N", key.ModCtrl)
	assert.Contains(t, h.a.notices.Passing(), "Nothing is marked yet")
	h.press("A", key.ModCtrl)
	assert.Contains(t, h.a.notices.Passing(), "No key position is set yet")
	h.press("1", 0)
	b.Arm(geometry.Buckle)
	h.frame()
	h.clickAt(h.stagePoint(0, 100, 90))
	for frame, digit := range map[int]key.Name{12: "4", 20: "6"} {
		b.GoTo(0, frame)
		h.frame()
		h.press(digit, 0)
	}
	b.GoTo(0, 40)
	h.frame()
	h.press("A", key.ModCtrl)
	assert.Equal(t, 0, b.Stages[0].Frame, "the first key position is shown")
	h.until("the point to be followed", func() bool { return !h.following() })
	for frame, name := range map[int]geometry.PositionName{12: geometry.Top, 20: geometry.Impact} {
		m, ok := b.Swing().Mark("fo", name, geometry.Buckle)
		require.True(t, ok, name)
		assert.Equal(t, geometry.Tracked, m.State)
		assert.InDelta(t, 100+float64(frame)*driftX, m.At.X, 0.7, name)
	}
	assert.Contains(t, h.a.notices.Passing(), "proposed")
}
