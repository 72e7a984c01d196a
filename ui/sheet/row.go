package sheet

import (
	"image"
	"image/color"
	"math"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
)

// layoutGroup draws a header; it covers what scrolls under it.
func (s *Sheet) layoutGroup(gtx layout.Context, th *draw.Theme, c *columns, g *Group) {
	draw.Fill(gtx.Ops, image.Rect(0, 0, c.width, c.head), th.Panel)
	y := float32(c.head - gtx.Sp(6))
	if s.inShort {
		y = float32(c.head - gtx.Sp(2))
	}
	r := th.TextAt(gtx, f32.Pt(float32(c.pad), y), 0, 1, draw.Body, font.Bold, th.Text, g.Title)
	mid := (r.Min.Y+r.Max.Y)/2 + gtx.Sp(1)
	if beside := g.At; beside != "" {
		at := f32.Pt(float32(r.Max.X+gtx.Sp(7)), float32(mid))
		if sz, _ := th.TextSize(gtx, draw.Small, font.Normal, beside); int(at.X)+sz.X > c.width-c.pad {
			beside, _, _ = strings.Cut(beside, " · ") // the number is what counts
		}
		r = th.TextAt(gtx, at, 0, 0.5, draw.Small, font.Normal, th.Dim, beside)
	}
	draw.Fill(gtx.Ops, image.Rect(r.Max.X+gtx.Sp(8), mid, c.width-c.pad, mid+max(gtx.Dp(1), 1)), th.Line)
}

func (s *Sheet) layoutRow(gtx layout.Context, th *draw.Theme, c *columns, r *Row, focused bool) {
	box := image.Rect(0, 0, c.width, c.row)
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	selected := r.Key == s.cursor
	semantic.LabelOp(r.label).Add(gtx.Ops)
	semantic.DescriptionOp(r.described).Add(gtx.Ops)
	semantic.SelectedOp(selected).Add(gtx.Ops)
	switch {
	case selected:
		draw.Fill(gtx.Ops, box, th.AccentLow)
		draw.Fill(gtx.Ops, image.Rect(0, 0, gtx.Dp(3), c.row), th.Accent)
	case r.Key == s.hovered:
		draw.Fill(gtx.Ops, box, th.Hover)
	}
	if selected && focused {
		draw.RoundFrame(gtx.Ops, box.Inset(gtx.Dp(1)), float32(gtx.Dp(4)), float32(gtx.Dp(2)), th.Accent)
	}
	if s.inShort {
		s.layoutKnown(gtx, th, c, r)
		return
	}
	switch c.form {
	case wide:
		mid := c.row / 2
		s.name(gtx, th, c, r, mid)
		if r.Missing != "" {
			s.missing(gtx, th, c, r, c.nameEnd+c.gap, mid)
			return
		}
		s.number(gtx, th, c, r, mid)
		s.scale(gtx, th, c, r, mid)
		s.verdict(gtx, th, c, r, mid)
	case twoLine:
		first := gtx.Sp(8) + c.line/2
		second := first + c.line/2 + c.lineGp + c.small/2
		s.name(gtx, th, c, r, first)
		if r.Missing != "" {
			s.missing(gtx, th, c, r, c.pad, second)
			return
		}
		s.number(gtx, th, c, r, first)
		s.scale(gtx, th, c, r, second)
		s.verdict(gtx, th, c, r, second)
	case stacked:
		first := gtx.Sp(8) + c.line/2
		second := first + c.line + c.lineGp
		third := second + c.line/2 + c.lineGp + c.small/2
		s.name(gtx, th, c, r, first)
		if r.Missing != "" {
			s.missing(gtx, th, c, r, c.pad, second)
			return
		}
		s.number(gtx, th, c, r, second)
		s.verdict(gtx, th, c, r, second)
		s.scale(gtx, th, c, r, third)
	}
}

// at sets the origin so that a line of text of height h is centred on y.
func at(gtx layout.Context, x, y, h int) op.TransformStack {
	return op.Offset(image.Pt(x, y-h/2)).Push(gtx.Ops)
}

func (s *Sheet) name(gtx layout.Context, th *draw.Theme, c *columns, r *Row, y int) {
	end := c.nameEnd
	if r.Missing != "" && c.form != wide {
		end = c.width - c.pad
	}
	ink := th.Text
	if r.Missing != "" {
		ink = th.Dim
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(end-c.pad, 0), c.line)}
	t := at(gtx, c.pad, y, c.line)
	th.Label(g, draw.Body, font.Normal, ink, r.Name)
	t.Pop()
}

func (s *Sheet) missing(gtx layout.Context, th *draw.Theme, c *columns, r *Row, x, y int) {
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(c.width-c.pad-x, 0), c.line)}
	t := at(gtx, x, y, c.small)
	th.Label(g, draw.Small, font.Normal, th.Dim, r.Missing)
	t.Pop()
}

func (s *Sheet) number(gtx layout.Context, th *draw.Theme, c *columns, r *Row, y int) {
	t := at(gtx, 0, y, c.line)
	th.Decimal(gtx, c.point, draw.Body, font.Medium, th.Text, r.Number)
	th.Decimal(gtx, c.pmPoint, draw.Body, font.Normal, th.Dim, r.PlusMinus)
	t.Pop()
}

