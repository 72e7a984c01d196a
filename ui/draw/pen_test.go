package draw_test

import (
	"image"
	"image/color"
	"math"
	"testing"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"github.com/stretchr/testify/assert"

	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// Each shape is drawn white on black and its area, the sum of its pixels'
// coverage, compared with the formula of elementary geometry. A contour that
// runs the wrong way would leave a hole or fill one.
func TestShapesHaveTheirArea(t *testing.T) {
	const pi = math.Pi
	at := f32.Pt(60, 60)
	// A square zigzag of 40 px sides, for mitred corners.
	square := []f32.Point{{X: 30, Y: 30}, {X: 70, Y: 30}, {X: 70, Y: 70}, {X: 30, Y: 70}}
	shapes := []struct {
		name string
		add  func(p *draw.Pen)
		want float64
	}{
		{"line", func(p *draw.Pen) { p.Line(f32.Pt(20, 30), f32.Pt(80, 110), 4) }, 100 * 4},
		{"line back", func(p *draw.Pen) { p.Line(f32.Pt(80, 110), f32.Pt(20, 30), 4) }, 100 * 4},
		{"lines crossing", func(p *draw.Pen) { p.Cross(at, 30, 6) }, 60*6*2 - 36},
		{"round line", func(p *draw.Pen) { p.RoundLine(f32.Pt(20, 30), f32.Pt(80, 110), 10) }, 100*10 + pi*25},
		{"dot", func(p *draw.Pen) { p.RoundLine(at, at, 10) }, pi * 25},
		// Gaps of (100-10-n*10)/n: 5 fit best, so 6 dashes of 10.
		{"dashes", func(p *draw.Pen) { p.DashedLine(f32.Pt(20, 30), f32.Pt(80, 110), 4, 10, 8) }, 6 * 10 * 4},
		{"short dashes", func(p *draw.Pen) { p.DashedLine(f32.Pt(20, 30), f32.Pt(24, 30), 4, 10, 8) }, 4 * 4},
		{"circle", func(p *draw.Pen) { p.Circle(at, 40) }, pi * 1600},
		{"ring", func(p *draw.Pen) { p.Ring(at, 40, 6) }, 2 * pi * 40 * 6},
		{"thick ring", func(p *draw.Pen) { p.Ring(at, 10, 30) }, pi * 25 * 25},
		{"arc", func(p *draw.Pen) { p.Arc(at, 40, -1, 2, 6) }, 3 * 40 * 6},
		{"arc back", func(p *draw.Pen) { p.Arc(at, 40, 2, -1, 6) }, 3 * 40 * 6},
		{"whole arc", func(p *draw.Pen) { p.Arc(at, 40, 0, 7, 6) }, 2 * pi * 40 * 6},
		{"wedge", func(p *draw.Pen) { p.Wedge(at, 40, 0.3, 1.5) }, 1600 * 1.2 / 2},
		{"wedges of a whole", func(p *draw.Pen) { p.Wedge(at, 40, 0, 4); p.Wedge(at, 40, 4, 2*pi) }, pi * 1600},
		{"rectangle", func(p *draw.Pen) { p.RoundRect(10, 20, 90, 80, 0) }, 80 * 60},
		{"round rectangle", func(p *draw.Pen) { p.RoundRect(10, 20, 90, 80, 10) }, 80*60 - (4-pi)*100},
		{"pill", func(p *draw.Pen) { p.RoundRect(10, 20, 90, 80, 500) }, 20*60 + pi*900},
		{"frame", func(p *draw.Pen) { p.RoundFrame(10, 20, 90, 80, 10, 4) }, 80*60 - (4-pi)*100 - (72*52 - (4-pi)*36)},
		{"square frame", func(p *draw.Pen) { p.RoundFrame(10, 20, 90, 80, 0, 4) }, 80*60 - 72*52},
		{"triangle up", func(p *draw.Pen) { p.Triangle(at, 40, true) }, 3 * math.Sqrt(3) / 4 * 1600},
		{"triangle down", func(p *draw.Pen) { p.Triangle(at, 40, false) }, 3 * math.Sqrt(3) / 4 * 1600},
		{"closed polyline", func(p *draw.Pen) { p.Polyline(square, 4, true) }, 44*44 - 36*36},
		{"open polyline", func(p *draw.Pen) { p.Polyline(square, 4, false) }, 3*40*4 + 2*4 - 4 - 4},
		{"polygon", func(p *draw.Pen) { p.Polygon(square...) }, 1600},
		{"polygon back", func(p *draw.Pen) { p.Polygon(square[3], square[2], square[1], square[0]) }, 1600},
		{"union", func(p *draw.Pen) { p.Circle(at, 20); p.Circle(at, 40); p.Triangle(at, 20, true) }, pi * 1600},
		{"nothing", func(p *draw.Pen) { p.Line(at, at, 4); p.Circle(at, 0); p.Polyline(square[:1], 4, false) }, 0},
	}
	const cell, across = 120, 6
	rows := (len(shapes) + across - 1) / across
	white := color.NRGBA{R: 255, G: 255, B: 255, A: 255}
	img := drawtest.Picture(t, across*cell, rows*cell, 1, color.NRGBA{A: 255}, func(gtx layout.Context) {
		for i, c := range shapes {
			tr := op.Offset(image.Pt(i%across*cell, i/across*cell)).Push(gtx.Ops)
			var p draw.Pen
			p.Begin(gtx.Ops)
			c.add(&p)
			p.Fill(white)
			tr.Pop()
		}
	})
	for i, c := range shapes {
		area := 0.0
		for y := range cell {
			for x := range cell {
				q := img.RGBAAt(i%across*cell+x, i/across*cell+y)
				area += draw.Luminance(color.NRGBA{R: q.R, G: q.G, B: q.B})
			}
		}
		// Smoothed edges are off by a few hundredths of a pixel of width.
		assert.InDelta(t, c.want, area, 0.012*c.want+4, c.name)
	}
}
