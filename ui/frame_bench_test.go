package ui

import (
	"fmt"
	"image"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/pointer"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// openFullLesson puts a lesson with two 1080p clips on the desk: every point
// marked in both views at address, and more at the top.
func (h *harness) openFullLesson() {
	h.t.Helper()
	dir := h.t.TempDir()
	l := annotations.NewLesson()
	l.Student = annotations.Student{Name: "Mara Lindqvist"}
	sw := annotations.Swing{ID: "s1", Positions: []annotations.Position{{Name: geometry.Address}, {Name: geometry.Top}}}
	for i, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		id, name := []string{"fo", "dl"}[i], fmt.Sprintf("%s.mp4", v)
		testClip(h.t, filepath.Join(dir, name), 3, 1920, 1080)
		sw.Clips = append(sw.Clips, annotations.Clip{ID: id, View: v, File: name, Width: 1920, Height: 1080, TimeBase: [2]int64{1, 15360}})
		for k := range sw.Positions {
			p := &sw.Positions[k]
			p.Frames = append(p.Frames, annotations.FrameRef{Clip: id, Index: 2 * k, PTS: int64(256 * k)})
			for q := range geometry.Point(geometry.NumPoints) {
				if p.Name == geometry.Top && q >= 6 {
					break
				}
				sw.Marks = append(sw.Marks, annotations.Mark{Clip: id, Position: p.Name, Point: q,
					At: geometry.ImagePt{X: 700 + 25*float64(q), Y: 200 + 27*float64(q)}})
			}
		}
	}
	l.Swings = []annotations.Swing{sw}
	require.Len(h.t, sw.Marks, 60)
	path := filepath.Join(dir, "lesson.json")
	require.NoError(h.t, annotations.Save(path, l))
	h.a.openLesson(path)
	h.until("both clips to be shown", func() bool {
		d := h.a.desk
		return d != nil && d.Films[0] != nil && d.Films[1] != nil && h.a.stage.Frame(0) >= 0 && h.a.stage.Frame(1) >= 0
	})
	h.until("rest", func() bool { return len(h.woken) == 0 && h.a.notices.Passing() == "" })
}

// BenchmarkFrameDragging is the window's own work for one frame, Update and
// Layout without the graphics driver, while a mark is dragged with the glass
// open: two 1080p stages, 60 marks, a window of 1600 by 1000. Workers stand
// still, so that what is counted is the frame's.
func BenchmarkFrameDragging(b *testing.B) {
	h := newHarness(b)
	h.size = image.Pt(1600, 1000)
	h.openFullLesson()
	d := h.a.desk
	h.until("the fit", func() bool { return d.Result.Revision == d.Bench.Editor().Revision() })
	d.StopSolving()
	m, ok := d.Bench.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	require.True(b, ok)
	from := h.stagePoint(0, m.At.X, m.At.Y)
	h.point(pointer.Move, from, 0)
	h.point(pointer.Press, from, pointer.ButtonPrimary)
	drag := func(i int) {
		h.point(pointer.Move, from.Add(f32.Pt(float32(20+i%40), float32(i%30))), pointer.ButtonPrimary)
	}
	for i := range 50 {
		drag(i)
	}
	_, dragging := d.Bench.Dragging()
	require.True(b, dragging)
	before := d.Bench.Editor().Revision()
	b.ReportAllocs()
	start := time.Now()
	n := 0
	for b.Loop() {
		drag(n)
		n++
	}
	b.ReportMetric(float64(time.Since(start).Microseconds())/float64(n)/1000, "ms/frame")
	require.Greater(b, d.Bench.Editor().Revision(), before, "the mark moves")
}
