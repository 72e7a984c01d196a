package plan

import (
	"image"
	"image/color"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/ui/draw"
)

// label is a text that wants to stand at a place.
type label struct {
	text string
	ink  color.NRGBA
	box  image.Rectangle
}

// labels writes the turns beside the lead ends of their lines, apart from
// each other and inside the view, and the position's name in the corner.
func (v *View) labels(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping, size image.Point) {
	dp := gtx.Metric.PxPerDp
	edge := gtx.Dp(8)
	title := th.TextAt(gtx, f32.Pt(12*dp, float32(edge)), 0, 0, draw.Small, font.Medium, th.Text, f.title)

	var ls [2]label
	n := 0
	for i, l := range []*Line{&f.Hips, &f.Shoulders} {
		if !l.Known || l.Label == "" {
			continue
		}
		a := m.angle(l.HeadingDeg)
		at := draw.Polar(m.pt(l.Lead), 14*dp, a)
		sz, _ := th.TextSize(gtx, draw.Small, font.Medium, l.Label)
		ax, ay := anchor(a)
		min := image.Pt(int(at.X-ax*float32(sz.X)), int(at.Y-ay*float32(sz.Y)))
		box := image.Rectangle{Min: min, Max: min.Add(sz)}
		ls[n] = label{l.Label, v.ink(th, i == 0), inside(box, size, edge, title.Max.Y)}
		n++
	}
	if n == 2 {
		part(&ls[0].box, &ls[1].box, gtx.Dp(3), title.Max.Y, size.Y-edge)
	}
	v.flares(gtx, th, f, m, size, ls[:n])
	for _, l := range ls[:n] {
		at := f32.Pt(float32(l.box.Min.X), float32(l.box.Min.Y))
		r := l.box.Inset(-gtx.Dp(3))
		draw.RoundRect(gtx.Ops, r, gtx.Dp(3), draw.Alpha(th.Panel, 0.7))
		th.TextAt(gtx, at, 0, 0, draw.Small, font.Medium, l.ink, l.text)
	}
}

// inside moves a box into the view.
func inside(b image.Rectangle, size image.Point, edge, top int) image.Rectangle {
	dx, dy := 0, 0
	if d := b.Max.X - (size.X - edge); d > 0 {
		dx = -d
	}
	if b.Min.X+dx < edge {
		dx = edge - b.Min.X
	}
	if d := b.Max.Y - (size.Y - edge); d > 0 {
		dy = -d
	}
	if b.Min.Y+dy < top {
		dy = top - b.Min.Y
	}
	return b.Add(image.Pt(dx, dy))
}

// part moves two overlapping boxes apart up and down, between top and bottom.
func part(a, b *image.Rectangle, gap, top, bottom int) {
	if !a.Inset(-gap).Overlaps(*b) {
		return
	}
	up, down := a, b
	if b.Min.Y < a.Min.Y {
		up, down = b, a
	}
	need := up.Max.Y + gap - down.Min.Y
	*up = up.Sub(image.Pt(0, need/2))
	*down = down.Add(image.Pt(0, need-need/2))
	if d := top - up.Min.Y; d > 0 {
		*up, *down = up.Add(image.Pt(0, d)), down.Add(image.Pt(0, d))
	}
	if d := down.Max.Y - bottom; d > 0 {
		*up, *down = up.Sub(image.Pt(0, d)), down.Sub(image.Pt(0, d))
	}
}
