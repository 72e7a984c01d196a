package panel

import (
	"fmt"
	"image"
	"math"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/annotations/words"
	"turngauge/geometry/motion"
	"turngauge/ui/bench"
	"turngauge/ui/curves"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// The room that the panel wants. Where the guide would leave it less than
// WidthAlone, it takes the guide's place too.
const (
	WidthAlone unit.Sp = 760

	height      unit.Sp = 286
	heightShare float32 = 0.34 // of the window's height, at most
	legendWidth unit.Sp = 270
)

// Height is how high the panel is in a window of a height.
func Height(gtx layout.Context, window int) int {
	return min(gtx.Sp(height), int(heightShare*float32(window)))
}

// Layout draws the panel: which curves, with their values where the clips
// are, the plot, and what it comes to in words.
func (p *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := p.host.Theme()
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	p.plot.place = image.Rectangle{}
	pad := gtx.Dp(draw.Pad)
	got, _ := p.host.Session().Bench.Curves()
	switch {
	case got == nil || got.Fit == nil || p.cancel != nil && p.part < 1 && got.Fit == nil:
		kit.At(gtx, image.Rect(pad, gtx.Dp(8), size.X-pad, size.Y), func(gtx layout.Context) layout.Dimensions {
			return p.layoutNoCurves(gtx, got)
		})
		return layout.Dimensions{Size: size}
	}
	legend := min(gtx.Sp(legendWidth), size.X*2/5)
	kit.At(gtx, image.Rect(pad, gtx.Dp(6), legend, size.Y-gtx.Dp(4)), func(gtx layout.Context) layout.Dimensions {
		return p.layoutLegend(gtx, got)
	})
	text := p.curveWords(got)
	m := op.Record(gtx.Ops)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(size.X-legend-2*pad, size.Y/2)}
	d := th.Paragraph(g, draw.Small, font.Normal, th.Text, text)
	call := m.Stop()
	foot := size.Y - d.Size.Y - gtx.Dp(6)
	off := op.Offset(image.Pt(legend+pad, foot)).Push(gtx.Ops)
	area := clip.Rect(image.Rectangle{Max: d.Size}).Push(gtx.Ops)
	semantic.LabelOp(text).Add(gtx.Ops)
	call.Add(gtx.Ops)
	area.Pop()
	off.Pop()
	plot := image.Rect(legend+pad, gtx.Dp(4), size.X-gtx.Dp(4), foot-gtx.Dp(2))
	p.plot.place = plot
	kit.At(gtx, plot, func(gtx layout.Context) layout.Dimensions {
		return p.layoutPlot(gtx, got.Fit, got.Names)
	})
	return layout.Dimensions{Size: size}
}

// curveWords says in words what the curves come to.
func (p *Room) curveWords(got *bench.Curves) string {
	order := words.Reversal(&got.Fit.Reversal) + " " + words.Peak(&got.Fit.Peak)
	if seen := words.Seen(&got.Fit.Seen); seen != "" {
		order += " " + seen
	}
	if p.stale() {
		order = "The marks have changed since: these curves are of before. " + order
	}
	return order
}

// layoutNoCurves says how far the work is, or what is missing.
func (p *Room) layoutNoCurves(gtx layout.Context, got *bench.Curves) layout.Dimensions {
	th := p.host.Theme()
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(6)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Title, font.SemiBold, th.Text, "Curves")
	})
	switch {
	case p.cancel != nil:
		col.Add(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Max.X = min(gtx.Constraints.Max.X, gtx.Sp(520))
			return kit.Progress(gtx, p.host.Theme(), fmt.Sprintf("Following all marks through both clips: %.0f %%", 100*p.part), p.part, &p.stop)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, "You can go on working meanwhile. It is done once, and again only when you ask for it after the marks have changed.")
		})
	case got != nil && len(got.Reasons) > 0:
		col.Add(func(gtx layout.Context) layout.Dimensions {
			text := "The turns over time need both clips followed from key position to key position. Missing: " + strings.Join(got.Reasons, "; ") + "."
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, text)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.again, draw.ButtonStyle{Label: "Try again", Compact: true})
		})
	}
	return layout.Dimensions{Size: gtx.Constraints.Max}
}

