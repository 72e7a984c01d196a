package manual

import (
	"image"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"

	"turngauge/ui/draw"
)

// place is how the place where a swing is filmed fits into a picture: metres
// from the middle of the golfer, x toward the target, z toward the ball.
type place struct {
	k       float32 // pixels a metre
	golfer  f32.Point
	faceOn  float32 // z of the phone in front of the golfer
	behind  float32 // x of the phone down the line
	toScale bool    // the phones stand as far away as they should
}

// placeIn fits the place into a size. Where it is too low to show how far away
// the phones stand, they are drawn nearer.
func placeIn(size image.Point) place {
	w, h := float32(size.X), float32(size.Y)
	if h < w*2/3 {
		k := h / 2.75
		return place{k: k, golfer: f32.Pt(w/2, 0.4*k), faceOn: 2.1, behind: -2.8}
	}
	k := w / 6.4
	return place{k: k, golfer: f32.Pt(4.6*k, 1.0*k), faceOn: 4.4, behind: -4.1, toScale: true}
}

func (p place) at(x, z float32) f32.Point { return p.golfer.Add(f32.Pt(x*p.k, z*p.k)) }

// Height of the hands, where the phone behind the golfer stands, and of the
// ball and the stick, in z.
const handsZ, ballZ, stickZ = 0.45, 0.75, 1.05

// Filming draws how a swing is filmed, from above: golfer, target line, stick and
// phones.
func Filming(gtx layout.Context, th *draw.Theme, size image.Point) {
	semantic.DescriptionOp("From above: one phone four metres in front of the golfer, one four metres behind on the line of the hands, a stick on the ground along the target line").Add(gtx.Ops)
	p := placeIn(size)
	thin := float32(gtx.Dp(1))
	label := func(at f32.Point, ax, ay float32, s string) {
		th.TextAt(gtx, at, ax, ay, draw.Small, font.Normal, th.Text, s)
	}
	draw.DashedLine(gtx.Ops, p.at(-0.9, ballZ), p.at(1.5, ballZ), 1.5*thin, 5*thin, 4*thin, th.Dim)
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	pen.Arrow(p.at(1.35, ballZ), p.at(1.75, ballZ), 1.5*thin, 7*thin)
	pen.Fill(th.Dim)
	label(p.at(1.75, ballZ-0.13), 1, 1, "target")
	p.drawGolfer(gtx, th)
	draw.Circle(gtx.Ops, p.at(0, ballZ), 2.5*thin, th.Text)
	pen.Begin(gtx.Ops)
	pen.RoundLine(p.at(-0.6, stickZ), p.at(0.6, stickZ), 3*thin)
	pen.Fill(th.Outside)
	label(p.at(0.68, stickZ), 0, 0.5, "stick")

	front, back := p.at(0, p.faceOn), p.at(p.behind, handsZ)
	const down, left = -1.5708, 0.0 // the ways that they look, radians from the x axis
	p.drawPhone(gtx, th, front, down, p.at(0, stickZ+0.25))
	p.drawPhone(gtx, th, back, left, p.at(-0.8, handsZ))
	label(front.Sub(f32.Pt(12*thin, 0)), 1, 0.5, "face-on")
	if !p.toScale {
		label(back.Add(f32.Pt(-8*thin, -8*thin)), 0, 1, "down the line")
	} else {
		label(back.Add(f32.Pt(-8*thin, 8*thin)), 0, 0, "down the line")
		label(p.at(0.12, 1.75), 0, 0.5, "about 4 m")
		label(p.at(-1.2, handsZ-0.09), 0.5, 1, "about 4 m")
	}
}

// drawGolfer draws feet, shoulders and head.
func (p place) drawGolfer(gtx layout.Context, th *draw.Theme) {
	thin := float32(gtx.Dp(1))
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	pen.RoundLine(p.at(-0.15, 0.12), p.at(-0.2, 0.36), 5*thin)
	pen.RoundLine(p.at(0.15, 0.12), p.at(0.22, 0.36), 5*thin)
	pen.Fill(th.Edge)
	pen.Begin(gtx.Ops)
	pen.RoundLine(p.at(-0.2, 0.1), p.at(0.2, 0.1), 11*thin)
	pen.Fill(th.Lead)
	draw.Circle(gtx.Ops, p.at(0, 0.14), 0.13*p.k, th.Text)
}

// drawPhone draws a phone with its field of view, 30 degrees about the way it
// looks, and the middle of that up to where it ends.
func (p place) drawPhone(gtx layout.Context, th *draw.Theme, at f32.Point, way float32, to f32.Point) {
	const half = 0.26
	thin := float32(gtx.Dp(1))
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	pen.Wedge(at, min(2.4*p.k, 0.75*length(to.Sub(at))), way-half, way+half)
	pen.Fill(draw.Alpha(th.Accent, 0.16))
	draw.DashedLine(gtx.Ops, at, to, thin, 3*thin, 4*thin, th.Accent)
	draw.RoundRect(gtx.Ops, image.Rect(int(at.X-5*thin), int(at.Y-5*thin), int(at.X+5*thin), int(at.Y+5*thin)), int(2*thin), th.Accent)
}

// length of a line along one of the axes.
func length(v f32.Point) float32 { return max(v.X, -v.X) + max(v.Y, -v.Y) }