func (s *Sheet) verdict(gtx layout.Context, th *draw.Theme, c *columns, r *Row, y int) {
	if c.changes {
		s.change(gtx, th, c, r, y)
		return
	}
	if r.Verdict == draw.NoVerdict {
		return
	}
	th.Verdict(gtx.Ops, f32.Pt(float32(c.verdict+c.glyph), float32(y)), float32(c.glyph), r.Verdict)
	if c.glyphOnly {
		return
	}
	t := at(gtx, c.verdict+2*c.glyph+gtx.Sp(6), y, c.small)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(c.width, c.small)}
	th.Label(g, draw.Small, font.Normal, th.VerdictColour(r.Verdict), r.word)
	t.Pop()
}

// change writes the change since the previous lesson and how sure its direction is.
func (s *Sheet) change(gtx layout.Context, th *draw.Theme, c *columns, r *Row, y int) {
	if !r.HasPrevious {
		return
	}
	if c.glyphOnly { // a filled dot is told, a ring is not
		v := draw.CantTell
		if r.ChangeTold {
			v = draw.Within
		}
		th.Verdict(gtx.Ops, f32.Pt(float32(c.verdict+c.glyph), float32(y)), float32(c.glyph), v)
		return
	}
	ink := th.Dim
	if r.ChangeTold {
		ink = th.Text
	}
	t := at(gtx, 0, y, c.small)
	th.Decimal(gtx, c.delta, draw.Small, font.Medium, ink, r.delta)
	t.Pop()
	t = at(gtx, c.deltaWord, y, c.small)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(c.width, c.small)}
	th.Label(g, draw.Small, font.Normal, ink, r.ChangeBrief)
	t.Pop()
}

// scale draws the dot and its interval over the target range.
func (s *Sheet) scale(gtx layout.Context, th *draw.Theme, c *columns, r *Row, y int) {
	dp := gtx.Metric.PxPerDp
	sp := gtx.Metric.PxPerSp
	// Half pixels keep the hairline crisp.
	mid := float32(y) + 0.5
	x0, x1 := float32(c.scale0), float32(c.scale1)
	if x1-x0 < 8*dp {
		return
	}
	inset := 5 * sp // room for a dot at the end
	at := func(v float64) float32 { return x0 + inset + (x1-x0-2*inset)*r.scale.at(v) }

	var p draw.Pen
	p.Begin(gtx.Ops)
	h := max(dp, 1)
	p.RoundRect(x0, mid-h, x1, mid+h, h)
	if r.scale.low < 0 && r.scale.high > 0 {
		z := at(0)
		p.RoundRect(z-h/2, mid-5*sp, z+h/2, mid+5*sp, 0)
	}
	p.Fill(th.Track)

	if r.HasTarget {
		a, b := x0, x1
		if !math.IsInf(r.TargetLow, 0) {
			a = at(r.TargetLow)
		}
		if !math.IsInf(r.TargetHigh, 0) {
			b = at(r.TargetHigh)
		}
		p.Begin(gtx.Ops)
		p.RoundRect(a, mid-6*sp, max(b, a+2*dp), mid+6*sp, 2*dp)
		p.Fill(th.Band)
	}
	if r.HasPrevious {
		p.Begin(gtx.Ops)
		a, b := at(r.PreviousLow), at(r.PreviousHigh)
		p.RoundRect(a, mid-h/2, b, mid+h/2, 0)
		p.Fill(draw.Alpha(th.Ghost, 0.8))
		p.Begin(gtx.Ops)
		p.Ring(f32.Pt(at(r.Previous), mid), 3.5*sp, 1.4*sp)
		p.Fill(th.Ghost)
	}
	ink := th.Text
	if r.Verdict.TwoSided() {
		ink = th.VerdictColour(r.Verdict)
	}
	ground := th.Panel
	switch r.Key {
	case s.cursor:
		ground = th.AccentLow
	case s.hovered:
		ground = th.Hover
	}
	s.interval(gtx, r, at, mid, ink, ground)
}

// interval draws the dot and its interval; a rim in the colour of the ground
// keeps the dot apart from the band and the previous lesson's ring.
func (s *Sheet) interval(gtx layout.Context, r *Row, at func(float64) float32, mid float32, ink, ground color.NRGBA) {
	sp := gtx.Metric.PxPerSp
	dot := f32.Pt(at(r.Value), mid)
	draw.Circle(gtx.Ops, dot, 5.2*sp, ground)
	var p draw.Pen
	p.Begin(gtx.Ops)
	a, b := at(r.Low), at(r.High)
	p.RoundRect(a, mid-0.9*sp, b, mid+0.9*sp, 0)
	// An end that lies beyond the scale has no cap.
	if r.Low >= r.scale.low {
		p.RoundRect(a-0.75*sp, mid-4.5*sp, a+0.75*sp, mid+4.5*sp, 0)
	}
	if r.High <= r.scale.high {
		p.RoundRect(b-0.75*sp, mid-4.5*sp, b+0.75*sp, mid+4.5*sp, 0)
	}
	p.Circle(dot, 3.8*sp)
	p.Fill(ink)
}
