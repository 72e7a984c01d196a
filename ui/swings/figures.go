package swings

import (
	"image"
	"image/color"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// side is a direction from which the figures are seen: across and up are the axes of the
// picture, unit vectors of the world.
type side struct {
	name       string
	across, up geometry.WorldPt
	low, high  [2]float64 // what is always in the picture, metres
}

// at is where a point lies in the picture, metres.
func (s *side) at(p geometry.WorldPt) (across, up float64) {
	return r3.Dot(s.across, p), r3.Dot(s.up, p)
}

// sd is the standard deviation of a point in the picture, metres, in the direction in which it
// is known least: the larger eigenvalue of its covariance there. What is not known along the
// line of sight doesn't count.
func (s *side) sd(p *geometry.PointEstimate) float64 {
	c := mat.NewSymDense(3, nil)
	for i := range 3 {
		for k := i; k < 3; k++ {
			c.SetSym(i, k, p.Covariance[i][k])
		}
	}
	vec := func(v geometry.WorldPt) *mat.VecDense { return mat.NewVecDense(3, []float64{v.X, v.Y, v.Z}) }
	a, u := vec(s.across), vec(s.up)
	aa, uu, au := mat.Inner(a, c, a), mat.Inner(u, c, u), mat.Inner(a, c, u)
	return math.Sqrt((aa+uu)/2 + math.Hypot((aa-uu)/2, au))
}

// The standard deviations of a point, metres, beyond which a line to it is drawn faint, and not
// at all. The first is that of what is drawn in a picture (package explain): about the width of
// a wrist.
const (
	faintSD = 0.05
	mostSD  = 0.15
)

// shareOf is how strongly a line is drawn whose worse end has a standard deviation, metres.
func shareOf(sd float64) float32 {
	switch {
	case sd > mostSD:
		return 0
	case sd > faintSD:
		return 0.35
	}
	return 1
}

// sides are the two views and that from above. A left-hander's world is mirrored: his
// target is at the left in the face-on view.
func sides(mirror bool) [3]side {
	sign := 1.0
	if mirror {
		sign = -1
	}
	x, y, z := geometry.WorldPt{X: sign}, geometry.WorldPt{Y: 1}, geometry.WorldPt{Z: sign}
	toBall := geometry.WorldPt{Z: -1} // the ball's side is below
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
			if points[p].Known && s.sd(&points[p]) <= mostSD && geometry.Point(p) != geometry.Ball {
				a, u := s.at(points[p].At)
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
		a, u := s.at(p)
		return f32.Pt(float32(at.Min.X+at.Max.X)/2+(float32(a)-middle)*scale, bottom-(float32(u)-float32(s.low[1]))*scale)
	}
	ground := place(geometry.WorldPt{})
	if s.name != sides(false)[2].name {
		draw.Fill(gtx.Ops, image.Rect(at.Min.X+gtx.Dp(8), int(ground.Y), at.Max.X-gtx.Dp(8), int(ground.Y)+1), th.Line)
	}
	drawn, unsure := r.figure(gtx, s, r.cursor, place, false)
	if r.second != r.cursor {
		d, u := r.figure(gtx, s, r.second, place, true)
		drawn, unsure = drawn || d, unsure || u
	}
	switch {
	case unsure:
		off := "10 cm"
		if r.host.Settings().Imperial {
			off = "4 in"
		}
		th.TextAt(gtx, f32.Pt(float32(at.Min.X+gtx.Dp(10)), float32(at.Max.Y-gtx.Sp(12))), 0, 0.5, draw.Small, font.Normal, th.Dim, "Faint or left out: may lie more than "+off+" elsewhere.")
	case !drawn:
		th.TextAt(gtx, f32.Pt(float32(at.Min.X+at.Max.X)/2, float32(at.Min.Y+at.Max.Y)/2), 0.5, 0.5, draw.Small, font.Normal, th.Dim, "This key position is not marked in these swings.")
	}
}

// figure draws one swing, and reports whether there is anything of it, and anything that is
// faint or left out because it may lie elsewhere.
func (r *Room) figure(gtx layout.Context, s *side, swing int, place func(geometry.WorldPt) f32.Point, dashed bool) (drawn, unsure bool) {
	th := r.host.Theme()
	points := r.visit.results[swing].Points(r.at)
	if points == nil {
		return false, false
	}
	whole := th.Lead
	if dashed {
		whole = th.Trail
	}
	ink := func(ends ...*geometry.PointEstimate) (color.NRGBA, bool) {
		worst := 0.0
		for _, p := range ends {
			if !p.Known {
				return whole, false
			}
			worst = max(worst, s.sd(p))
		}
		unsure = unsure || worst > faintSD
		share := shareOf(worst)
		return draw.Alpha(whole, share), share > 0
	}
	for _, b := range geometry.Bones {
		p, q := &points[b[0]], &points[b[1]]
		c, ok := ink(p, q)
		switch {
		case !ok:
			continue
		case dashed:
			draw.DashedLine(gtx.Ops, place(p.At), place(q.At), float32(gtx.Dp(2)), float32(gtx.Dp(6)), float32(gtx.Dp(4)), c)
		default:
			draw.Line(gtx.Ops, place(p.At), place(q.At), float32(gtx.Dp(3)), c)
		}
		drawn = true
	}
	if h := &points[geometry.Head]; h.Known {
		if c, ok := ink(h); ok {
			draw.Ring(gtx.Ops, place(h.At), float32(gtx.Sp(9)), float32(gtx.Dp(2)), c)
		}
	}
	return drawn, unsure
}
