package panel

import (
	"image"
	"image/color"
	"math"
	"strings"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"

	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/curves"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

func (p *Room) curveColour(k int) color.NRGBA {
	if p.host.Theme().Dark() {
		return curves.Looks[k].Dark
	}
	return curves.Looks[k].Light
}

// bandShade is how much of a curve's colour its band has.
func (p *Room) bandShade() float32 {
	if p.host.Theme().Dark() {
		return 0.2
	}
	return 0.3
}

// curvePlot is where the plot lies, for the pointer.
type curvePlot struct {
	place image.Rectangle // from the panel's corner; empty where nothing is plotted
	area  image.Rectangle // of the curves themselves, from the plot's own corner
	held  bool
	id    pointer.ID
}

// updatePlot moves both clips to where the plot is pressed or dragged.
func (p *Room) updatePlot(gtx layout.Context) {
	plot := &p.plot
	for {
		ev, ok := gtx.Event(pointer.Filter{
			Target: plot, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Scroll,
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
			plot.held, plot.id = true, e.PointerID
			kit.ReleaseKeys(gtx, p.host)
			p.scrub(e.Position.X)
		case pointer.Drag:
			if plot.held && e.PointerID == plot.id {
				p.scrub(e.Position.X)
			}
		case pointer.Release, pointer.Cancel:
			plot.held = false
		case pointer.Scroll:
			p.host.Session().Show().Pause()
			if e.Scroll.Y > 0 {
				p.host.Session().Show().Step(1)
			} else if e.Scroll.Y < 0 {
				p.host.Session().Show().Step(-1)
			}
		}
	}
}

// scrub shows the frames at a place of the plot, as the sheet's key position
// where it is one.
func (p *Room) scrub(x float32) {
	c, _ := p.host.Session().Bench.Curves()
	area := p.plot.area
	if c == nil || c.Fit == nil || area.Dx() <= 0 {
		return
	}
	if p.host.Session().Bench.MarkingAgain() {
		p.host.Tell(p.host.Session().Bench.Busy())
		return
	}
	p.host.Session().Show().Pause()
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
	p.host.Session().Bench.GoToCurve(at)
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
func (p *Room) seriesOf(c *motion.Curve, i int) (value, low, high float64) {
	v, k := &c.Values[i], p.curveFactor(c)
	if p.showSpeeds {
		return k * v.Rate, k * v.RateLow95, k * v.RateHigh95
	}
	return k * v.Value, k * v.Low95, k * v.High95
}

// curveFactor is what a curve's numbers are multiplied by for the coach: inches
// for centimetres where they are wanted.
func (p *Room) curveFactor(c *motion.Curve) float64 {
	if rightSide(c) && p.host.Settings().Imperial {
		return 1 / 2.54
	}
	return 1
}

// rightSide reports whether a curve is read on the right: centimetres.
func rightSide(c *motion.Curve) bool { return c.Unit == geometry.Centimetres }

// layoutPlot draws the curves that are shown, with their intervals, the key
// positions, the targets, what the marks alone say, and where the clips are.
func (p *Room) layoutPlot(gtx layout.Context, fit *motion.Curves, names []geometry.PositionName) layout.Dimensions {
	th, plot := p.host.Theme(), &p.plot
	size := gtx.Constraints.Max
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Curves").Add(gtx.Ops)
	event.Op(gtx.Ops, plot)
	pointer.CursorPointer.Add(gtx.Ops)
	var sides [2]valueRange
	for k := range fit.Curves {
		if !p.shown[k] {
			continue
		}
		side := 0
		if rightSide(&fit.Curves[k]) {
			side = 1
		}
		for i := range fit.Curves[k].Values {
			if fit.Curves[k].Values[i].Known {
				_, lo, hi := p.seriesOf(&fit.Curves[k], i)
				sides[side].include(lo, hi)
			}
		}
	}
	line := gtx.Sp(draw.Small) * 3 / 2
	plot.area = image.Rect(gtx.Sp(46), line, size.X-gtx.Sp(14), size.Y-line)
	if sides[1].any {
		plot.area.Max.X = size.X - gtx.Sp(46)
	}
	if plot.area.Dx() < 20 || plot.area.Dy() < 20 {
		return layout.Dimensions{Size: size}
	}
	for i := range sides {
		sides[i].round(float64(plot.area.Dy()) / float64(2*line))
	}
	m := plotMap{area: plot.area, from: fit.Seconds[0], to: fit.Seconds[len(fit.Seconds)-1]}
	p.drawPlotGrid(gtx, &m, &sides)
	p.drawPlotPositions(gtx, &m, fit, names)
	stale := p.stale()
	in := clip.Rect(image.Rect(plot.area.Min.X, plot.area.Min.Y-1, plot.area.Max.X, plot.area.Max.Y+1)).Push(gtx.Ops)
	const bands, lines, letters = 0, 1, 2
	for pass := range letters + 1 {
		for k := range fit.Curves {
			if !p.shown[k] {
				continue
			}
			side := &sides[0]
			if rightSide(&fit.Curves[k]) {
				side = &sides[1]
			}
			c := p.curveColour(k)
			if stale {
				c = draw.Alpha(c, 0.45)
			}
			switch {
			case pass == bands:
				p.drawBand(gtx, &m, side, fit, k, draw.Alpha(c, p.bandShade()))
				continue
			case pass == letters:
				p.drawLetter(gtx, &m, side, fit, k, c)
				continue
			case pass == lines && !p.showSpeeds:
				p.drawAtPositions(gtx, &m, side, fit, names, k, c)
			}
			p.drawCurve(gtx, &m, side, fit, k, c)
		}
	}
	in.Pop()
	if at, ok := p.host.Session().Bench.CurveSeconds(p.host.Session().Show().Active); ok {
		x := m.x(at)
		if x >= float32(plot.area.Min.X)-1 && x <= float32(plot.area.Max.X)+1 {
			w := float32(gtx.Dp(1))
			draw.Fill(gtx.Ops, image.Rect(int(x-w), plot.area.Min.Y, int(x+w)+1, plot.area.Max.Y+gtx.Dp(4)), th.Accent)
			draw.Circle(gtx.Ops, f32.Pt(x, float32(plot.area.Max.Y+gtx.Dp(5))), float32(gtx.Dp(5)), th.Accent)
		}
	}
	return layout.Dimensions{Size: size}
}
