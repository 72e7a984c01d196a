package ui

import (
	"image"
	"image/color"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/draw/drawtest"
	"turngauge/ui/help"
)

// staged is a window's content with a small marked lesson on the desk, always
// the same: grey clips, and the golfer of known truth marked where a face-on
// camera sees her.
func staged(t *testing.T) *harness {
	t.Helper()
	h := newHarness(t)
	h.openLessonOf(func(t testing.TB, path string, n, width, height int) {
		grey := color.RGBA{96, 104, 112, 255}
		paintedClip(t, path, n, width, height, func(int, int, int) color.RGBA { return grey })
	}, markMara)
	d := h.a.desk
	h.until("the advice, by which a point is asked for", func() bool { return d.Result.Gains != nil })
	d.Bench.GoToPosition(geometry.Top)
	return h
}

// markMara sets four key positions and marks the golfer of known truth at two
// of them, before the first fit: the pictures then don't depend on which states
// of the lesson were fitted on the way.
func markMara(sw *annotations.Swing) {
	for i, name := range geometry.KeyPositions[:4] {
		p := annotations.Position{Name: name}
		for _, clip := range []string{"fo", "dl"} {
			p.Frames = append(p.Frames, annotations.FrameRef{Clip: clip, Index: 10 * i, PTS: int64(1280 * i)})
		}
		sw.Positions = append(sw.Positions, p)
	}
	cam := geometry.Camera{Position: geometry.WorldPt{X: 0.1, Y: 1, Z: 4.2}, FocalPx: 240, Width: 320, Height: 180}
	cam.Rotation = geometry.LookAt(cam.Position, geometry.WorldPt{Y: 0.95}, 0)
	model := golfer.Mara()
	for _, name := range []geometry.PositionName{geometry.Address, geometry.Top} {
		pose := model.At(model.Events()[name])
		for p := range geometry.Point(geometry.NumPoints) {
			at, err := cam.Project(pose.Points[p])
			if err != nil || p == geometry.Tailbone || p == geometry.UpperBack || name == geometry.Top && p > geometry.TrailToe {
				continue
			}
			sw.Marks = append(sw.Marks, annotations.Mark{Clip: "fo", Position: name, Point: p, At: at})
		}
	}
}

// rest waits until nothing is going on any more, and lets notices pass.
func (h *harness) rest() {
	h.t.Helper()
	d := h.a.desk
	h.until("rest", func() bool {
		h.now = h.now.Add(time.Minute)
		if d == nil {
			return true
		}
		return h.a.strip.Settled() && d.Result.Revision == d.Bench.Editor().Revision() && d.Result.Gains != nil && h.a.notices.Passing() == "" &&
			h.a.stage.Frame(0) == d.Bench.Stages[0].Frame && h.a.stage.Frame(1) == d.Bench.Stages[1].Frame
	})
}

// picture draws the window as it is.
func (h *harness) picture(t *testing.T, size image.Point, dark bool, scale float32) *image.RGBA {
	t.Helper()
	h.size = size
	h.a.theme.SetDark(dark)
	h.a.settings.TextScale = scale
	for range 3 { // the stages take their size from the frame before
		h.frame()
	}
	if h.a.desk != nil {
		h.rest()
	}
	h.frame()
	return drawtest.Picture(t, size.X, size.Y, 1, h.a.theme.Surround, func(gtx layout.Context) {
		gtx.Now = h.now
		gtx.Source = h.router.Source()
		h.a.frame(gtx)
	})
}

func firstWindow(t *testing.T) *harness { return newHarness(t) }

// TestWindowPictures holds the four pictures that show how things lie; what the window
// says is held on the semantics tree.
func TestWindowPictures(t *testing.T) {
	small, large := image.Pt(1100, 700), image.Pt(1600, 1000)
	for _, c := range []struct {
		name  string
		size  image.Point
		dark  bool
		scale float32
		begin func(t *testing.T) *harness
		then  func(h *harness)
	}{
		{"home-light-large-text", large, false, 2, firstWindow, nil},
		{"desk", large, true, 1, staged, nil},
		{"desk-small-large-text", small, false, 1.375, staged, nil},
		{"help-small", small, false, 1, staged, func(h *harness) { roomOf[*help.Room](h.a).Show(0) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := c.begin(t)
			if c.then != nil {
				h.frame()
				c.then(h)
			}
			img := h.picture(t, c.size, c.dark, c.scale)
			if dir := os.Getenv("TURNGAUGE_PICTURES"); dir != "" {
				drawtest.Save(t, filepath.Join(dir, "window-"+c.name+".png"), img)
			}
			drawtest.Golden(t, filepath.Join("testdata", c.name+".png"), img)
		})
	}
}
