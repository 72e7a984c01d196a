package swings

import (
	"fmt"
	"image"
	"math"
	"slices"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// layoutSpreads draws a strip for each measure: a dot with its interval for each swing,
// under them their mean with its own.
func (r *Room) layoutSpreads(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	size := gtx.Constraints.Max
	foot := gtx.Sp(draw.Control) + gtx.Dp(10)
	bar := gtx.Sp(draw.Control) + gtx.Dp(10)
	for len(r.rowClicks) < len(r.visit.rows) {
		r.rowClicks = append(r.rowClicks, draw.Button{})
	}
	kit.At(gtx, image.Rect(0, 0, size.X, bar), r.layoutPositions)
	list := r.visit.rowsAt(r.at)
	well := image.Pt(size.X, size.Y-foot-bar)
	under := op.Offset(image.Pt(0, bar)).Push(gtx.Ops)
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: well}, gtx.Dp(draw.Radius), th.Well)
	area := clip.Rect(image.Rectangle{Max: well}).Push(gtx.Ops)
	r.rows.Axis = layout.Vertical
	if h := r.stripHeight(gtx); r.reveal {
		r.reveal = false
		at := slices.Index(list, r.row)
		if p := &r.rows.Position; at < p.First || (at+1)*h > p.First*h+p.Offset+well.Y {
			p.First, p.Offset, p.BeforeEnd = max(at-1, 0), 0, true
		}
	}
	g := gtx
	g.Constraints = layout.Exact(well)
	r.rows.Layout(g, len(list), func(gtx layout.Context, i int) layout.Dimensions { return r.layoutStrip(gtx, list[i]) })
	area.Pop()
	under.Pop()
	defer op.Offset(image.Pt(0, size.Y-foot+gtx.Dp(10))).Push(gtx.Ops).Pop()
	g.Constraints = layout.Constraints{Max: image.Pt(size.X, foot)}
	draw.Row(g, 8,
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &r.least, draw.ButtonStyle{Label: "Show the least", Keys: "L", Tip: "Puts the swing with the least of this measure on the bench", TipSide: draw.TipAboveStart})
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &r.most, draw.ButtonStyle{Label: "Show the most", Keys: "M", Tip: "Puts the swing with the most of this measure on the bench", TipSide: draw.TipAboveStart})
		},
		func(gtx layout.Context) layout.Dimensions {
			text := "Up and Down: swing. Left and Right: measure. Page keys: key position. Enter opens the swing."
			if d, _ := th.TextSize(gtx, draw.Small, font.Normal, text); d.X > gtx.Constraints.Max.X {
				text = "Up, Down: swing. Enter opens it."
			}
			return th.Label(gtx, draw.Small, font.Normal, th.Dim, text)
		})
	return layout.Dimensions{Size: size}
}

// The heights in a strip: its heading, a swing's line, and the mean's.
const stripHead, stripSwing, stripMean, stripFoot = 26, 10, 22, 12

func (r *Room) stripHeight(gtx layout.Context) int {
	h := gtx.Sp(stripHead + stripFoot)
	for _, k := range r.visit.kinds {
		h += len(k.swings)*gtx.Sp(stripSwing) + gtx.Sp(stripMean)
	}
	return h
}

