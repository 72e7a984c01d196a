package ui

import (
	"image"
	"image/color"
	"math"
	"strings"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"

	"turngauge/geometry"
	"turngauge/ui/draw"
)

// curveLook is how a curve is drawn. The colours are those of Okabe and Ito
// (2008), made for all kinds of colour vision, the second of each pair darker for
// the light window.
type curveLook struct {
	colours [2]color.NRGBA
	dashed  bool // the trail side
}

// curveLooks is in the order of geometry.Curves.
var curveLooks = [...]curveLook{
	{colours: pairOf(0x56b4e9, 0x0072b2)},
	{colours: pairOf(0xe69f00, 0xa86400)},
	{colours: pairOf(0x2fc79b, 0x007a5a)},
	{colours: pairOf(0xf0e442, 0x7d7400)},
	{colours: pairOf(0xe08cb8, 0x9c4a77)},
	{colours: pairOf(0xe08cb8, 0x9c4a77), dashed: true},
	{colours: pairOf(0xff8a5c, 0xb84a10)},
}

func pairOf(dark, light uint32) [2]color.NRGBA {
	c := func(v uint32) color.NRGBA {
		return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 255}
	}
	return [2]color.NRGBA{c(dark), c(light)}
}

func (a *App) curveColour(k int) color.NRGBA {
	if a.theme.Dark() {
		return curveLooks[k].colours[0]
	}
	return curveLooks[k].colours[1]
}

// bandShade is how much of a curve's colour its band has.
func (a *App) bandShade() float32 {
	if a.theme.Dark() {
		return 0.2
	}
	return 0.3
}

// curvePlot is where the plot lies, for the pointer.
type curvePlot struct {
	area image.Rectangle // of the curves themselves, from the plot's own corner
	held bool
	id   pointer.ID
}

