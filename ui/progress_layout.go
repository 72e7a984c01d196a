package ui

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"
	"strings"
	"time"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

var progressKeysHelp = [][2]string{
	{"Up, Down", "The measure before, or the next"},
	{"Space", "Show the measure, or take its plot off"},
	{"Enter", "Show this measure alone"},
}

func (a *App) layoutProgress(gtx layout.Context) {
	c := &a.overLessons
	size := gtx.Constraints.Max
	w := min(size.X-gtx.Dp(48), gtx.Sp(1400))
	card := image.Rect((size.X-w)/2, gtx.Dp(24), (size.X-w)/2+w, size.Y-gtx.Dp(24))
	a.card.Over(gtx, a.theme, "Progress of "+c.name, card, func(gtx layout.Context) layout.Dimensions {
		a.layoutProgressCard(gtx, card)
		return layout.Dimensions{}
	})
}

func (a *App) layoutProgressCard(gtx layout.Context, card image.Rectangle) {
	th, c := a.theme, &a.overLessons
	in := card.Inset(gtx.Dp(18))
	top := image.Rect(in.Min.X, in.Min.Y, in.Max.X, in.Min.Y+gtx.Sp(draw.Control))
	kit.At(gtx, top, a.layoutProgressTop)
	m := op.Record(gtx.Ops)
	noted := th.Paragraph(kit.Constrained(gtx, in.Dx()), draw.Small, font.Normal, th.Dim,
		"Real: the 95 % interval of the change leaves out zero, your marking included. A point opens its lesson. "+Caution)
	foot := m.Stop()
	note := image.Rect(in.Min.X, in.Max.Y-noted.Size.Y, in.Max.X, in.Max.Y)
	off := op.Offset(note.Min).Push(gtx.Ops)
	foot.Add(gtx.Ops)
	off.Pop()
	body := image.Rect(in.Min.X, top.Max.Y+gtx.Dp(12), in.Max.X, note.Min.Y-gtx.Dp(10))
	if len(c.measures) == 0 {
		text := "Reading …"
		if c.known {
			text = "Nothing is measured yet: mark address and the top of a swing in two lessons, and their progress stands here. Lessons just taken in are being measured; this may take a moment."
		}
		off = op.Offset(body.Min).Push(gtx.Ops)
		th.Paragraph(kit.Constrained(gtx, body.Dx()), draw.Body, font.Normal, th.Dim, text)
		off.Pop()
		return
	}
	left := min(gtx.Sp(270), body.Dx()*3/10)
	kit.At(gtx, image.Rect(body.Min.X, body.Min.Y, body.Min.X+left, body.Max.Y), a.layoutMeasureList)
	plots := image.Rect(body.Min.X+left+gtx.Dp(14), body.Min.Y, body.Max.X, body.Max.Y)
	for len(c.plots) < mostPlots {
		c.plots = append(c.plots, progressPlot{})
	}
	n := min(len(c.shown), mostPlots)
	columns, rows := 1, n
	if n > 2 || n == 2 && plots.Dx() > 2*plots.Dy() {
		columns, rows = 2, (n+1)/2
	}
	gap := gtx.Dp(12)
	for i := range n {
		x, y := i%columns, i/columns
		pw, ph := (plots.Dx()-(columns-1)*gap)/columns, (plots.Dy()-(rows-1)*gap)/rows
		r := image.Rect(0, 0, pw, ph).Add(image.Pt(plots.Min.X+x*(pw+gap), plots.Min.Y+y*(ph+gap)))
		kit.At(gtx, r, func(gtx layout.Context) layout.Dimensions { return a.layoutPlot(gtx, i) })
	}
}

func (a *App) layoutProgressTop(gtx layout.Context) layout.Dimensions {
	th, c := a.theme, &a.overLessons
	size := gtx.Constraints.Max
	th.TextAt(gtx, f32.Pt(0, float32(size.Y)/2), 0, 0.5, draw.Title, font.SemiBold, th.Text, "Progress: "+c.name)
	g := kit.Constrained(gtx, size.X)
	g.Constraints.Min = image.Point{}
	kit.EndRow(g,
		func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &c.clubs, "Clubs", slices.Index(clubGroups, c.club), "all clubs", "driver", "mid-irons", "short irons")
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &c.close, draw.ButtonStyle{Icon: draw.IconClose, Name: "Close the progress", Kind: draw.Quiet, Tip: "Back", Keys: "Esc", TipSide: draw.TipBelowEnd})
		})
	return layout.Dimensions{Size: size}
}

