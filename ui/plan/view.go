package plan

import (
	"image"
	"image/color"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
)

// View draws plan views. The zero value is ready to use.
type View struct {
	Imperial bool // the scale is in feet
}

// mapping places the ground on the screen.
type mapping struct {
	centre f32.Point // screen place of the ground's origin
	scale  float32   // pixels per metre
	flip   float32   // -1 where the target is on the left
}

func (m *mapping) pt(p Pt) f32.Point {
	return f32.Pt(m.centre.X+m.flip*m.scale*float32(p.X), m.centre.Y+m.scale*float32(p.Z))
}

// angle returns the screen angle of a heading in degrees.
func (m *mapping) angle(deg float64) float32 {
	a := deg * math.Pi / 180
	if m.flip < 0 {
		a = math.Pi - a
	}
	return float32(a)
}

// The ground shown at least, metres: it is fixed so that the figure keeps its
// size while marks move, and grows where the figure needs it.
const (
	halfWidth = 0.52
	behind    = -0.30
	beyond    = 0.60
)

func (f *Figure) mapping(size image.Point, top, bottom int) mapping {
	x, z0, z1 := halfWidth, behind, beyond
	grow := func(ok bool, p Pt) {
		if ok && !math.IsNaN(p.X+p.Z) && math.Abs(p.X) < 3 && math.Abs(p.Z) < 3 {
			x = max(x, math.Abs(p.X)+0.06)
			z0, z1 = min(z0, p.Z-0.06), max(z1, p.Z+0.03)
		}
	}
	for _, l := range []*Line{&f.Hips, &f.Shoulders, &f.AddressHips, &f.AddressShoulders} {
		grow(l.Known, l.Lead)
		grow(l.Known, l.Trail)
	}
	for _, t := range []*Foot{&f.Lead, &f.Trail} {
		grow(t.Known, t.Heel)
		grow(t.Known, t.Toe)
	}
	grow(f.HasBall, f.Ball)
	room := float32(max(size.Y-top-bottom, 1))
	m := mapping{flip: 1, scale: min(float32(size.X)/float32(2*x), room/float32(z1-z0))}
	if f.Mirror {
		m.flip = -1
	}
	m.centre = f32.Pt(float32(size.X)/2, float32(top)+room/2-m.scale*float32(z0+z1)/2)
	return m
}

// Layout draws the figure in the whole of the maximum constraints. f may be
// nil.
func (v *View) Layout(gtx layout.Context, th *draw.Theme, f *Figure) layout.Dimensions {
	gtx = th.Context(gtx)
	size := gtx.Constraints.Max
	gtx.Constraints.Min = image.Point{}
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Plan view").Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	if f.Empty() {
		v.empty(gtx, th, f)
		return layout.Dimensions{Size: size}
	}
	title, _ := th.TextSize(gtx, draw.Small, font.Normal, "0")
	edge := gtx.Dp(8)
	m := f.mapping(size, title.Y+edge, title.Y+2*edge)
	v.ground(gtx, th, f, &m, size)
	v.feet(gtx, th, f, &m)
	v.ghosts(gtx, th, f, &m)
	v.head(gtx, th, f, &m)
	v.wedges(gtx, th, f, &m)
	v.lines(gtx, th, f, &m)
	v.labels(gtx, th, f, &m, size)
	v.scaleBar(gtx, th, &m, size)
	v.legend(gtx, th, size)
	return layout.Dimensions{Size: size}
}

func (v *View) empty(gtx layout.Context, th *draw.Theme, f *Figure) {
	text := "The golfer from above appears here once both hips or both shoulders are marked."
	if f != nil && f.Why != "" {
		text = f.Why
	}
	size := gtx.Constraints.Max
	gtx.Constraints.Max.X = max(min(size.X-gtx.Dp(32), gtx.Sp(300)), 1)
	rec := op.Record(gtx.Ops)
	d := th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, text)
	call := rec.Stop()
	t := op.Offset(size.Sub(d.Size).Div(2)).Push(gtx.Ops)
	call.Add(gtx.Ops)
	t.Pop()
}

// ground draws the target line through the ball with its arrow.
func (v *View) ground(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping, size image.Point) {
	dp := gtx.Metric.PxPerDp
	ball := Pt{0, beyond - 0.1}
	if f.HasBall {
		ball = f.Ball
	}
	at := m.pt(ball)
	y := snap(at.Y)
	x0, x1 := 10*dp, float32(size.X)-10*dp
	if m.flip < 0 {
		x0, x1 = x1, x0
	}
	var p draw.Pen
	p.Begin(gtx.Ops)
	p.Arrow(f32.Pt(x0, y), f32.Pt(x1, y), max(dp, 1), 9*dp)
	p.Fill(th.Edge)
	if f.HasBall {
		r := max(0.02135*m.scale, 3.5*dp)
		draw.Circle(gtx.Ops, at, r+1.5*dp, th.Panel)
		draw.Circle(gtx.Ops, at, r, th.Text)
	}
	ax := float32(1)
	if m.flip < 0 {
		ax = 0
	}
	th.TextAt(gtx, f32.Pt(x1-m.flip*2*dp, float32(size.Y)-5*dp), ax, 1, draw.Small, font.Normal, th.Dim, "target")
}

// snap centres a hairline on a row of pixels.
func snap(v float32) float32 { return float32(math.Floor(float64(v))) + 0.5 }

