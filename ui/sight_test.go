package ui

import (
	"image"
	"image/draw"
	_ "image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/video"
)

// openGolfer puts a lesson on the desk whose one clip shows the demo golfer at
// address, face-on, and stands still.
func (h *harness) openGolfer() {
	h.t.Helper()
	f, err := os.Open(filepath.Join("..", "video", "pose", "testdata", "golfer-address.jpg"))
	require.NoError(h.t, err)
	defer f.Close()
	m, _, err := image.Decode(f)
	require.NoError(h.t, err)
	img := image.NewRGBA(m.Bounds())
	draw.Draw(img, img.Rect, m, image.Point{}, draw.Src)
	dir := h.t.TempDir()
	out, err := video.Create(filepath.Join(dir, "still.mp4"), video.WriterOptions{
		Width: img.Rect.Dx(), Height: img.Rect.Dy(), RateNum: 60, RateDen: 1, GOP: 12, Preset: "ultrafast", CRF: 12,
	})
	require.NoError(h.t, err)
	for range 12 {
		require.NoError(h.t, out.WriteFrame(img))
	}
	require.NoError(h.t, out.Close())
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s1", Clips: []annotations.Clip{
		{ID: "fo", View: geometry.FaceOn, File: "still.mp4", Width: img.Rect.Dx(), Height: img.Rect.Dy(), TimeBase: [2]int64{1, 15360}}}}}
	path := filepath.Join(dir, "lesson.json")
	require.NoError(h.t, annotations.Save(path, l))
	h.a.openLesson(path)
	h.until("the clip", func() bool { return h.a.desk.Films[0] != nil && h.a.stage.Frame(0) >= 0 })
}

// TestMarksAreProposedInThePicture: with nothing marked, A proposes the joints
// that the picture shows; they are taken, and asked for again.
func TestMarksAreProposedInThePicture(t *testing.T) {
	h := newHarness(t)
	h.openGolfer()
	b := h.a.desk.Bench
	h.press("1", 0)
	h.press("A", 0)
	h.until("the golfer to be found", func() bool { return !h.following() })
	marks := b.Swing().MarksAt("fo", geometry.Address)
	assert.Contains(t, h.a.notices.Passing(), "points proposed")
	require.Greater(t, len(marks), 12)
	for _, m := range marks {
		assert.Equal(t, geometry.Proposed, m.State, m.Point)
		assert.Greater(t, m.SDPx, 0.0, m.Point)
	}
	// The picture is the demo's frame of address from 460 pixels on, at half
	// the size; the hips are 173 mm apart there, and she faces the camera.
	lead, ok := b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	require.True(t, ok)
	trail, ok := b.Swing().Mark("fo", geometry.Address, geometry.TrailHip)
	require.True(t, ok)
	assert.InDelta(t, 29, lead.At.X-trail.At.X, 8)
	h.press(key.NameReturn, 0) // takes hold of the first
	s, _ := b.Selected()
	h.press(key.NameReturn, 0) // takes it
	m, _ := b.Swing().Mark("fo", geometry.Address, s.Point)
	assert.Equal(t, geometry.Placed, m.State)
	assert.Equal(t, len(marks)-1, b.Waiting())
	h.press(key.NameReturn, key.ModShift)
	assert.Zero(t, b.Waiting(), "Shift+Enter takes the others")

	for range 3 {
		h.press("Z", key.ModCtrl)
	}
	assert.Empty(t, b.Swing().MarksAt("fo", geometry.Address), "proposing is one step of undo")
	h.press("A", 0)
	h.until("the golfer again", func() bool { return !h.following() })
	assert.Len(t, b.Swing().MarksAt("fo", geometry.Address), len(marks))
}