func (a *App) layoutMeasureList(gtx layout.Context) layout.Dimensions {
	th, c := a.theme, &a.overLessons
	defer clip.Rect(image.Rectangle{Max: gtx.Constraints.Max}).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, &c.keys)
	focused := gtx.Focused(&c.keys)
	d := a.rows(gtx, &c.list, len(c.measures), func(gtx layout.Context, i int, size image.Point) {
		m := &c.measures[i]
		on := slices.Contains(c.shown, measureAt{m.Name, m.Position})
		t := rowText{title: words.Sentence(m.Name), under: kit.Joined(string(m.Position), words.Count(m.Lessons, "lesson", "lessons")), noteInk: th.Accent, underInk: th.Dim}
		if on {
			t.note = "shown"
		}
		if m.Target {
			t.noteUnder = "has a target"
		}
		a.row(gtx, &c.list.clicks[i], size, "Measure "+kit.Joined(m.Name, string(m.Position)), on, t)
		if focused && i == c.cursor {
			th.FocusRing(gtx, image.Rectangle{Max: size}.Inset(gtx.Dp(4)))
		}
	})
	return d
}

// span is the stretch of values that a plot shows: all intervals, and the target
// range as far as it is near.
func plotSpan(series []library.Value) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range series {
		low, high = min(low, v.Low95), max(high, v.High95)
	}
	width := high - low
	for _, v := range series {
		if v.Target == nil {
			continue
		}
		for _, e := range []float64{v.Target.Low, v.Target.High} {
			if !math.IsInf(e, 0) && e > low-width && e < high+width {
				low, high = min(low, e), max(high, e)
			}
		}
	}
	margin := max((high-low)*0.06, 1e-6)
	return low - margin, high + margin
}

// layoutPlot draws one measure over the lessons.
func (a *App) layoutPlot(gtx layout.Context, i int) layout.Dimensions {
	th, c := a.theme, &a.overLessons
	k := c.shown[i]
	p := &c.plots[i]
	series := c.series[k]
	size := gtx.Constraints.Max
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	p.click.Add(gtx.Ops)
	semantic.LabelOp(plotWords(k, series, a.settings.Imperial)).Add(gtx.Ops)
	area.Pop()
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	pad := gtx.Dp(12)
	title := words.Sentence(k.name)
	if k.position != "" {
		title += ", " + string(k.position)
	}
	g := kit.Constrained(gtx, size.X-2*pad)
	g.Constraints.Min = image.Point{}
	off := op.Offset(image.Pt(pad, gtx.Dp(8))).Push(gtx.Ops)
	th.Label(g, draw.Body, font.SemiBold, th.Text, title)
	off.Pop()
	head := gtx.Dp(8) + gtx.Sp(20)
	words, ink := a.changeWords(series)
	off = op.Offset(image.Pt(pad, head)).Push(gtx.Ops)
	th.Label(g, draw.Small, font.Medium, ink, words)
	off.Pop()
	head += gtx.Sp(18) + gtx.Dp(8)
	if len(series) == 0 {
		return layout.Dimensions{Size: size}
	}
	low, high := plotSpan(series)
	unit := series[0].Unit
	ticks := bench.Ticks(low, high, max(min((size.Y-head)/gtx.Sp(34), 7), 2))
	label := 0
	for _, t := range ticks {
		d, _ := th.TextSize(gtx, draw.Small, font.Normal, annotations.Told(unit, t, a.settings.Imperial))
		label = max(label, d.X)
	}
	in := image.Rect(pad+label+gtx.Dp(8), head, size.X-pad-gtx.Dp(14), size.Y-gtx.Sp(30))
	if in.Dx() < gtx.Dp(40) || in.Dy() < gtx.Dp(30) {
		return layout.Dimensions{Size: size}
	}
	y := func(v float64) float32 {
		return float32(in.Max.Y) - float32((v-low)/(high-low))*float32(in.Dy())
	}
	days := make([]string, len(series))
	for j, v := range series {
		days[j] = v.Date
	}
	edge, end := float32(gtx.Dp(24)), float32(gtx.Sp(46)) // the last number stands right of its point
	xs := bench.Timeline(days, float64(gtx.Dp(34))/float64(max(in.Dx(), 1)))
	p.spots = p.spots[:0]
	for j, v := range series {
		x := float32(in.Min.X) + edge + float32(xs[j])*(float32(in.Dx())-edge-end)
		p.spots = append(p.spots, f32.Pt(x, y(v.Value)))
	}
	a.plotBand(gtx, in, p.spots, series, y)
	for _, t := range ticks {
		ty := y(t)
		draw.Fill(gtx.Ops, image.Rect(in.Min.X, int(ty), in.Max.X, int(ty)+1), draw.Alpha(th.Line, 0.8))
		th.TextAt(gtx, f32.Pt(float32(in.Min.X-gtx.Dp(8)), ty), 1, 0.5, draw.Small, font.Normal, th.Dim, annotations.Told(unit, t, a.settings.Imperial))
	}
	a.plotChanges(gtx, p.spots, series)
	a.plotPoints(gtx, in, p, series, y)
	return layout.Dimensions{Size: size}
}

