package progress

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"time"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// plotSpan is the stretch of values that a plot shows: all intervals, and the target
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
func (r *Room) layoutPlot(gtx layout.Context, i int) layout.Dimensions {
	th, c := r.host.Theme(), &r.cardState
	k := c.shown[i]
	p := &c.plots[i]
	series := c.series[k]
	size := gtx.Constraints.Max
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	p.click.Add(gtx.Ops)
	semantic.LabelOp(plotWords(k, series, r.host.Settings().Imperial, r.host.Settings().Decided)).Add(gtx.Ops)
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
	change, ink := r.changeWords(k, series)
	off = op.Offset(image.Pt(pad, head)).Push(gtx.Ops)
	room := clip.Rect(image.Rect(0, 0, g.Constraints.Max.X, gtx.Sp(36))).Push(gtx.Ops)
	d := th.Paragraph(g, draw.Small, font.Medium, ink, change)
	room.Pop()
	off.Pop()
	head += min(d.Size.Y, gtx.Sp(36)) + gtx.Dp(8)
	if len(series) == 0 {
		return layout.Dimensions{Size: size}
	}
	low, high := plotSpan(series)
	told := words.Told(series[0].Unit, r.host.Settings().Imperial).Of(k.name, k.position)
	ticks := bench.Ticks(low, high, max(min((size.Y-head)/gtx.Sp(34), 7), 2))
	for j := 1; j < len(ticks); j++ {
		if told.Value(ticks[j]) == told.Value(ticks[j-1]) { // they lie closer than what is told
			told = words.Exact(series[0].Unit, r.host.Settings().Imperial).Of(k.name, k.position)
		}
	}
	label := 0
	for _, t := range ticks {
		d, _ := th.TextSize(gtx, draw.Small, font.Normal, told.Value(t))
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
	r.plotBand(gtx, in, p.spots, series, y)
	for _, t := range ticks {
		ty := y(t)
		draw.Fill(gtx.Ops, image.Rect(in.Min.X, int(ty), in.Max.X, int(ty)+1), draw.Alpha(th.Line, 0.8))
		th.TextAt(gtx, f32.Pt(float32(in.Min.X-gtx.Dp(8)), ty), 1, 0.5, draw.Small, font.Normal, th.Dim, told.Value(t))
	}
	r.plotChanges(gtx, p.spots, series)
	r.plotPoints(gtx, in, p, told, series, y)
	return layout.Dimensions{Size: size}
}

// plotBand draws the target range under the points, as it was at each lesson.
func (r *Room) plotBand(gtx layout.Context, in image.Rectangle, spots []f32.Point, series []library.Value, y func(float64) float32) {
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
			draw.Fill(gtx.Ops, image.Rect(from, top, to, bottom), draw.Alpha(r.host.Theme().Band, 0.5))
		}
	}
}

// plotChanges joins the points: a change whose direction is told with a
// whole line, else with a broken one.
func (r *Room) plotChanges(gtx layout.Context, spots []f32.Point, series []library.Value) {
	th := r.host.Theme()
	w := float32(gtx.Dp(2))
	for j := 1; j < len(series); j++ {
		if c := series[j].Change; c.Told(r.host.Settings().Decided) {
			draw.Line(gtx.Ops, spots[j-1], spots[j], w, th.Accent)
			brief := words.ChangeInBrief(c, r.host.Settings().Decided)
			if d, _ := th.TextSize(gtx, draw.Small, font.SemiBold, brief); (spots[j].X-spots[j-1].X)/2 > float32(d.X+gtx.Dp(18)) {
				mid := spots[j-1].Add(spots[j]).Mul(0.5)
				aside, anchor := float32(gtx.Dp(6)), float32(0) // above the line, which falls
				if spots[j].Y < spots[j-1].Y {
					aside, anchor = -aside, 1
				}
				th.TextAt(gtx, mid.Add(f32.Pt(aside, -float32(gtx.Dp(8)))), anchor, 0.5, draw.Small, font.SemiBold, th.Accent, brief)
			}
		} else {
			draw.DashedLine(gtx.Ops, spots[j-1], spots[j], w*0.7, float32(gtx.Dp(5)), float32(gtx.Dp(5)), th.Ghost)
		}
	}
}

