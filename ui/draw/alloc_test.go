//go:build !race

package draw_test

import (
	"testing"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/op"
	"github.com/stretchr/testify/assert"

	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// A frame like the last one makes no garbage. (The race detector allocates.)
func TestASteadyFrameAllocatesNothing(t *testing.T) {
	th := draw.NewFixedTheme(true, 1)
	var ops op.Ops
	gtx := th.Context(drawtest.Context(&ops, 400, 300, 1))
	pts := []f32.Point{{X: 1}, {X: 40, Y: 30}, {X: 80, Y: 10}}
	frame := func() {
		ops.Reset()
		th.Label(gtx, draw.Body, font.Normal, th.Text, "Pelvis turn")
		th.Decimal(gtx, 40, draw.Body, font.Medium, th.Text, "38.2°")
		th.TextOnPicture(gtx, f32.Pt(10, 10), 0, 0, draw.Small, font.Normal, th.PlateText, "frame 240")
		th.Icon(gtx.Ops, draw.IconUndo, gtx.Constraints.Max, 20, th.Text)
		th.Verdict(gtx.Ops, f32.Pt(9, 9), 6, draw.Above)
		var p draw.Pen
		p.Begin(gtx.Ops)
		p.DashedLine(f32.Pt(0, 0), f32.Pt(90, 40), 2, 6, 4)
		p.Polyline(pts, 2, false)
		p.Wedge(f32.Pt(50, 50), 30, 0, 1)
		p.Polygon(pts...)
		p.Fill(th.Lead)
	}
	for range 5 {
		frame()
	}
	assert.Zero(t, testing.AllocsPerRun(50, frame))
}