// plotBand draws the target range under the points, as it was at each lesson.
func (a *App) plotBand(gtx layout.Context, in image.Rectangle, spots []f32.Point, series []library.Value, y func(float64) float32) {
	for j, v := range series {
		if v.Target == nil {
			continue
		}
		from, to := in.Min.X, in.Max.X
		if j > 0 {
			from = int(spots[j-1].X+spots[j].X) / 2
		}
		if j < len(spots)-1 {
			to = int(spots[j].X+spots[j+1].X) / 2
		}
		top, bottom := in.Min.Y, in.Max.Y
		if !math.IsInf(v.Target.High, 0) {
			top = max(int(y(v.Target.High)), in.Min.Y)
		}
		if !math.IsInf(v.Target.Low, 0) {
			bottom = min(int(y(v.Target.Low)), in.Max.Y)
		}
		if bottom > top {
			draw.Fill(gtx.Ops, image.Rect(from, top, to, bottom), draw.Alpha(a.theme.Band, 0.5))
		}
	}
}

// plotChanges joins the points: a real change with a whole line, noise with a
// broken one.
func (a *App) plotChanges(gtx layout.Context, spots []f32.Point, series []library.Value) {
	th := a.theme
	w := float32(gtx.Dp(2))
	for j := 1; j < len(series); j++ {
		if series[j].Change.Real {
			draw.Line(gtx.Ops, spots[j-1], spots[j], w, th.Accent)
			if dx := spots[j].X - spots[j-1].X; dx > float32(gtx.Dp(90)) {
				mid := spots[j-1].Add(spots[j]).Mul(0.5)
				aside, anchor := float32(gtx.Dp(6)), float32(0) // above the line, which falls
				if spots[j].Y < spots[j-1].Y {
					aside, anchor = -aside, 1
				}
				th.TextAt(gtx, mid.Add(f32.Pt(aside, -float32(gtx.Dp(8)))), anchor, 0.5, draw.Small, font.SemiBold, th.Accent, "real")
			}
		} else {
			draw.DashedLine(gtx.Ops, spots[j-1], spots[j], w*0.7, float32(gtx.Dp(5)), float32(gtx.Dp(5)), th.Ghost)
		}
	}
}

func (a *App) plotPoints(gtx layout.Context, in image.Rectangle, p *progressPlot, series []library.Value, y func(float64) float32) {
	th := a.theme
	last := float32(math.Inf(-1))
	for j, v := range series {
		s := p.spots[j]
		w := float32(gtx.Dp(2))
		capW := float32(gtx.Dp(5))
		for _, e := range []float64{v.Low95, v.High95} {
			draw.Line(gtx.Ops, f32.Pt(s.X-capW, y(e)), f32.Pt(s.X+capW, y(e)), w, th.Text)
		}
		draw.Line(gtx.Ops, f32.Pt(s.X, y(v.Low95)), f32.Pt(s.X, y(v.High95)), w*0.75, th.Text)
		r := float32(gtx.Dp(7))
		draw.Circle(gtx.Ops, s, r+float32(gtx.Dp(2)), th.Well)
		if verdict := draw.ParseVerdict(string(v.Verdict)); verdict != draw.NoVerdict {
			th.Verdict(gtx.Ops, s, r, verdict)
		} else {
			draw.Circle(gtx.Ops, s, r*0.75, th.Text)
		}
		day := shortDay(v.Date, series)
		d, _ := th.TextSize(gtx, draw.Small, font.Normal, day)
		if left := s.X - float32(d.X)/2; left > last+float32(gtx.Dp(6)) {
			th.TextAt(gtx, f32.Pt(s.X, float32(in.Max.Y+gtx.Dp(6))), 0.5, 0, draw.Small, font.Normal, th.Dim, day)
			last = s.X + float32(d.X)/2
		}
		a.plotNumber(gtx, in, p.spots, j, annotations.Told(v.Unit, v.Value, a.settings.Imperial))
	}
}