// layoutLegend lists the curves with their values at the cursor; a click shows or
// hides one. Under it stand the panel's buttons.
func (p *Room) layoutLegend(gtx layout.Context, got *bench.Curves) layout.Dimensions {
	th := p.host.Theme()
	size := gtx.Constraints.Max
	t, ok := p.host.Session().Bench.CurveSeconds(p.host.Session().Show().Active)
	head := "Curves"
	if ok {
		head = curveTime(t, got) + ", tracked"
	}
	h := gtx.Sp(draw.Body) * 3 / 2
	th.TextAt(gtx, f32.Pt(0, float32(h)/2), 0, 0.5, draw.Body, font.SemiBold, th.Text, head)
	foot := gtx.Sp(draw.Compact) + gtx.Dp(4)
	row := min((size.Y-h-foot)/len(curves.Looks), gtx.Sp(26))
	for k := range got.Fit.Curves {
		off := op.Offset(image.Pt(0, h+k*row)).Push(gtx.Ops)
		g := gtx
		g.Constraints = layout.Exact(image.Pt(size.X, row))
		p.layoutLegendRow(g, got, k, t, ok)
		off.Pop()
	}
	if key := h + len(curves.Looks)*row + gtx.Dp(4); size.Y-foot-key >= gtx.Sp(draw.Small)*3/2 && !p.showSpeeds {
		p.layoutPlotKey(gtx, image.Pt(gtx.Dp(3), key+gtx.Sp(draw.Small)*3/4))
	}
	off := op.Offset(image.Pt(0, size.Y-foot+gtx.Dp(2))).Push(gtx.Ops)
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			s.Compact = true
			s.TipSide = draw.TipAboveStart
			return th.Button(gtx, b, s)
		}
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(size.X, foot)}
	parts := []layout.Widget{
		button(&p.speeds, draw.ButtonStyle{Label: "Speeds", Kind: draw.Quiet, Toggle: true, On: p.showSpeeds, Tip: "How fast each changes, in place of its value"}),
		button(&p.copyAll, draw.ButtonStyle{Icon: draw.IconCopy, Kind: draw.Quiet, Name: "Copy the curves as a table (CSV)", Tip: "Copy the curves as a table (CSV)", Keys: p.host.Shortcut("copy curves")}),
		button(&p.save, draw.ButtonStyle{Label: "CSV", Kind: draw.Quiet, Name: "Save the curves as a table (CSV)", Tip: "Save the curves as a table (CSV) beside the lesson", Keys: p.host.Shortcut("save curves")}),
	}
	switch {
	case p.cancel != nil:
		parts = append(parts, button(&p.stop, draw.ButtonStyle{Label: fmt.Sprintf("Stop, %.0f %%", 100*p.part)}))
	case p.stale():
		parts = append(parts, button(&p.again, draw.ButtonStyle{Label: "Follow again", Kind: draw.Primary}))
	}
	draw.Row(g, draw.Gap, parts...)
	off.Pop()
	return layout.Dimensions{Size: size}
}

// layoutPlotKey says what stands at the key positions of the plot.
func (p *Room) layoutPlotKey(gtx layout.Context, at image.Point) {
	th := p.host.Theme()
	x, y := float32(at.X), float32(at.Y)
	r := float32(gtx.Dp(4))
	draw.Ring(gtx.Ops, f32.Pt(x+r, y), r, float32(gtx.Dp(1))*1.5, th.Dim)
	text := th.TextAt(gtx, f32.Pt(x+3*r, y), 0, 0.5, draw.Small, font.Normal, th.Dim, "the marks alone")
	x = float32(text.Max.X + gtx.Dp(14))
	draw.RoundRect(gtx.Ops, image.Rect(int(x), int(y-1.5*r), int(x+2*r), int(y+1.5*r)), gtx.Dp(2), draw.Alpha(th.Dim, 0.5))
	th.TextAt(gtx, f32.Pt(x+3*r, y), 0, 0.5, draw.Small, font.Normal, th.Dim, "target range")
}