// layoutStrip draws one measure.
func (r *Room) layoutStrip(gtx layout.Context, i int) layout.Dimensions {
	th, m := r.host.Theme(), &r.visit.rows[i]
	size := image.Pt(gtx.Constraints.Max.X, r.stripHeight(gtx))
	exact := words.Exact(m.unit, r.host.Settings().Imperial)
	gtx.Constraints = layout.Exact(size)
	r.rowClicks[i].Clickable.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		label(gtx, image.Rectangle{Max: size}, r.stripWords(m))
		return layout.Dimensions{Size: size}
	})
	in := image.Rectangle{Max: size}.Inset(gtx.Dp(3))
	if i == r.row {
		draw.RoundRect(gtx.Ops, in, gtx.Dp(draw.Radius), th.Raised)
		draw.Fill(gtx.Ops, image.Rect(in.Min.X, in.Min.Y+gtx.Dp(6), in.Min.X+gtx.Dp(3), in.Max.Y-gtx.Dp(6)), th.Accent)
	}
	pad := gtx.Dp(14)
	head := float32(in.Min.Y + gtx.Sp(14))
	at := th.TextAt(gtx, f32.Pt(float32(pad), head), 0, 0.5, draw.Body, font.SemiBold, th.Text, words.Sentence(kit.Joined(m.name, string(m.position))))
	if m.target != nil {
		from := at.Max.X + gtx.Dp(14)
		off := op.Offset(image.Pt(from, int(head)-gtx.Sp(8))).Push(gtx.Ops)
		th.Label(kit.Constrained(gtx, max(in.Max.X-from, 0)), draw.Small, font.Normal, th.Dim, "target "+exact.Of(m.name, m.position).Range(m.target.Range))
		off.Pop()
	}
	// The names of the kinds, the plot, and the numbers.
	names, texts := gtx.Sp(120), gtx.Sp(250)
	if len(r.visit.kinds) == 1 {
		names = gtx.Sp(12)
	}
	plot := image.Rect(pad+names, in.Min.Y+gtx.Sp(stripHead), in.Max.X-texts-gtx.Dp(12), in.Max.Y-gtx.Sp(stripFoot))
	if plot.Dx() < gtx.Dp(60) {
		return layout.Dimensions{Size: size}
	}
	x := func(v float64) float32 {
		return float32(plot.Min.X) + float32((v-m.low)/(m.high-m.low))*float32(plot.Dx())
	}
	r.stripGround(gtx, m, plot, x)
	y := plot.Min.Y
	for k := range r.visit.kinds {
		y = r.stripKind(gtx, m, k, plot, y, x, pad, names)
	}
	return layout.Dimensions{Size: size}
}

// stripGround draws the target range and the ticks.
func (r *Room) stripGround(gtx layout.Context, m *measure, plot image.Rectangle, x func(float64) float32) {
	th := r.host.Theme()
	told := words.Told(m.unit, r.host.Settings().Imperial).Of(m.name, m.position)
	if m.target != nil {
		low, high := plot.Min.X, plot.Max.X
		if v := m.target.Range.Low; !math.IsInf(v, 0) {
			low = max(int(x(v)), low)
		}
		if v := m.target.Range.High; !math.IsInf(v, 0) {
			high = min(int(x(v)), high)
		}
		if low < high {
			draw.Fill(gtx.Ops, image.Rect(low, plot.Min.Y, high, plot.Max.Y), draw.Alpha(th.Band, 0.6))
		}
	}
	for _, t := range ticksWithin(m.low, m.high, max(plot.Dx()/gtx.Sp(90), 2)) {
		at := x(t)
		draw.Fill(gtx.Ops, image.Rect(int(at), plot.Min.Y, int(at)+1, plot.Max.Y), th.Line)
		th.TextAt(gtx, f32.Pt(at, float32(plot.Max.Y)), 0.5, 0, 11, font.Normal, th.Dim, told.Value(t))
	}
}

// ticksWithin are about n round values from low to high, never fewer than two where
// finer steps have them.
func ticksWithin(low, high float64, n int) (in []float64) {
	for most := n + 4; n <= most; n++ {
		if in = bench.Ticks(low, high, n); len(in) > 1 {
			return in
		}
	}
	return in
}