// plotNumber writes a value beside its point, where no other point is in the
// way.
func (a *App) plotNumber(gtx layout.Context, in image.Rectangle, spots []f32.Point, j int, number string) {
	th := a.theme
	n, _ := th.TextSize(gtx, draw.Small, font.Medium, number)
	s, apart := spots[j], float32(gtx.Dp(12))
	left, right := s.X-float32(in.Min.X), float32(in.Max.X)+2*apart-s.X
	if j > 0 { // whose number may stand on its right
		left = s.X - spots[j-1].X - float32(n.X) - apart
	}
	if j < len(spots)-1 {
		right = spots[j+1].X - s.X
	}
	need := float32(n.X) + 2*apart
	switch at := s.Y - float32(gtx.Dp(10)); {
	case right > need:
		th.TextAt(gtx, f32.Pt(s.X+apart, at), 0, 0.5, draw.Small, font.Medium, th.Text, number)
	case left > need:
		th.TextAt(gtx, f32.Pt(s.X-apart, at), 1, 0.5, draw.Small, font.Medium, th.Text, number)
	}
}

// shortDay writes the day under a point: with the year where there are several.
func shortDay(date string, series []library.Value) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return "no date"
	}
	if first := series[0].Date; len(first) >= 4 && !strings.HasPrefix(series[len(series)-1].Date, first[:4]) {
		return t.Format("2 Jan 2006")
	}
	return t.Format("2 Jan")
}

// changeWords says in a line what the last change was.
func (a *App) changeWords(series []library.Value) (string, color.NRGBA) {
	th := a.theme
	n := len(series)
	switch {
	case n == 0:
		return "not measured with these clubs", th.Dim
	case n == 1:
		return "one lesson: " + annotations.Told(series[0].Unit, series[0].Value, a.settings.Imperial) + ", interval " +
			annotations.ToldRange(series[0].Unit, series[0].Low95, series[0].High95, a.settings.Imperial), th.Dim
	}
	v, before := &series[n-1], &series[n-2]
	text := "since " + dayWords(before.Date) + ": " + told(v.Unit, v.Change, a.settings.Imperial) + ", "
	if !v.Change.Real {
		return text + "within the noise", th.Dim
	}
	return text + realWord(before.Value, v.Value, v.Target), th.Accent
}

// told writes a change with its half interval: "+7° ± 5°".
func told(u geometry.Unit, c *geometry.Change, imperial bool) string {
	s := annotations.Told(u, c.Value, imperial)
	if c.Value > 0 && s != annotations.Told(u, 0, imperial) {
		s = "+" + s
	}
	return s + " ± " + annotations.Told(u, (c.High95-c.Low95)/2, imperial)
}

// realWord says of a real change whether it led toward the target range.
func realWord(before, now float64, t *geometry.Range) string {
	if t == nil {
		return "real"
	}
	outside := func(v float64) float64 { return max(t.Low-v, v-t.High, 0) }
	switch a, z := outside(before), outside(now); {
	case z < a:
		return "real: closer to the target range"
	case z > a:
		return "real: farther from the target range"
	}
	return "real"
}

// plotWords tells a plot to those who can't see it.
func plotWords(k measureAt, series []library.Value, imperial bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Progress of %s", kit.Joined(k.name, string(k.position)))
	for _, v := range series {
		fmt.Fprintf(&b, "; %s: %s, %s", v.Date, annotations.Told(v.Unit, v.Value, imperial), annotations.ToldRange(v.Unit, v.Low95, v.High95, imperial))
		if v.Change != nil {
			word := "within the noise"
			if v.Change.Real {
				word = "a real change"
			}
			b.WriteString(", " + word)
		}
	}
	return b.String()
}
