package sheet

import (
	"image"
	"strconv"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/gesture"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
)

// Layout draws the sheet in the whole of the maximum constraints.
func (s *Sheet) Layout(gtx layout.Context, th *draw.Theme, m *Model) layout.Dimensions {
	gtx = th.Context(gtx)
	size := gtx.Constraints.Max
	gtx.Constraints.Min = image.Point{}
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Sheet").Add(gtx.Ops)
	in := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	event.Op(gtx.Ops, &s.areaTag)
	defer in.Pop()
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	s.build(m)

	top := s.layoutHeader(gtx, th, m)
	if m != nil && m.Notice != nil {
		top = s.layoutNotice(gtx, th, m.Notice, top)
	}
	card := s.cardHeight(gtx, m, size.Y-top)
	s.view = max(size.Y-top-card, 0)
	t := op.Offset(image.Pt(0, top)).Push(gtx.Ops)
	s.layoutList(gtx, th, m, image.Pt(size.X, s.view))
	t.Pop()
	wants := 0
	if s.inShort {
		wants = top + s.total + gtx.Sp(cardLow)
	}
	if wants != s.wants {
		s.wants = wants
		gtx.Execute(op.InvalidateCmd{})
	}
	if card > 0 {
		t := op.Offset(image.Pt(0, size.Y-card)).Push(gtx.Ops)
		s.layoutCard(gtx, th, m, image.Pt(size.X, card))
		t.Pop()
	}
	return layout.Dimensions{Size: size}
}

// layoutHeader draws the title, the filters and the copy button, and returns
// their height.
func (s *Sheet) layoutHeader(gtx layout.Context, th *draw.Theme, m *Model) int {
	width, pad := gtx.Constraints.Max.X, gtx.Dp(draw.Pad)
	h := gtx.Sp(draw.Control)
	y := gtx.Dp(8)
	x := width - pad + gtx.Sp(5) // the icon's own margin
	button := func(b *draw.Button, st draw.ButtonStyle) {
		x -= gtx.Sp(draw.Control)
		t := op.Offset(image.Pt(x, y)).Push(gtx.Ops)
		th.Button(gtx, b, st)
		t.Pop()
	}
	rows := m != nil && m.Asked > 0
	button(&s.copyAll, draw.ButtonStyle{
		Icon: draw.IconCopy, Name: "Copy the sheet", Kind: draw.Quiet, Disabled: !rows,
		Tip: "Copy the sheet as text", TipSide: draw.TipBelowEnd,
	})
	icon, tip := draw.IconShown, "Hide what is not measured yet"
	if s.OnlyMeasured {
		icon, tip = draw.IconHidden, "Show what is not measured yet"
	}
	button(&s.measured, draw.ButtonStyle{
		Icon: icon, Name: "Only measured", Kind: draw.Quiet, Toggle: true, On: s.OnlyMeasured, Disabled: !rows,
		Tip: tip, TipSide: draw.TipBelowEnd,
	})
	title, _ := th.TextSize(gtx, draw.Title, font.Medium, "Sheet")
	th.TextAt(gtx, f32.Pt(float32(pad), float32(y+h/2)), 0, 0.5, draw.Title, font.Medium, th.Text, "Sheet")
	if rows {
		count := m.counted
		at := pad + title.X + gtx.Sp(10)
		if sz, _ := th.TextSize(gtx, draw.Small, font.Normal, count); at+sz.X < x {
			th.TextAt(gtx, f32.Pt(float32(at), float32(y+h/2+gtx.Sp(1))), 0, 0.5, draw.Small, font.Normal, th.Dim, count)
		}
	}
	y += h + gtx.Dp(6)
	if rows {
		y = s.layoutFilters(gtx, th, m, y)
		if m.marked.says != "" {
			y = s.layoutMarked(gtx, th, &m.marked, y)
		}
	}
	draw.Fill(gtx.Ops, image.Rect(0, y, width, y+max(gtx.Dp(1), 1)), th.Line)
	return y + max(gtx.Dp(1), 1)
}

