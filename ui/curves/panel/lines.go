package panel

import (
	"image"
	"image/color"
	"math"
	"slices"
	"strconv"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/curves"
	"turngauge/ui/draw"
)

// The dashes of a curve of the trail side.
const (
	dashOn  unit.Dp = 7
	dashOff unit.Dp = 5
)

// plotMap takes times and values to the plot.
type plotMap struct {
	area     image.Rectangle
	from, to float64
}

func (m *plotMap) x(t float64) float32 {
	return float32(m.area.Min.X) + float32((t-m.from)/(m.to-m.from))*float32(m.area.Dx())
}

func (m *plotMap) y(r *valueRange, v float64) float32 {
	return float32(m.area.Max.Y) - float32((v-r.low)/(r.high-r.low))*float32(m.area.Dy())
}

func (p *Room) drawPlotGrid(gtx layout.Context, m *plotMap, sides *[2]valueRange) {
	th := p.host.Theme()
	one := max(gtx.Dp(1), 1)
	for side := range sides {
		r := &sides[side]
		if !r.any {
			continue
		}
		for v := math.Ceil(r.low/r.step-1e-6) * r.step; v <= r.high+r.step/1e3; v += r.step {
			y := int(m.y(r, v))
			if side == 0 || !sides[0].any {
				c := th.Line
				if math.Abs(v) < r.step/2 {
					c = th.Edge
				}
				draw.Fill(gtx.Ops, image.Rect(m.area.Min.X, y, m.area.Max.X, y+one), c)
			}
			text := signed(strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64)) + p.plotUnit(side, v+r.step > r.high+r.step/1e3)
			if side == 0 {
				th.TextAt(gtx, f32.Pt(float32(m.area.Min.X-gtx.Dp(5)), float32(y)), 1, 0.5, draw.Small, font.Normal, th.Dim, text)
			} else {
				th.TextAt(gtx, f32.Pt(float32(m.area.Max.X+gtx.Dp(5)), float32(y)), 0, 0.5, draw.Small, font.Normal, th.Dim, text)
			}
		}
	}
	step := 0.1
	for float64(m.area.Dx())*step/(m.to-m.from) < float64(gtx.Sp(44)) {
		if step *= 2; step > 0.35 && step < 0.45 {
			step = 0.5
		}
	}
	for t := math.Ceil(m.from/step) * step; t <= m.to; t += step {
		x := m.x(t)
		draw.Fill(gtx.Ops, image.Rect(int(x), m.area.Max.Y, int(x)+one, m.area.Max.Y+gtx.Dp(3)), th.Edge)
		text := signed(strconv.FormatFloat(math.Round(t*10)/10+0, 'f', 1, 64))
		if math.Abs(t) < step/2 {
			text = "0 s"
		}
		th.TextAt(gtx, f32.Pt(x, float32(m.area.Max.Y+gtx.Dp(3))), 0.5, 0, draw.Small, font.Normal, th.Dim, text)
	}
}

// plotUnit is what stands after a number at the side of the plot; what is long
// stands after the uppermost only.
func (p *Room) plotUnit(side int, top bool) string {
	unit := [2]string{"°", " cm"}[side]
	if side == 1 && p.host.Settings().Imperial {
		unit = " in"
	}
	if p.showSpeeds {
		unit += "/s"
	}
	if !top && (side == 1 || p.showSpeeds) {
		return ""
	}
	return unit
}

// drawPlotPositions draws the key positions as lines with the number of their key.
func (p *Room) drawPlotPositions(gtx layout.Context, m *plotMap, fit *motion.Curves, names []geometry.PositionName) {
	th := p.host.Theme()
	one := max(gtx.Dp(1), 1)
	taken := math.Inf(-1) // up to where there is a label
	for k, t := range fit.Positions {
		if math.IsNaN(t) || k >= len(names) {
			continue
		}
		x := m.x(t)
		c := th.Dim
		if names[k] == p.host.Session().Show().Position {
			c = th.Text
		}
		draw.Fill(gtx.Ops, image.Rect(int(x), m.area.Min.Y, int(x)+one, m.area.Max.Y), th.Edge)
		label := string(names[k])[:1]
		if d := slices.Index(geometry.KeyPositions, names[k]); d >= 0 {
			label = strconv.Itoa(d + 1)
		}
		if names[k] == geometry.Top || names[k] == geometry.Impact || names[k] == geometry.Address {
			label += " " + string(names[k])
		}
		w, _ := th.TextSize(gtx, draw.Small, font.Normal, label)
		left := max(float64(x)-float64(w.X)/2, taken+float64(gtx.Dp(5)), float64(m.area.Min.X-gtx.Dp(4)))
		left = min(left, float64(m.area.Max.X+gtx.Dp(12)-w.X))
		taken = left + float64(w.X)
		th.TextAt(gtx, f32.Pt(float32(left), float32(m.area.Min.Y-gtx.Dp(2))), 0, 1, draw.Small, font.Normal, c, label)
	}
}

// runs calls do for each run of instants at which a curve is known.
func runs(c *motion.Curve, do func(from, to int)) {
	from := -1
	for i := range c.Values {
		switch known := c.Values[i].Known; {
		case known && from < 0:
			from = i
		case !known && from >= 0:
			do(from, i)
			from = -1
		}
	}
	if from >= 0 {
		do(from, len(c.Values))
	}
}

