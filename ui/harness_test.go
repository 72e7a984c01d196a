package ui

import (
	"fmt"
	"image"
	"image/color"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/video"
)

// harness runs the window's content without a window.
type harness struct {
	t      testing.TB
	a      *App
	router input.Router
	ops    op.Ops
	now    time.Time
	size   image.Point
	woken  chan struct{}
}

func newHarness(t testing.TB) *harness {
	t.Helper()
	dir := t.TempDir()
	h := &harness{t: t, now: time.Unix(1e9, 0), size: image.Pt(1600, 1000), woken: make(chan struct{}, 1)}
	p := profile.Dirs{Data: filepath.Join(dir, "data"), State: filepath.Join(dir, "state"), Config: filepath.Join(dir, "config")}
	h.a = newApp(p, draw.NewFixedTheme(true, 1), func() {
		select {
		case h.woken <- struct{}{}:
		default:
		}
	})
	t.Cleanup(h.a.closeLesson)
	h.frame()
	h.frame() // filters are known from the second frame on
	return h
}

func (h *harness) frame() {
	h.now = h.now.Add(16 * time.Millisecond)
	h.ops.Reset()
	h.a.frame(layout.Context{
		Ops: &h.ops, Source: h.router.Source(), Now: h.now,
		Metric: unit.Metric{PxPerDp: 1, PxPerSp: 1}, Constraints: layout.Exact(h.size),
	})
	h.router.Frame(&h.ops)
}

// until runs frames, one for each time a worker wakes the window, until what
// is waited for is so.
func (h *harness) until(what string, so func() bool) {
	h.t.Helper()
	deadline := time.After(20 * time.Second)
	for h.frame(); !so(); h.frame() {
		select {
		case <-h.woken:
		case <-time.After(20 * time.Millisecond):
		case <-deadline:
			h.t.Fatalf("waited in vain for %s", what)
		}
	}
}

// roomIn returns the room of a kind that the window has.
func roomIn[R kit.Room](a *App) (found R) {
	for _, r := range a.rooms {
		if r, ok := r.(R); ok {
			return r
		}
	}
	panic("ui: no such room")
}

// find returns where the control or text with a semantic label is.
func (h *harness) find(label string) image.Rectangle {
	h.t.Helper()
	for _, n := range h.nodes() {
		if n.Desc.Label == label {
			return n.Desc.Bounds
		}
	}
	h.t.Fatalf("there is no %q in the window, but %q", label, h.labels())
	return image.Rectangle{}
}

func (h *harness) shows(label string) bool {
	for _, n := range h.nodes() {
		if n.Desc.Label == label {
			return true
		}
	}
	return false
}

func (h *harness) click(label string) {
	h.t.Helper()
	r := h.find(label)
	h.clickAt(f32.Pt(float32(r.Min.X+r.Max.X)/2, float32(r.Min.Y+r.Max.Y)/2))
}

func (h *harness) clickAt(at f32.Point) {
	h.point(pointer.Move, at, 0)
	h.point(pointer.Press, at, pointer.ButtonPrimary)
	h.point(pointer.Release, at, 0)
	h.frame()
}

func (h *harness) point(kind pointer.Kind, at f32.Point, buttons pointer.Buttons) {
	h.router.Queue(pointer.Event{Kind: kind, Source: pointer.Mouse, Position: at, Buttons: buttons, Time: time.Duration(h.now.UnixNano())})
	h.frame()
}

func (h *harness) press(name key.Name, mods key.Modifiers) {
	h.router.Queue(key.Event{Name: name, Modifiers: mods, State: key.Press}, key.Event{Name: name, Modifiers: mods, State: key.Release})
	h.frame()
	h.frame()
}

// stagePoint returns where in the window a picture point of a stage is shown.
func (h *harness) stagePoint(stage int, x, y float64) f32.Point {
	b := h.a.desk.Bench
	p := b.Stages[stage].Port.ToScreen(picturePt(x, y), h.a.stage.Size(stage))
	r := h.find(pictureLabel(stage, b))
	return f32.Pt(float32(p.X)+float32(r.Min.X), float32(p.Y)+float32(r.Min.Y))
}

// testClip writes a clip of n frames whose left edge gets brighter frame by
// frame.
func testClip(t testing.TB, path string, n, w, h int) {
	paintedClip(t, path, n, w, h, func(k, x, y int) color.RGBA { return color.RGBA{uint8(4 * k), uint8(x), uint8(y), 255} })
}

// paintedClip writes a clip of n frames of the colours given by frame and
// place.
func paintedClip(t testing.TB, path string, n, w, h int, colour func(k, x, y int) color.RGBA) {
	t.Helper()
	out, err := video.Create(path, video.WriterOptions{Width: w, Height: h, RateNum: 120, RateDen: 1, GOP: 12, BFrames: 2, Preset: "ultrafast", CRF: 20})
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for k := range n {
		for y := range h {
			for x := range w {
				img.SetRGBA(x, y, colour(k, x, y))
			}
		}
		require.NoError(t, out.WriteFrame(img))
	}
	require.NoError(t, out.Close())
}

// openTestLesson puts a lesson with two small clips on the desk.
func (h *harness) openTestLesson() { h.openLessonOf(testClip, func(*annotations.Swing) {}) }

// openLessonOf puts a lesson on the desk with clips written by one function and
// its swing prepared by another.
func (h *harness) openLessonOf(write func(t testing.TB, path string, n, w, h int), prepare func(*annotations.Swing)) {
	h.t.Helper()
	dir := h.t.TempDir()
	l := annotations.NewLesson()
	l.Title, l.Date = "First visit", "2026-05-02"
	l.Student = annotations.Student{Name: "Mara Lindqvist"}
	sw := annotations.Swing{ID: "s1", Label: "7-iron, full swing"}
	for i, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		name := fmt.Sprintf("%s.mp4", v)
		write(h.t, filepath.Join(dir, name), 48, 320, 180)
		sw.Clips = append(sw.Clips, annotations.Clip{ID: []string{"fo", "dl"}[i], View: v, File: name, Width: 320, Height: 180, TimeBase: [2]int64{1, 15360}})
	}
	prepare(&sw)
	l.Swings = []annotations.Swing{sw}
	path := filepath.Join(dir, "lesson.json")
	require.NoError(h.t, annotations.Save(path, l))
	h.a.openLesson(path)
	h.until("both clips to be shown", func() bool {
		d := h.a.desk
		return d != nil && d.Films[0] != nil && d.Films[1] != nil && h.a.stage.Frame(0) >= 0 && h.a.stage.Frame(1) >= 0 && !d.Searching()
	})
	h.a.notices.EndPassing() // that these clips have no sound
}

// labels lists what the window shows, for a failing test.
func (h *harness) labels() []string {
	var all []string
	for _, n := range h.nodes() {
		if n.Desc.Label != "" {
			all = append(all, n.Desc.Label)
		}
	}
	return all
}

// nodes returns everything in the window that has a meaning, parents before
// their children.
func (h *harness) nodes() []input.SemanticNode {
	var all []input.SemanticNode
	var walk func(list []input.SemanticNode)
	walk = func(list []input.SemanticNode) {
		for _, n := range list {
			all = append(all, n)
			walk(n.Children)
		}
	}
	walk(h.router.AppendSemantics(nil))
	return all
}

// roomOf is the room of a kind in the window.
func roomOf[R kit.Room](a *App) R {
	for _, r := range a.rooms {
		if of, ok := r.(R); ok {
			return of
		}
	}
	panic("there is no such room")
}