// layoutFilters draws the choices of rows and of the last column, beside each
// other where they fit, and returns where they end.
func (s *Sheet) layoutFilters(gtx layout.Context, th *draw.Theme, m *Model, y int) int {
	pad := gtx.Dp(draw.Pad)
	gtx.Constraints.Max.X -= 2 * pad
	x, h := pad, 0
	place := func(seg *draw.Segmented, name string, chosen int, choices ...string) {
		rec := op.Record(gtx.Ops)
		d := th.Segmented(gtx, seg, name, chosen, choices...)
		call := rec.Stop()
		if x > pad && x+d.Size.X > pad+gtx.Constraints.Max.X {
			x, y = pad, y+h+gtx.Dp(6)
		}
		t := op.Offset(image.Pt(x, y)).Push(gtx.Ops)
		call.Add(gtx.Ops)
		t.Pop()
		x, h = x+d.Size.X+gtx.Dp(8), d.Size.Y
	}
	if s.At != "" {
		view := s.View
		if view == Known && !s.inShort { // nothing is judged yet
			view = Whole
		}
		place(&s.which, "Rows shown", int(view), viewNames[:]...)
	}
	if m.Compared {
		changes := 0
		if s.Changes {
			changes = 1
		}
		place(&s.last, "Last column", changes, "Verdict", "Change")
	}
	if m.alike > 1 {
		alone := 0
		if m.alone {
			alone = 1
		}
		place(&s.over, "Numbers of", alone, "Mean of "+strconv.Itoa(m.alike), "This swing")
	}
	if h == 0 {
		return y
	}
	return y + h + gtx.Dp(8)
}

// layoutList draws the visible part of the list.
func (s *Sheet) layoutList(gtx layout.Context, th *draw.Theme, m *Model, size image.Point) {
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	if len(s.items) == 0 {
		s.layoutEmpty(gtx, th, m, size)
		return
	}
	c := s.measureColumns(gtx, th, size.X)
	if s.inShort {
		c.row, c.head = c.line+gtx.Sp(knownPad), c.line+gtx.Sp(knownHead)
	}
	y := 0
	for i := range s.items {
		it := &s.items[i]
		it.top = y
		if it.row == nil {
			y += c.head
		} else {
			y += c.row
		}
		it.bot = y
	}
	s.total = y + gtx.Dp(8)
	s.moveList(gtx, c)
	s.point()

	// The pointer's area lies under the rows, above the scroll's.
	s.scroll.Add(gtx.Ops)
	event.Op(gtx.Ops, &s.pointerTag)
	event.Op(gtx.Ops, s)
	pointer.CursorDefault.Add(gtx.Ops)
	focused := gtx.Focused(s)
	for i := range s.items {
		it := &s.items[i]
		if it.bot <= s.offset || it.top >= s.offset+size.Y {
			continue
		}
		t := op.Offset(image.Pt(0, it.top-s.offset)).Push(gtx.Ops)
		if it.row == nil {
			s.layoutGroup(gtx, th, &c, it.group)
		} else {
			s.layoutRow(gtx, th, &c, it.row, focused)
		}
		t.Pop()
	}
	s.layoutSticky(gtx, th, &c)
	s.layoutBar(gtx, th, size)
}

// layoutSticky keeps the header of the rows at the top in view.
func (s *Sheet) layoutSticky(gtx layout.Context, th *draw.Theme, c *columns) {
	var g *Group
	y := 0
	for i := range s.items {
		it := &s.items[i]
		if it.row != nil {
			continue
		}
		if it.top >= s.offset {
			y = min(it.top-s.offset-c.head, 0) // the next header pushes it out
			break
		}
		g = it.group
	}
	if g == nil || y <= -c.head {
		return
	}
	t := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
	s.layoutGroup(gtx, th, c, g)
	t.Pop()
}