func (r *Room) plotPoints(gtx layout.Context, in image.Rectangle, p *plot, told words.Notation, series []library.Value, y func(float64) float32) {
	th := r.host.Theme()
	last := float32(math.Inf(-1))
	for j, v := range series {
		s := p.spots[j]
		w := float32(gtx.Dp(2))
		capW := float32(gtx.Dp(5))
		for _, e := range []float64{v.Low95, v.High95} {
			draw.Line(gtx.Ops, f32.Pt(s.X-capW, y(e)), f32.Pt(s.X+capW, y(e)), w, th.Text)
		}
		draw.Line(gtx.Ops, f32.Pt(s.X, y(v.Low95)), f32.Pt(s.X, y(v.High95)), w*0.75, th.Text)
		radius := float32(gtx.Dp(7))
		draw.Circle(gtx.Ops, s, radius+float32(gtx.Dp(2)), th.Well)
		if verdict := draw.ParseVerdict(string(v.Verdict)); verdict != draw.NoVerdict {
			th.Verdict(gtx.Ops, s, radius, verdict)
		} else {
			draw.Circle(gtx.Ops, s, radius*0.75, th.Text)
		}
		day := shortDay(v.Date, series)
		d, _ := th.TextSize(gtx, draw.Small, font.Normal, day)
		if left := s.X - float32(d.X)/2; left > last+float32(gtx.Dp(6)) {
			th.TextAt(gtx, f32.Pt(s.X, float32(in.Max.Y+gtx.Dp(6))), 0.5, 0, draw.Small, font.Normal, th.Dim, day)
			last = s.X + float32(d.X)/2
		}
		r.plotNumber(gtx, in, p.spots, j, told.Value(v.Value))
	}
}

// plotNumber writes a value beside its point, where no other point is in the
// way.
func (r *Room) plotNumber(gtx layout.Context, in image.Rectangle, spots []f32.Point, j int, number string) {
	th := r.host.Theme()
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
	at := s.Y - float32(gtx.Dp(10))
	switch {
	case right > need:
		if j < len(spots)-1 && spots[j+1].Y < s.Y { // the line to the next one rises
			at = s.Y + float32(gtx.Dp(10))
		}
		th.TextAt(gtx, f32.Pt(s.X+apart, at), 0, 0.5, draw.Small, font.Medium, th.Text, number)
	case left > need:
		if spots[j-1].Y < s.Y {
			at = s.Y + float32(gtx.Dp(10))
		}
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
func (r *Room) changeWords(k measureAt, series []library.Value) (string, color.NRGBA) {
	th := r.host.Theme()
	n := len(series)
	switch {
	case n == 0:
		return "not measured with these clubs", th.Dim
	case n == 1:
		v := &series[0]
		told := words.Told(v.Unit, r.host.Settings().Imperial).Of(k.name, k.position)
		return "one lesson: " + told.Value(v.Value) + ", interval " + told.Interval(v.Low95, v.High95), th.Dim
	}
	v, before := &series[n-1], &series[n-2]
	told := words.Told(v.Unit, r.host.Settings().Imperial).Of(k.name, k.position)
	text := "since " + words.Day(before.Date) + ": " + told.Change(v.Change, before.Value, v.Value) + ", " +
		words.ChangeSure(v.Change, before.Value, v.Value, v.Target, "the target range", r.host.Settings().Decided) + "; " + words.SwingsOf(v.Change)
	if !v.Change.Told(r.host.Settings().Decided) {
		if n := v.Change.Settled(); n > 0 {
			text += "; " + words.Film(n)
		}
		return text, th.Dim
	}
	return text, th.Accent
}

// plotWords tells a plot to those who can't see it.
func plotWords(k measureAt, series []library.Value, imperial bool, decided float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Progress of %s", kit.Joined(k.name, string(k.position)))
	for i, v := range series {
		told := words.Told(v.Unit, imperial).Of(k.name, k.position)
		fmt.Fprintf(&b, "; %s: %s, %s", v.Date, told.Value(v.Value), told.Interval(v.Low95, v.High95))
		if v.Swings > 1 {
			b.WriteString(", mean of " + words.Swings(v.Swings))
		}
		if v.Change != nil {
			b.WriteString(", " + told.ChangeWord(v.Change, series[i-1].Value, v.Value, v.Target, "the target range", decided))
		}
	}
	return b.String()
}
