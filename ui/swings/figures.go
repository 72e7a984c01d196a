package swings

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op/clip"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// side is a direction from which the figures are seen: across and up are the axes of the
// picture, metres in the world.
type side struct {
	name       string
	across, up func(geometry.WorldPt) float64
	low, high  [2]float64 // what is always in the picture, metres
}

// sides are the two views and that from above. A left-hander's world is mirrored: his
// target is at the left in the face-on view.
func sides(mirror bool) [3]side {
	sign := 1.0
	if mirror {
		sign = -1
	}
	x := func(p geometry.WorldPt) float64 { return sign * p.X }
	y := func(p geometry.WorldPt) float64 { return p.Y }
	z := func(p geometry.WorldPt) float64 { return sign * p.Z }
	toBall := func(p geometry.WorldPt) float64 { return -p.Z } // the ball's side is below
	return [3]side{
		{"Face-on", x, y, [2]float64{-0.45, -0.05}, [2]float64{0.45, 1.7}},
		{"Down the line", z, y, [2]float64{-0.45, -0.05}, [2]float64{0.6, 1.7}},
		{"From above, ball side below", x, toBall, [2]float64{-0.45, -0.9}, [2]float64{0.45, 0.4}},
	}
}

// layoutFigures lays two swings over each other at a key position, as stick figures from
// both sides and from above, the middle between the ankles at address in one place.
func (r *Room) layoutFigures(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	size := gtx.Constraints.Max
	bar := gtx.Sp(draw.Control) + gtx.Dp(10)
	kit.At(gtx, image.Rect(0, 0, size.X, bar), r.layoutPositions)
	if r.cursor >= len(r.visit.results) || r.second >= len(r.visit.results) {
		return layout.Dimensions{Size: size}
	}
	mid := float32(bar) + float32(gtx.Sp(12))
	end := r.legend(gtx, f32.Pt(0, mid), r.cursor, false)
	if r.second != r.cursor {
		end = r.legend(gtx, f32.Pt(float32(end+gtx.Dp(24)), mid), r.second, true)
	}
	th.TextAt(gtx, f32.Pt(float32(end+gtx.Dp(24)), mid), 0, 0.5, draw.Small, font.Normal, th.Dim, "Space keeps a swing dashed. Up and Down: the other. Left and Right: key position.")
	top := bar + gtx.Sp(28)
	mirror := r.host.Session().Bench.Lesson().Student.Handed == geometry.LeftHanded
	gap := gtx.Dp(12)
	w := (size.X - 2*gap) / 3
	views := sides(mirror)
	// One scale in all three, so that a metre is as long in each.
	scale := math.Inf(1)
	for i := range views {
		s := &views[i]
		r.extend(s)
		scale = min(scale, float64(w-gtx.Dp(16))/(s.high[0]-s.low[0]), float64(size.Y-top-gtx.Sp(40))/(s.high[1]-s.low[1]))
	}
	for i := range views {
		at := image.Rect(i*(w+gap), top, i*(w+gap)+w, size.Y)
		r.layoutSide(gtx, &views[i], at, float32(scale))
	}
	return layout.Dimensions{Size: size}
}

// extend has the side show all of both figures.
func (r *Room) extend(s *side) {
	for _, i := range []int{r.cursor, r.second} {
		points := r.visit.results[i].Points(r.at)
		if points == nil {
			continue
		}
		for p := range points {
			if points[p].Known && geometry.Point(p) != geometry.Ball {
				a, u := s.across(points[p].At), s.up(points[p].At)
				s.low[0], s.high[0] = min(s.low[0], a-0.05), max(s.high[0], a+0.05)
				s.low[1], s.high[1] = min(s.low[1], u-0.05), max(s.high[1], u+0.05)
			}
		}
	}
}

func (r *Room) layoutSide(gtx layout.Context, s *side, at image.Rectangle, scale float32) {
	th := r.host.Theme()
	draw.RoundRect(gtx.Ops, at, gtx.Dp(draw.Radius), th.Well)
	defer clip.Rect(at).Push(gtx.Ops).Pop()
	label(gtx, at, s.name+": "+r.name(r.cursor)+" and "+r.name(r.second)+" at "+string(r.at))
	th.TextAt(gtx, f32.Pt(float32(at.Min.X+gtx.Dp(10)), float32(at.Min.Y+gtx.Sp(14))), 0, 0.5, draw.Small, font.Medium, th.Dim, s.name)
	middle := float32(s.low[0]+s.high[0]) / 2
	bottom := (float32(at.Min.Y+gtx.Sp(24)+at.Max.Y) + float32(s.high[1]-s.low[1])*scale) / 2
	place := func(p geometry.WorldPt) f32.Point {
		return f32.Pt(float32(at.Min.X+at.Max.X)/2+(float32(s.across(p))-middle)*scale, bottom-(float32(s.up(p))-float32(s.low[1]))*scale)
	}
	ground := place(geometry.WorldPt{})
	if s.name != sides(false)[2].name {
		draw.Fill(gtx.Ops, image.Rect(at.Min.X+gtx.Dp(8), int(ground.Y), at.Max.X-gtx.Dp(8), int(ground.Y)+1), th.Line)
	}
	drawn := r.figure(gtx, r.second, place, true)
	if r.second == r.cursor {
		drawn = false
	}
	if !r.figure(gtx, r.cursor, place, false) && !drawn {
		th.TextAt(gtx, f32.Pt(float32(at.Min.X+at.Max.X)/2, float32(at.Min.Y+at.Max.Y)/2), 0.5, 0.5, draw.Small, font.Normal, th.Dim, "This key position is not marked in these swings.")
	}
}

// figure draws one swing, and reports whether there is anything of it.
func (r *Room) figure(gtx layout.Context, swing int, place func(geometry.WorldPt) f32.Point, dashed bool) bool {
	th := r.host.Theme()
	points := r.visit.results[swing].Points(r.at)
	if points == nil || dashed && r.second == r.cursor {
		return false
	}
	ink := th.Lead
	if dashed {
		ink = th.Trail
	}
	any := false
	for _, b := range geometry.Bones {
		p, q := &points[b[0]], &points[b[1]]
		if !p.Known || !q.Known {
			continue
		}
		any = true
		if dashed {
			draw.DashedLine(gtx.Ops, place(p.At), place(q.At), float32(gtx.Dp(2)), float32(gtx.Dp(6)), float32(gtx.Dp(4)), ink)
		} else {
			draw.Line(gtx.Ops, place(p.At), place(q.At), float32(gtx.Dp(3)), ink)
		}
	}
	if h := &points[geometry.Head]; h.Known {
		draw.Ring(gtx.Ops, place(h.At), float32(gtx.Sp(9)), float32(gtx.Dp(2)), ink)
	}
	return any
}