// moveList applies scrolling, keeps the offset inside the list and brings the
// selected row into view when asked.
func (s *Sheet) moveList(gtx layout.Context, c columns) {
	most := max(s.total-s.view, 0)
	d := s.scroll.Update(gtx.Metric, gtx.Source, gtx.Now, gesture.Vertical, pointer.ScrollRange{},
		pointer.ScrollRange{Min: -s.offset, Max: most - s.offset})
	s.offset += d
	if s.total > 0 && s.view > 0 {
		if d := s.bar.ScrollDistance(); d != 0 {
			s.offset += int(d * float32(s.total))
		}
	}
	if s.At != s.lastAt || gtx.Metric != s.lastMetric { // larger text moves every row
		s.lastAt, s.lastMetric = s.At, gtx.Metric
		for i := range s.items {
			if g := s.items[i].group; g != nil && g.At == string(s.At) {
				s.offset = s.items[i].top
				break
			}
		}
	}
	if s.reveal {
		s.reveal = false
		if i := s.index(); i >= 0 {
			it := &s.items[i]
			s.offset = max(s.offset, it.bot-s.view)
			s.offset = min(s.offset, max(it.top-c.head, 0))
		}
	}
	s.offset = min(max(s.offset, 0), most)
}

func (s *Sheet) layoutBar(gtx layout.Context, th *draw.Theme, size image.Point) {
	if s.total <= size.Y || size.Y <= 0 {
		return
	}
	w := gtx.Dp(8)
	start, end := float32(s.offset)/float32(s.total), float32(s.offset+size.Y)/float32(s.total)
	t := op.Offset(image.Pt(size.X-w, 0)).Push(gtx.Ops)
	defer t.Pop()
	g := gtx
	g.Constraints = layout.Exact(image.Pt(w, size.Y))
	s.bar.Update(g, layout.Vertical, start, end)
	area := clip.Rect(image.Rect(0, 0, w, size.Y)).Push(gtx.Ops)
	s.bar.AddDrag(gtx.Ops)
	s.bar.AddTrack(gtx.Ops)
	thumb := image.Rect(gtx.Dp(2), int(start*float32(size.Y))+gtx.Dp(2), w-gtx.Dp(2), int(end*float32(size.Y))-gtx.Dp(2))
	thumb.Max.Y = max(thumb.Max.Y, thumb.Min.Y+gtx.Dp(16))
	ink := th.Edge
	if s.bar.IndicatorHovered() || s.bar.Dragging() {
		ink = th.Dim
	}
	draw.RoundRect(gtx.Ops, thumb, gtx.Dp(2), ink)
	in := clip.Rect(thumb).Push(gtx.Ops)
	s.bar.AddIndicator(gtx.Ops)
	in.Pop()
	area.Pop()
	if s.bar.Dragging() || s.bar.ScrollDistance() != 0 {
		gtx.Execute(op.InvalidateCmd{})
	}
}

func (s *Sheet) layoutEmpty(gtx layout.Context, th *draw.Theme, m *Model, size image.Point) {
	s.point()
	text := "Measuring …"
	switch {
	case m == nil: // the first fit is not done
	case m.Asked > 0 && s.View == AtNow:
		text = "Nothing is measured at this position. All shows the other rows."
	case m.Asked > 0 && s.View == Targeted:
		text = "No measure of this swing has a target range yet. All shows the others."
	case m.Asked > 0:
		text = "Nothing is measured yet. Show the rows that are not measured to see what to mark."
	default:
		text = m.Empty
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(min(size.X-2*gtx.Dp(24), gtx.Sp(360)), size.Y)}
	rec := op.Record(gtx.Ops)
	d := th.Paragraph(g, draw.Body, font.Normal, th.Dim, text)
	call := rec.Stop()
	t := op.Offset(image.Pt((size.X-d.Size.X)/2, max((size.Y-d.Size.Y)/3, gtx.Dp(16)))).Push(gtx.Ops)
	call.Add(gtx.Ops)
	t.Pop()
}
