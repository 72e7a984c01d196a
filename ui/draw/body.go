package draw

import (
	"image"

	"gioui.org/f32"
	"gioui.org/io/semantic"
	"gioui.org/layout"

	"turngauge/geometry"
)

// The body diagram is drawn on a grid of 100 by 200: two figures, the front
// and the rear of a standing golfer, or one figure with the club for the
// points of club and ball. The lead side is on the right of the front figure,
// as in the face-on picture of a right-hander.

// limb is a part of the figure: a line with round ends that tapers from width
// w0 to w1.
type limb struct{ x0, y0, w0, x1, y1, w1 float32 }

// half holds the limbs of the side at larger x, as offsets from the middle;
// the other side is its mirror.
var half = [...]limb{
	{15, 47, 13, 22, 78, 10},   // upper arm
	{22, 78, 9, 26, 106, 6},    // forearm
	{26.5, 110, 7, 27, 114, 6}, // hand
	{8.5, 103, 18, 10, 143, 12},
	{10, 143, 12, 11, 182, 8},
	{11, 186, 8, 15, 188, 7}, // foot
}

// spot is where a point is on the front figure, as an offset from the middle
// (positive x on the lead side), and whether it is only seen from the rear.
type spot struct {
	x, y float32
	rear bool
}

var spots = [geometry.NumPoints]spot{
	geometry.Head:         {0, 19, false},
	geometry.LeadShoulder: {15, 45, false},
	geometry.LeadElbow:    {22, 78, false},
	geometry.LeadWrist:    {26, 106, false},
	geometry.LeadHip:      {11, 101, false},
	geometry.LeadKnee:     {10, 143, false},
	geometry.LeadAnkle:    {11, 181, false},
	geometry.LeadHeel:     {11, 189, true},
	geometry.LeadToe:      {16, 190, false},
	geometry.Buckle:       {0, 96, false},
	geometry.Tailbone:     {0, 98, true},
	geometry.Breastbone:   {0, 56, false},
	geometry.UpperBack:    {0, 54, true},
}

// spotOf returns where a point of either side is.
func spotOf(p geometry.Point) spot {
	if p.Side() == geometry.Trail {
		s := spots[p.Opposite()]
		s.x = -s.x
		return s
	}
	return spots[p]
}

// BodyDiagram draws a small figure that shows where a point is, in the height
// (and width) the constraints allow: the front of the body, or its rear for a
// point that is found there. It is 1.0 wide to 2.0 high. mirror puts the lead
// side on the left of the front, for left-handers.
func (th *Theme) BodyDiagram(gtx layout.Context, p geometry.Point, mirror bool) layout.Dimensions {
	h := min(gtx.Constraints.Max.Y, 2*gtx.Constraints.Max.X)
	size := image.Pt(h/2, h)
	b := body{k: float32(h) / 200, mid: float32(h) / 4, flip: 1}
	semantic.DescriptionOp(p.String()).Add(gtx.Ops)
	if p == geometry.Grip || p == geometry.Clubhead || p == geometry.Ball {
		b.club(gtx, th, p)
		return layout.Dimensions{Size: gtx.Constraints.Constrain(size)}
	}
	s := spotOf(p)
	if mirror != s.rear { // seen from the rear, the sides change places
		b.flip = -1
	}
	b.figure(gtx, th, s.rear)
	ink := th.Middle
	switch p.Side() {
	case geometry.Lead:
		ink = th.Lead
	case geometry.Trail:
		ink = th.Trail
	}
	at := b.pt(s.x, s.y)
	Circle(gtx.Ops, at, 10*b.k, Alpha(ink, 0.3))
	Circle(gtx.Ops, at, 5.5*b.k, th.Raised)
	Circle(gtx.Ops, at, 4.2*b.k, ink)
	return layout.Dimensions{Size: gtx.Constraints.Constrain(size)}
}

// Figure is one drawing of the body chart.
type Figure uint8

// The figures of the body chart: every point is on one of them.
const (
	FrontFigure Figure = iota
	RearFigure
	ClubFigure
	NumFigures
)

// FigureOf returns the figure that a point is on.
func FigureOf(p geometry.Point) Figure {
	switch {
	case p == geometry.Grip || p == geometry.Clubhead || p == geometry.Ball:
		return ClubFigure
	case spotOf(p).rear:
		return RearFigure
	default:
		return FrontFigure
	}
}

// BodyFigure draws a figure as high as the constraints allow, without any
// point on it. It is 1.0 wide to 2.0 high. mirror is for left-handers.
func (th *Theme) BodyFigure(gtx layout.Context, f Figure, mirror bool) layout.Dimensions {
	b, size := figureBody(gtx, f, mirror)
	if f == ClubFigure {
		b.clubAndBall(gtx, th)
	} else {
		b.figure(gtx, th, f == RearFigure)
	}
	return layout.Dimensions{Size: size}
}

