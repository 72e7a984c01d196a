package ui

import (
	"image"
	"math"
	"slices"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// The lengths and directions that can be given to a ground stick with one
// click. The usual alignment stick is 48 inches long; mats are often 1.5 m
// square (common practice, no source). 0 is a length that is not known.
var (
	stickLengths = []float64{1.22, 1, 1.5, 0}
	stickNames   = []string{"1.22 m", "1 m", "1.5 m", "unknown"}
	stickWays    = []geometry.Direction{geometry.AlongTargetLine, geometry.AcrossTargetLine, geometry.DirectionUnset}
	stickWayText = []string{"along the target line", "across", "unknown"}
)

// stickPanel is the choice of length and direction of the stick in hand.
type stickPanel struct {
	length, way draw.Segmented
}

func (a *App) updateStick(gtx layout.Context) {
	b := a.desk.Bench
	e, ok := b.HeldStick()
	if !ok {
		return
	}
	l := b.Sticks(e.Stage)[e.Line]
	if i, ok := a.stick.length.Update(gtx); ok {
		a.notices.Tell(b.SetStick(stickLengths[i], l.Along))
	}
	if i, ok := a.stick.way.Update(gtx); ok {
		a.notices.Tell(b.SetStick(l.LengthM, stickWays[i]))
	}
}

// layoutSticks draws the ground sticks of a stage's clip: they lie still, so
// they are shown on every frame.
func (a *App) layoutSticks(gtx layout.Context, i int) {
	b, v := a.desk.Bench, &a.stages[i]
	port := b.Stages[i].Port
	held, holding := b.HeldStick()
	for k, l := range b.Sticks(i) {
		var p [2]f32.Point
		for e := range p {
			s := port.ToScreen(bench.PicturePt(l.Ends[e]), v.stageSize())
			p[e] = f32.Pt(float32(s.X), float32(s.Y))
		}
		c := draw.DarkPalette().Outside
		if holding && held.Stage == i && held.Line == k {
			c = a.pictureAccent()
		}
		w := float32(gtx.Dp(2))
		var pen draw.Pen
		pen.Begin(gtx.Ops)
		pen.Line(p[0], p[1], w*2)
		pen.Fill(draw.Alpha(a.theme.Outline, 0.6))
		pen.Begin(gtx.Ops)
		pen.DashedLine(p[0], p[1], w*0.75, float32(gtx.Dp(3)), float32(gtx.Dp(4)))
		// Bars across the ends show to the pixel where the stick stops.
		d := p[1].Sub(p[0])
		n := f32.Pt(-d.Y, d.X)
		if length := float32(math.Hypot(float64(n.X), float64(n.Y))); length > 0 {
			n = n.Mul(float32(gtx.Dp(6)) / length)
		}
		for e := range p {
			pen.Line(p[e].Sub(n), p[e].Add(n), w*0.75)
		}
		pen.Fill(c)
	}
}

// layoutStickGuide takes the guide's place while a stick is in hand, and
// reports whether it did.
func (a *App) layoutStickGuide(gtx layout.Context, size image.Point) bool {
	th, b := a.theme, a.desk.Bench
	e, ok := b.HeldStick()
	if !ok || e.Line >= len(b.Sticks(e.Stage)) {
		return false
	}
	l := b.Sticks(e.Stage)[e.Line]
	pad := gtx.Dp(10)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(size.X-2*pad, size.Y)}
	defer op.Offset(image.Pt(pad, gtx.Dp(8))).Push(gtx.Ops).Pop()
	col := kit.Column{Gtx: g, Gap: gtx.Dp(6)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Body, font.SemiBold, th.Text, "Ground stick: how long, and which way?")
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Segmented(gtx, &a.stick.length, "Length", slices.Index(stickLengths, l.LengthM), stickNames...)
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Segmented(gtx, &a.stick.way, "Direction", slices.Index(stickWays, l.Along), stickWayText...)
	})
	return true
}
