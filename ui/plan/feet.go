package plan

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/ui/draw"
)

// sole is the outline of a shoe from above, for a foot pointing along +v with
// its inner side toward +u: a closed curve of places in units of the heel-toe
// distance, with the heel mark at (0, 0) and the toe mark at (0, 1).
var sole = [...]struct{ u, v float32 }{
	{0.13, -0.10}, {0.155, 0.10}, {0.13, 0.35}, {0.175, 0.62}, {0.19, 0.82}, {0.13, 1.00}, {0.02, 1.07},
	{-0.10, 1.01}, {-0.19, 0.84}, {-0.215, 0.62}, {-0.175, 0.35}, {-0.155, 0.10}, {-0.13, -0.10}, {0, -0.16},
}

func (v *View) feet(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping) {
	dp := gtx.Metric.PxPerDp
	for i, t := range []*Foot{&f.Lead, &f.Trail} {
		if !t.Known {
			continue
		}
		inner := float32(-1) // the lead foot's inner side is away from the target
		if i == 1 {
			inner = 1
		}
		var pts [4 * len(sole)]f32.Point
		outline(t, m, inner, &pts)
		var p draw.Pen
		p.Begin(gtx.Ops)
		p.Polygon(pts[:]...)
		p.Fill(draw.Alpha(th.Ghost, 0.16))
		p.Begin(gtx.Ops)
		if i == 0 {
			p.Polyline(pts[:], 1.5*dp, true)
		} else { // the trail side is dashed
			for k := 0; k < len(pts); k += 4 {
				p.Polyline(pts[k:k+3], 1.5*dp, false)
			}
		}
		p.Fill(th.Dim)
		// The foot's direction, heel to toe.
		p.Begin(gtx.Ops)
		p.Line(m.pt(t.Heel), m.pt(t.Toe), max(dp, 1))
		p.Fill(draw.Alpha(th.Dim, 0.6))
	}
}

// feetOnScreen returns the boxes of the feet that are drawn.
func (f *Figure) feetOnScreen(m *mapping) []image.Rectangle {
	var out []image.Rectangle
	for i, t := range []*Foot{&f.Lead, &f.Trail} {
		if !t.Known {
			continue
		}
		inner := float32(-1)
		if i == 1 {
			inner = 1
		}
		var pts [4 * len(sole)]f32.Point
		outline(t, m, inner, &pts)
		box := image.Rectangle{Min: pts[0].Round(), Max: pts[0].Round()}
		for _, p := range pts {
			q := p.Round()
			box = image.Rect(min(box.Min.X, q.X), min(box.Min.Y, q.Y), max(box.Max.X, q.X), max(box.Max.Y, q.Y))
		}
		out = append(out, box)
	}
	return out
}

// headOnScreen is the box that the head's circle lies in.
func (f *Figure) headOnScreen(m *mapping) image.Rectangle {
	at, r := m.pt(f.Head).Round(), int(headRadius*m.scale)+1
	return image.Rectangle{Min: at, Max: at}.Inset(-r)
}

// flares writes the flare before each toe, beside the head, where it stands clear of the
// turn labels and there is room.
func (v *View) flares(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping, size image.Point, taken []label) {
	if size.X < gtx.Sp(260) {
		return
	}
	for i, t := range []*Foot{&f.Lead, &f.Trail} {
		if !t.Known || t.FlareText == "" {
			continue
		}
		d := Pt{t.Toe.X - t.Heel.X, t.Toe.Z - t.Heel.Z}
		out := m.flip * 8 * gtx.Metric.PxPerDp
		if i == 1 {
			out = -out
		}
		at := m.pt(Pt{t.Toe.X + 0.22*d.X, t.Toe.Z + 0.22*d.Z}).Add(f32.Pt(out, 3*gtx.Metric.PxPerDp))
		sz, _ := th.TextSize(gtx, draw.Small, font.Normal, t.FlareText)
		box := image.Rectangle{Min: image.Pt(int(at.X)-sz.X/2, int(at.Y))}
		box.Max = box.Min.Add(sz)
		if f.HasHead {
			moved := beside(box, []image.Rectangle{f.headOnScreen(m)}, image.Rectangle{Max: size}, gtx.Dp(4))
			at = at.Add(f32.Pt(float32(moved.Min.X-box.Min.X), float32(moved.Min.Y-box.Min.Y)))
			box = moved
		}
		clear := true
		for i := range taken {
			clear = clear && !taken[i].box.Overlaps(box)
		}
		if clear {
			th.TextAt(gtx, at, 0.5, 0, draw.Small, font.Normal, th.Dim, t.FlareText)
		}
	}
}

// outline fills pts with a smooth closed curve (Catmull-Rom) through the
// sole's places.
func outline(t *Foot, m *mapping, inner float32, pts *[4 * len(sole)]f32.Point) {
	d := Pt{t.Toe.X - t.Heel.X, t.Toe.Z - t.Heel.Z}
	// +u is a quarter turn from the foot's direction toward the target for
	// inner = 1.
	n := Pt{d.Z, -d.X}
	if n.X < 0 || n.X == 0 && n.Z < 0 {
		n = Pt{-n.X, -n.Z}
	}
	at := func(i int) (u, v float32) {
		s := sole[(i+len(sole))%len(sole)]
		return s.u * inner, s.v
	}
	for i := range sole {
		u0, v0 := at(i - 1)
		u1, v1 := at(i)
		u2, v2 := at(i + 1)
		u3, v3 := at(i + 2)
		for k := range 4 {
			s := float32(k) / 4
			u, w := spline(u0, u1, u2, u3, s), spline(v0, v1, v2, v3, s)
			pts[4*i+k] = m.pt(Pt{
				X: t.Heel.X + float64(w)*d.X + float64(u)*n.X,
				Z: t.Heel.Z + float64(w)*d.Z + float64(u)*n.Z,
			})
		}
	}
}

func spline(a, b, c, d, s float32) float32 {
	return 0.5 * (2*b + (c-a)*s + (2*a-5*b+4*c-d)*s*s + (3*b-a-3*c+d)*s*s*s)
}

// anchor returns the anchor of a text that stands beyond a place in a
// direction: its left edge to the right of it, its top edge below it, and so
// on around.
func anchor(angle float32) (ax, ay float32) {
	s, c := math.Sincos(float64(angle))
	return float32(0.5 - 0.5*c), float32(0.5 - 0.5*s)
}