func (v *View) ghosts(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping) {
	dp := gtx.Metric.PxPerDp
	ghost := func(l *Line, width float32, c color.NRGBA) {
		if !l.Known {
			return
		}
		a, b := m.pt(l.Trail), m.pt(l.Lead)
		mid := a.Add(b).Mul(0.5)
		var p draw.Pen
		p.Begin(gtx.Ops)
		p.DashedLine(a, mid, width, 4*dp, 3*dp)
		p.Line(mid, b, width)
		p.Fill(c)
	}
	faint := draw.Alpha(th.Ghost, 0.55)
	ghost(&f.AddressHips, 1.5*dp, faint)
	ghost(&f.AddressShoulders, 1.5*dp, faint)
	for _, l := range []*Line{&f.PreviousHips, &f.PreviousShoulders} {
		ghost(l, 2*dp, th.Ghost)
		if l.Known {
			draw.Ring(gtx.Ops, m.pt(l.Lead), 3.5*dp, 1.5*dp, th.Ghost)
		}
	}
}

// headRadius is half the breadth of a head, metres.
const headRadius = 0.08

func (v *View) head(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping) {
	if !f.HasHead {
		return
	}
	draw.Ring(gtx.Ops, m.pt(f.Head), headRadius*m.scale, gtx.Metric.PxPerDp, draw.Alpha(th.Ghost, 0.6))
}

// wedges draws the 95 % intervals of the headings about the lines' middles.
func (v *View) wedges(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping) {
	for i, l := range []*Line{&f.Shoulders, &f.Hips} {
		if !l.Known || l.SigmaDeg <= 0 {
			continue
		}
		a, b := m.pt(l.Lead), m.pt(l.Trail)
		mid := a.Add(b).Mul(0.5)
		r := float32(math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)))/2 + 9*gtx.Metric.PxPerDp
		half := min(1.959964*l.SigmaDeg, 89)
		lo, hi := m.angle(l.HeadingDeg-half), m.angle(l.HeadingDeg+half)
		var p draw.Pen
		p.Begin(gtx.Ops)
		p.Wedge(mid, r, lo, hi)
		p.Wedge(mid, r, lo+math.Pi, hi+math.Pi)
		p.Fill(draw.Alpha(v.ink(th, i == 1), 0.24))
	}
}

// ink returns the colour of the hip or the shoulder line.
func (v *View) ink(th *draw.Theme, hips bool) color.NRGBA {
	if hips {
		return th.Accent
	}
	return th.Text
}

func (v *View) lines(gtx layout.Context, th *draw.Theme, f *Figure, m *mapping) {
	dp := gtx.Metric.PxPerDp
	for i, l := range []*Line{&f.Shoulders, &f.Hips} {
		if !l.Known {
			continue
		}
		c := v.ink(th, i == 1)
		a, b := m.pt(l.Trail), m.pt(l.Lead)
		mid := a.Add(b).Mul(0.5)
		w := 3 * dp
		var p draw.Pen
		p.Begin(gtx.Ops)
		p.Line(mid, b, w)
		p.DashedLine(a, mid, w, 7*dp, 4*dp)
		p.Circle(b, 5*dp)
		p.Fill(c)
		draw.Circle(gtx.Ops, a, 5*dp, th.Panel)
		draw.Ring(gtx.Ops, a, 4*dp, 2*dp, c)
	}
}

// foot is exact by definition (international yard and pound agreement, 1959).
const foot = 0.3048 // metres

func (v *View) scaleBar(gtx layout.Context, th *draw.Theme, m *mapping, size image.Point) {
	dp := gtx.Metric.PxPerDp
	metres, text := float32(0.5), "0.5 m"
	short, shortText := float32(0.2), "20 cm"
	if v.Imperial {
		metres, text = 2*foot, "2 ft"
		short, shortText = foot, "1 ft"
	}
	if m.scale*metres > float32(size.X)*0.4 {
		metres, text = short, shortText
	}
	h0, _ := th.TextSize(gtx, draw.Small, font.Normal, text)
	w := m.scale * metres
	x := 12 * dp
	if m.flip < 0 { // the word "target" stands on the left
		x = float32(size.X) - 12*dp - w - 6*dp - float32(h0.X)
	}
	y := snap(float32(size.Y) - 5*dp - float32(h0.Y)/2)
	var p draw.Pen
	p.Begin(gtx.Ops)
	h := max(dp, 1)
	p.Line(f32.Pt(x, y), f32.Pt(x+w, y), h)
	p.Line(f32.Pt(x+h/2, y-3*dp), f32.Pt(x+h/2, y+3*dp), h)
	p.Line(f32.Pt(x+w-h/2, y-3*dp), f32.Pt(x+w-h/2, y+3*dp), h)
	p.Fill(th.Dim)
	th.TextAt(gtx, f32.Pt(x+w+6*dp, y), 0, 0.5, draw.Small, font.Normal, th.Dim, text)
}

// legend says which end is which, where there is room.
func (v *View) legend(gtx layout.Context, th *draw.Theme, size image.Point) {
	if size.X < gtx.Sp(240) {
		return
	}
	dp, sp := gtx.Metric.PxPerDp, gtx.Metric.PxPerSp
	x := float32(size.X) - 12*dp
	for i, word := range [...]string{"trail", "lead"} {
		r := th.TextAt(gtx, f32.Pt(x, 8*dp), 1, 0, draw.Small, font.Normal, th.Dim, word)
		at := f32.Pt(float32(r.Min.X)-8*sp, float32(r.Min.Y+r.Max.Y)/2+1)
		if i == 0 {
			draw.Ring(gtx.Ops, at, 3.2*sp, 1.6*sp, th.Dim)
		} else {
			draw.Circle(gtx.Ops, at, 4*sp, th.Dim)
		}
		x = at.X - 14*sp
	}
}