func (p *Room) drawBand(gtx layout.Context, m *plotMap, r *valueRange, fit *motion.Curves, k int, c color.NRGBA) {
	runs(&fit.Curves[k], func(from, to int) {
		var pts []f32.Point
		for i := from; i < to; i++ {
			_, _, hi := p.seriesOf(&fit.Curves[k], i)
			pts = append(pts, f32.Pt(m.x(fit.Seconds[i]), m.y(r, hi)))
		}
		for i := to - 1; i >= from; i-- {
			_, lo, _ := p.seriesOf(&fit.Curves[k], i)
			pts = append(pts, f32.Pt(m.x(fit.Seconds[i]), m.y(r, lo)))
		}
		if len(pts) < 4 {
			return
		}
		var pen draw.Pen
		pen.Begin(gtx.Ops)
		pen.Polygon(pts...)
		pen.Fill(c)
	})
}

func (p *Room) drawCurve(gtx layout.Context, m *plotMap, r *valueRange, fit *motion.Curves, k int, c color.NRGBA) {
	width := float32(gtx.Dp(2))
	runs(&fit.Curves[k], func(from, to int) {
		var pts []f32.Point
		for i := from; i < to; i++ {
			v, _, _ := p.seriesOf(&fit.Curves[k], i)
			pts = append(pts, f32.Pt(m.x(fit.Seconds[i]), m.y(r, v)))
		}
		var pen draw.Pen
		pen.Begin(gtx.Ops)
		if curves.Looks[k].Dashed {
			dashed(&pen, pts, width, float32(gtx.Dp(dashOn)), float32(gtx.Dp(dashOff)))
		} else {
			pen.RoundPolyline(pts, width)
		}
		pen.Fill(c)
	})
}

// curveLetter tells a curve apart where colours can't be: it stands on the curve and
// before its name.
func curveLetter(k int) string { return string(rune('a' + k)) }

// drawLetter writes a curve's letter on it, each in a column of its own, so that no two
// stand on each other; none where nothing of the curve is known there.
func (p *Room) drawLetter(gtx layout.Context, m *plotMap, r *valueRange, fit *motion.Curves, k int, c color.NRGBA) {
	at := m.from + (m.to-m.from)*float64(k+1)/float64(len(fit.Curves)+1)
	runs(&fit.Curves[k], func(from, to int) {
		if fit.Seconds[from] > at || fit.Seconds[to-1] < at {
			return
		}
		i := from
		for fit.Seconds[i] < at {
			i++
		}
		v, _, _ := p.seriesOf(&fit.Curves[k], i)
		spot := f32.Pt(m.x(fit.Seconds[i]), m.y(r, v))
		draw.Circle(gtx.Ops, spot, float32(gtx.Sp(8)), p.host.Theme().Well)
		draw.Ring(gtx.Ops, spot, float32(gtx.Sp(8)), float32(gtx.Dp(1)), c)
		p.host.Theme().TextAt(gtx, spot, 0.5, 0.5, draw.Small, font.SemiBold, p.host.Theme().Text, curveLetter(k))
	})
}

// dashed adds a line through points in dashes that run on over its corners.
func dashed(pen *draw.Pen, pts []f32.Point, width, on, off float32) {
	var dash []f32.Point
	left, drawn := on, true
	flush := func() {
		if len(dash) > 1 {
			pen.Polyline(dash, width, false)
		}
		dash = dash[:0]
	}
	for i, p := range pts {
		if i == 0 {
			dash = append(dash, p)
			continue
		}
		q := pts[i-1]
		d := float32(math.Hypot(float64(p.X-q.X), float64(p.Y-q.Y)))
		for d > left {
			part := left / d
			q = f32.Pt(q.X+(p.X-q.X)*part, q.Y+(p.Y-q.Y)*part)
			d -= left
			if drawn {
				dash = append(dash, q)
				flush()
				left = off
			} else {
				dash = append(dash[:0], q)
				left = on
			}
			drawn = !drawn
		}
		left -= d
		if drawn {
			dash = append(dash, p)
		}
	}
	if drawn {
		flush()
	}
}

// drawAtPositions draws, at the key positions, a curve's target range as a bar
// and what the marks alone say as a ring with its interval.
func (p *Room) drawAtPositions(gtx layout.Context, m *plotMap, r *valueRange, fit *motion.Curves, names []geometry.PositionName, k int, c color.NRGBA) {
	name, k1 := fit.Curves[k].Name, p.curveFactor(&fit.Curves[k])
	for i, t := range fit.Positions {
		if math.IsNaN(t) || i >= len(names) {
			continue
		}
		x := m.x(t)
		if target, ok := p.host.Session().Target(name, names[i]); ok {
			lo, hi := max(k1*target.Low, r.low), min(k1*target.High, r.high)
			if lo < hi {
				w := float32(gtx.Dp(5))
				draw.RoundRect(gtx.Ops, image.Rect(int(x-w), int(m.y(r, hi)), int(x+w)+1, int(m.y(r, lo))), gtx.Dp(2), draw.Alpha(c, 0.35))
			}
		}
		if v, ok := p.host.Session().Result.ByMarks(name, names[i]); ok {
			w := float32(gtx.Dp(1))
			draw.Line(gtx.Ops, f32.Pt(x, m.y(r, k1*v.Low95)), f32.Pt(x, m.y(r, k1*v.High95)), w, c)
			at := f32.Pt(x, m.y(r, k1*v.Value))
			draw.Circle(gtx.Ops, at, float32(gtx.Dp(4)), p.host.Theme().Panel)
			draw.Ring(gtx.Ops, at, float32(gtx.Dp(4)), 1.5*w, c)
		}
	}
}