// updateCurvePlot moves both clips to where the plot is pressed or dragged.
func (a *App) updateCurvePlot(gtx layout.Context) {
	p := &a.curves.plot
	for {
		ev, ok := gtx.Event(pointer.Filter{
			Target: p, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Scroll,
			ScrollY: pointer.ScrollRange{Min: -1, Max: 1},
		})
		if !ok {
			return
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		switch e.Kind {
		case pointer.Press:
			p.held, p.id = true, e.PointerID
			gtx.Execute(key.FocusCmd{Tag: a})
			a.scrubCurves(e.Position.X)
		case pointer.Drag:
			if p.held && e.PointerID == p.id {
				a.scrubCurves(e.Position.X)
			}
		case pointer.Release, pointer.Cancel:
			p.held = false
		case pointer.Scroll:
			a.desk.show().Pause()
			if e.Scroll.Y > 0 {
				a.desk.show().Step(1)
			} else if e.Scroll.Y < 0 {
				a.desk.show().Step(-1)
			}
		}
	}
}

// scrubCurves shows the frames at a place of the plot, as the sheet's key position
// where it is one.
func (a *App) scrubCurves(x float32) {
	c, _ := a.desk.Bench.Curves()
	area := a.curves.plot.area
	if c == nil || c.Fit == nil || area.Dx() <= 0 {
		return
	}
	if a.desk.Bench.MarkingAgain() {
		a.notices.Tell(a.desk.Bench.Busy())
		return
	}
	a.desk.show().Pause()
	part := min(max((x-float32(area.Min.X))/float32(area.Dx()), 0), 1)
	t := c.Fit.Seconds
	at := t[0] + float64(part)*(t[len(t)-1]-t[0])
	// A key position catches what falls within four pixels of it.
	near := 4 * (t[len(t)-1] - t[0]) / float64(area.Dx())
	for _, k := range c.Fit.Positions {
		if math.Abs(k-at) < near {
			at = k
		}
	}
	a.desk.Bench.GoToCurve(at)
}

// valueRange is what one side of the plot shows.
type valueRange struct {
	low, high, step float64
	any             bool
}

func (r *valueRange) include(lo, hi float64) {
	if !r.any {
		r.low, r.high, r.any = lo, hi, true
		return
	}
	r.low, r.high = min(r.low, lo), max(r.high, hi)
}

// round widens the range to round numbers, some ticks apart.
func (r *valueRange) round(ticks float64) {
	if r.high-r.low < 1e-6 {
		r.low, r.high = r.low-1, r.high+1
	}
	raw := (r.high - r.low) / max(ticks, 1)
	base := math.Pow(10, math.Floor(math.Log10(raw)))
	r.step = 10 * base
	for _, m := range []float64{1, 2, 5} {
		if m*base >= raw {
			r.step = m * base
			break
		}
	}
	part := r.step / 4
	r.low, r.high = math.Floor(r.low/part)*part, math.Ceil(r.high/part)*part
}

// signed writes a number with a true minus sign.
func signed(s string) string { return strings.Replace(s, "-", "−", 1) }

// seriesOf returns what is drawn of a curve, in the coach's unit: the value and its
// interval, or the speed and its.
func (a *App) seriesOf(c *geometry.Curve, i int) (value, low, high float64) {
	v, k := &c.Values[i], a.curveFactor(c)
	if a.curves.showSpeeds {
		return k * v.Rate, k * v.RateLow95, k * v.RateHigh95
	}
	return k * v.Value, k * v.Low95, k * v.High95
}

// curveFactor is what a curve's numbers are multiplied by for the coach: inches
// for centimetres where they are wanted.
func (a *App) curveFactor(c *geometry.Curve) float64 {
	if rightSide(c) && a.settings.Imperial {
		return 1 / 2.54
	}
	return 1
}

// rightSide reports whether a curve is read on the right: centimetres.
func rightSide(c *geometry.Curve) bool { return c.Unit == geometry.Centimetres }

// layoutCurvePlot draws the curves that are shown, with their intervals, the key
// positions, the targets, what the marks alone say, and where the clips are.
func (a *App) layoutCurvePlot(gtx layout.Context, fit *geometry.Curves, names []geometry.PositionName) layout.Dimensions {
	th, p := a.theme, &a.curves.plot
	size := gtx.Constraints.Max
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Curves").Add(gtx.Ops)
	event.Op(gtx.Ops, p)
	pointer.CursorPointer.Add(gtx.Ops)
	var sides [2]valueRange
	for k := range fit.Curves {
		if !a.curves.shown[k] {
			continue
		}
		side := 0
		if rightSide(&fit.Curves[k]) {
			side = 1
		}
		for i := range fit.Curves[k].Values {
			if fit.Curves[k].Values[i].Known {
				_, lo, hi := a.seriesOf(&fit.Curves[k], i)
				sides[side].include(lo, hi)
			}
		}
	}
	line := gtx.Sp(draw.Small) * 3 / 2
	p.area = image.Rect(gtx.Sp(46), line, size.X-gtx.Sp(14), size.Y-line)
	if sides[1].any {
		p.area.Max.X = size.X - gtx.Sp(46)
	}
	if p.area.Dx() < 20 || p.area.Dy() < 20 {
		return layout.Dimensions{Size: size}
	}
	for i := range sides {
		sides[i].round(float64(p.area.Dy()) / float64(2*line))
	}
	m := plotMap{area: p.area, from: fit.Seconds[0], to: fit.Seconds[len(fit.Seconds)-1]}
	a.drawPlotGrid(gtx, &m, &sides)
	a.drawPlotPositions(gtx, &m, fit, names)
	stale := a.curvesStale()
	in := clip.Rect(image.Rect(p.area.Min.X, p.area.Min.Y-1, p.area.Max.X, p.area.Max.Y+1)).Push(gtx.Ops)
	for _, band := range []bool{true, false} {
		for k := range fit.Curves {
			if !a.curves.shown[k] {
				continue
			}
			side := &sides[0]
			if rightSide(&fit.Curves[k]) {
				side = &sides[1]
			}
			c := a.curveColour(k)
			if stale {
				c = draw.Alpha(c, 0.45)
			}
			if band {
				a.drawBand(gtx, &m, side, fit, k, draw.Alpha(c, a.bandShade()))
				continue
			}
			if !a.curves.showSpeeds {
				a.drawAtPositions(gtx, &m, side, fit, names, k, c)
			}
			a.drawCurve(gtx, &m, side, fit, k, c)
		}
	}
	in.Pop()
	if at, ok := a.desk.Bench.CurveSeconds(a.desk.show().Active); ok {
		x := m.x(at)
		if x >= float32(p.area.Min.X)-1 && x <= float32(p.area.Max.X)+1 {
			w := float32(gtx.Dp(1))
			draw.Fill(gtx.Ops, image.Rect(int(x-w), p.area.Min.Y, int(x+w)+1, p.area.Max.Y+gtx.Dp(4)), th.Accent)
			draw.Circle(gtx.Ops, f32.Pt(x, float32(p.area.Max.Y+gtx.Dp(5))), float32(gtx.Dp(5)), th.Accent)
		}
	}
	return layout.Dimensions{Size: size}
}
