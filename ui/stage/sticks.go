package stage

import (
	"math"

	"gioui.org/f32"
	"gioui.org/layout"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// layoutSticks draws the ground sticks of a stage's clip: they lie still, so
// they are shown on every frame.
func (room *Room) layoutSticks(gtx layout.Context, i int) {
	b, v := room.host.Session().Bench, &room.views[i]
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
			c = room.pictureAccent()
		}
		w := float32(gtx.Dp(2))
		var pen draw.Pen
		pen.Begin(gtx.Ops)
		pen.Line(p[0], p[1], w*2)
		pen.Fill(draw.Alpha(room.host.Theme().Outline, 0.6))
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