// FigurePlace returns where a point is on its figure, drawn by BodyFigure under
// the same constraints.
func FigurePlace(gtx layout.Context, p geometry.Point, mirror bool) f32.Point {
	b, _ := figureBody(gtx, FigureOf(p), mirror)
	if FigureOf(p) == ClubFigure {
		return b.clubSpot(p)
	}
	s := spotOf(p)
	return b.pt(s.x, s.y)
}

func figureBody(gtx layout.Context, f Figure, mirror bool) (body, image.Point) {
	h := min(gtx.Constraints.Max.Y, 2*gtx.Constraints.Max.X)
	b := body{k: float32(h) / 200, mid: float32(h) / 4, flip: 1}
	if f != ClubFigure && mirror != (f == RearFigure) {
		b.flip = -1
	}
	return b, image.Pt(h/2, h)
}

// body draws on the diagram's grid.
type body struct {
	k, mid, flip float32
}

func (b *body) pt(x, y float32) f32.Point { return f32.Pt(b.mid+b.flip*x*b.k, y*b.k) }

// taper adds a limb to the pen.
func (b *body) taper(p *Pen, l limb, side float32) {
	a, c := b.pt(l.x0*side, l.y0), b.pt(l.x1*side, l.y1)
	d, _, ok := direction(a, c)
	if !ok {
		return
	}
	n := normal(d)
	r0, r1 := l.w0*b.k/2, l.w1*b.k/2
	p.Polygon(a.Add(n.Mul(r0)), c.Add(n.Mul(r1)), c.Sub(n.Mul(r1)), a.Sub(n.Mul(r0)))
	p.Circle(a, r0)
	p.Circle(c, r1)
}

func (b *body) figure(gtx layout.Context, th *Theme, rear bool) {
	var p Pen
	p.Begin(gtx.Ops)
	for _, l := range half {
		b.taper(&p, l, 1)
		b.taper(&p, l, -1)
	}
	p.Circle(b.pt(0, 17), 11.5*b.k)
	b.taper(&p, limb{0, 26, 9, 0, 38, 9}, 1)
	// Trunk: shoulders to waist to hips.
	p.Polygon(b.pt(-17, 41), b.pt(-6, 36), b.pt(6, 36), b.pt(17, 41), b.pt(19, 48), b.pt(13.5, 78),
		b.pt(17, 104), b.pt(-17, 104), b.pt(-13.5, 78), b.pt(-19, 48))
	p.Fill(th.Disabled)

	p.Begin(gtx.Ops)
	line := max(1.6*b.k, 1)
	p.Line(b.pt(-15, 93), b.pt(15, 93), line) // belt
	p.Line(b.pt(-15.6, 98), b.pt(15.6, 98), line)
	if rear {
		p.Line(b.pt(0, 44), b.pt(0, 88), line) // seam along the spine
		p.Line(b.pt(-9, 9), b.pt(9, 9), line)  // cap band
	} else {
		p.RoundFrame(b.mid-4*b.k, 92*b.k, b.mid+4*b.k, 99*b.k, b.k, line)
		p.Line(b.pt(-6, 37), b.pt(0, 45), line) // collar
		p.Line(b.pt(6, 37), b.pt(0, 45), line)
		p.Line(b.pt(0, 45), b.pt(0, 62), line)
	}
	p.Fill(th.Panel)
}

// club draws a club and ball with one of their points.
func (b *body) club(gtx layout.Context, th *Theme, at geometry.Point) {
	b.clubAndBall(gtx, th)
	spot := b.clubSpot(at)
	Circle(gtx.Ops, spot, 10*b.k, Alpha(th.Middle, 0.3))
	Circle(gtx.Ops, spot, 5.5*b.k, th.Raised)
	Circle(gtx.Ops, spot, 4.2*b.k, th.Middle)
}

func (b *body) clubAndBall(gtx layout.Context, th *Theme) {
	var p Pen
	p.Begin(gtx.Ops)
	top, heel := b.clubSpot(geometry.Grip), b.pt(16, 164)
	p.Line(top, heel, 3.2*b.k)
	b.taper(&p, limb{-22, 24, 7, -13, 58, 5}, 1)
	p.Polygon(heel.Add(f32.Pt(-3*b.k, -2*b.k)), b.pt(19, 163), b.pt(38, 172), b.pt(38, 180), b.pt(17, 178))
	p.Fill(th.Unknown)
	Line(gtx.Ops, b.pt(-46, 184), b.pt(46, 184), max(1.6*b.k, 1), th.Edge)
	p.Begin(gtx.Ops)
	p.Circle(b.clubSpot(geometry.Ball), 8*b.k)
	p.Fill(th.Dim)
}

// clubSpot is where a point of club and ball is on their drawing.
func (b *body) clubSpot(p geometry.Point) f32.Point {
	switch p {
	case geometry.Grip:
		return b.pt(-22, 24)
	case geometry.Clubhead:
		return b.pt(28, 173)
	default:
		return b.pt(-12, 175)
	}
}
