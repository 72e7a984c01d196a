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

	apart := gtx.Dp(8)
	if size.Y < gtx.Dp(220) { // there is no more room
		apart = gtx.Dp(4)
	}
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
		box = inside(box, size, edge, title.Max.Y)
		taken := append(f.feetOnScreen(m), f.linesOnScreen(m, gtx.Dp(5))...)
		view := image.Rect(edge, title.Max.Y, size.X-edge, size.Y-edge)
		ls[n] = label{l.Label, v.ink(th, i == 0), beside(box, taken, view, apart)}
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

// beside moves a box up, down or to a side, as little as needed, off what it would
// cover, where there is room in the view.
func beside(b image.Rectangle, taken []image.Rectangle, view image.Rectangle, gap int) image.Rectangle {
	free := func(b image.Rectangle) bool {
		for _, t := range taken {
			if b.Overlaps(t.Inset(-gap)) {
				return false
			}
		}
		return b.In(view)
	}
	if free(b) {
		return b
	}
	best, least := b, view.Dx()
	for _, t := range taken {
		for _, by := range []image.Point{
			{X: t.Max.X + gap - b.Min.X}, {X: t.Min.X - gap - b.Max.X}, {Y: t.Max.Y + gap - b.Min.Y}, {Y: t.Min.Y - gap - b.Max.Y},
		} {
			if d := max(by.X, -by.X, by.Y, -by.Y); d < least && free(b.Add(by)) {
				best, least = b.Add(by), d
			}
		}
	}
	return best
}

// linesOnScreen returns boxes that the hip and the shoulder line lie in, each a part
// of a line, r wide on either side.
func (f *Figure) linesOnScreen(m *mapping, r int) []image.Rectangle {
	const parts = 8
	var out []image.Rectangle
	for _, l := range []*Line{&f.Hips, &f.Shoulders} {
		if !l.Known {
			continue
		}
		a, b := m.pt(l.Trail), m.pt(l.Lead)
		for i := range parts + 1 {
			at := a.Add(b.Sub(a).Mul(float32(i) / parts)).Round()
			out = append(out, image.Rectangle{Min: at, Max: at}.Inset(-r))
		}
	}
	return out
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