// curveTime says when a time on the curves' clock is.
func curveTime(t float64, got *bench.Curves) string {
	for i, at := range got.Fit.Positions {
		if i < len(got.Names) && math.Abs(at-t) < 0.003 {
			return bench.Title(string(got.Names[i]))
		}
	}
	if t < 0 {
		return fmt.Sprintf("%.3f s before impact", -t)
	}
	return fmt.Sprintf("%.3f s after impact", t)
}

// edgeSeconds is how far beyond the ends of the curves a frame can be that shows
// the key position they begin or end with: the clips' frames fall between one
// another, 60 or more a second.
const edgeSeconds = 0.017

// valueAt is a curve's value at an instant; just beyond an end, that of the end.
func valueAt(c *motion.Curves, k int, t float64) motion.Value {
	if len(c.Seconds) == 0 {
		return motion.Value{}
	}
	first, last := c.Seconds[0], c.Seconds[len(c.Seconds)-1]
	if in := min(max(t, first), last); math.Abs(in-t) <= edgeSeconds {
		t = in
	}
	return c.At(k, t)
}

// layoutLegendRow draws a curve's line, name and value. At a key position what
// the marks alone say stands beside it.
func (p *Room) layoutLegendRow(gtx layout.Context, got *bench.Curves, k int, t float64, at bool) {
	th := p.host.Theme()
	size := gtx.Constraints.Max
	curve := &got.Fit.Curves[k]
	p.rows[k].Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		semantic.LabelOp("Show " + curve.Name).Add(gtx.Ops)
		semantic.SelectedOp(p.shown[k]).Add(gtx.Ops)
		pointer.CursorPointer.Add(gtx.Ops)
		if p.rows[k].Hovered() {
			draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(3), th.Hover)
		}
		ink, line := th.Text, p.curveColour(k)
		if !p.shown[k] {
			ink, line = th.Dim, th.Edge
		}
		mid := float32(size.Y) / 2
		x0, x1 := float32(gtx.Dp(3)), float32(gtx.Dp(21))
		if curves.Looks[k].Dashed {
			draw.DashedLine(gtx.Ops, f32.Pt(x0, mid), f32.Pt(x1, mid), float32(gtx.Dp(3)), float32(gtx.Dp(5)), float32(gtx.Dp(3)), line)
		} else {
			draw.Line(gtx.Ops, f32.Pt(x0, mid), f32.Pt(x1, mid), float32(gtx.Dp(3)), line)
		}
		letter := th.TextAt(gtx, f32.Pt(x1+float32(gtx.Dp(5)), mid), 0, 0.5, draw.Small, font.SemiBold, ink, curveLetter(k))
		th.TextAt(gtx, f32.Pt(float32(letter.Max.X+gtx.Dp(5)), mid), 0, 0.5, draw.Small, font.Normal, ink, curve.Name)
		text := ""
		if v := valueAt(got.Fit, k, t); at && v.Known {
			text = p.writeCurve(curve, &v)
		} else if curve.Lost {
			text = "could not be followed"
		} else if at {
			text = "can't tell here"
		}
		th.TextAt(gtx, f32.Pt(float32(size.X-gtx.Dp(4)), mid), 1, 0.5, draw.Small, font.Normal, ink, text)
		return layout.Dimensions{Size: size}
	})
	if gtx.Focused(&p.rows[k]) {
		th.FocusRing(gtx, image.Rectangle{Max: size})
	}
}

// writeCurve writes a value with its interval as the sheet does, or a speed.
func (p *Room) writeCurve(curve *motion.Curve, v *motion.Value) string {
	if p.showSpeeds {
		return words.Speed(curve.Unit, p.host.Settings().Imperial).With(v.Rate, (v.RateHigh95-v.RateLow95)/2)
	}
	return words.Exact(curve.Unit, p.host.Settings().Imperial).Of(curve.Name, "").With(v.Value, (v.High95-v.Low95)/2)
}