// stripKind draws the swings of one kind from y down and returns where the next begins.
func (r *Room) stripKind(gtx layout.Context, m *measure, k int, plot image.Rectangle, y int, x func(float64) float32, pad, names int) int {
	th, kind := r.host.Theme(), &r.visit.kinds[k]
	exact := words.Exact(m.unit, r.host.Settings().Imperial).Of(m.name, m.position)
	step := gtx.Sp(stripSwing)
	middle := float32(y) + float32(len(kind.swings)*step+gtx.Sp(stripMean))/2
	if m.means[k] != nil && m.means[k].Target != nil {
		middle -= float32(gtx.Sp(7)) // three lines
	}
	if len(r.visit.kinds) > 1 {
		name := kind.tried
		if name == "" {
			name = "usual swing"
		}
		g := kit.Constrained(gtx, names-gtx.Dp(8))
		off := op.Offset(image.Pt(pad, int(middle)-gtx.Sp(8))).Push(gtx.Ops)
		th.Label(g, draw.Small, font.Normal, th.Dim, name)
		off.Pop()
	}
	hair := max(float32(gtx.Dp(1)), 1)
	for _, i := range kind.swings {
		mid := float32(y) + float32(step)/2
		y += step
		v := m.values[i]
		if v == nil {
			continue
		}
		ink, rad := th.Dim, float32(gtx.Sp(3))
		if i == r.cursor {
			ink, rad = th.Accent, float32(gtx.Sp(4))
		}
		draw.Line(gtx.Ops, f32.Pt(x(v.Low95), mid), f32.Pt(x(v.High95), mid), hair, ink)
		draw.Circle(gtx.Ops, f32.Pt(x(v.Value), mid), rad, ink)
	}
	mid := float32(y) + float32(gtx.Sp(stripMean))/2 - float32(gtx.Sp(2))
	right := float32(plot.Max.X + gtx.Dp(14))
	mean := m.means[k]
	if mean == nil {
		if v := m.values[kind.swings[0]]; v != nil && len(kind.swings) == 1 {
			th.TextAt(gtx, f32.Pt(right, middle), 0, 0.5, draw.Small, font.Normal, th.Text, exact.Written(&v.Measure)+", one swing")
		}
		return y + gtx.Sp(stripMean)
	}
	cx, rad := x(mean.Value), float32(gtx.Sp(5))
	ink := th.Text
	if mean.Target != nil {
		ink = th.VerdictColour(draw.ParseVerdict(string(mean.Verdict)))
	}
	draw.Line(gtx.Ops, f32.Pt(x(mean.Low95), mid), f32.Pt(x(mean.High95), mid), 2*hair+1, ink)
	var p draw.Pen
	p.Begin(gtx.Ops)
	p.Polygon(f32.Pt(cx, mid-rad), f32.Pt(cx+rad, mid), f32.Pt(cx, mid+rad), f32.Pt(cx-rad, mid))
	p.Fill(ink)
	line := float32(gtx.Sp(15))
	th.TextAt(gtx, f32.Pt(right, middle-line/2), 0, 0.5, draw.Small, font.SemiBold, th.Text, "mean "+exact.With(mean.Value, (mean.High95-mean.Low95)/2))
	under := "swing to swing " + r.spreadWords(m, k)
	if mean.Target != nil {
		th.TextAt(gtx, f32.Pt(right, middle+line/2), 0, 0.5, draw.Small, font.Normal, ink, words.Verdict(&mean.Judgement))
		middle += line
	}
	th.TextAt(gtx, f32.Pt(right, middle+line/2), 0, 0.5, draw.Small, font.Normal, th.Dim, under)
	return y + gtx.Sp(stripMean)
}

// spreadWords says how far the swings of a kind differ.
func (r *Room) spreadWords(m *measure, k int) string {
	s := m.means[k].Spread
	exact := words.Exact(m.unit, r.host.Settings().Imperial)
	switch {
	case !s.Estimated:
		return exact.Value(s.SD) + " assumed"
	case exact.Bare(s.High95) == exact.Bare(0): // closer together than the errors stated of them
		return "none seen"
	case exact.Bare(s.SD) == exact.Bare(0): // they agree as well as they are measured
		return "up to " + exact.Value(s.High95)
	}
	return exact.Bare(s.SD) + " (" + exact.Bounds(s.Low95, s.High95) + ")"
}

// stripWords says a strip to who does not see it.
func (r *Room) stripWords(m *measure) string {
	exact := words.Exact(m.unit, r.host.Settings().Imperial).Of(m.name, m.position)
	text := words.Sentence(kit.Joined(m.name, string(m.position)))
	for k := range r.visit.kinds {
		kind := &r.visit.kinds[k]
		what := kind.tried
		if what == "" {
			what = "usual"
		}
		if x := m.means[k]; x != nil {
			text += fmt.Sprintf("; %s, mean of %d %s, swing to swing %s", what, x.N, exact.With(x.Value, (x.High95-x.Low95)/2), r.spreadWords(m, k))
		}
	}
	return text
}
