package sheet

import (
	"image"

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
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	s.build(m)

	top := s.layoutHeader(gtx, th, m)
	card := s.cardHeight(gtx, size.Y-top)
	s.view = max(size.Y-top-card, 0)
	t := op.Offset(image.Pt(0, top)).Push(gtx.Ops)
	s.layoutList(gtx, th, m, image.Pt(size.X, s.view))
	t.Pop()
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
	if rows && s.At != "" {
		on := 0
		if s.OnlyAt {
			on = 1
		}
		g := gtx
		g.Constraints.Max.X = width - 2*pad
		t := op.Offset(image.Pt(pad, y)).Push(gtx.Ops)
		y += th.Segmented(g, &s.which, "Rows shown", on, "Whole swing", sentence(string(s.At))).Size.Y + gtx.Dp(8)
		t.Pop()
	}
	draw.Fill(gtx.Ops, image.Rect(0, y, width, y+max(gtx.Dp(1), 1)), th.Line)
	return y + max(gtx.Dp(1), 1)
}

// layoutList draws the visible part of the list.
func (s *Sheet) layoutList(gtx layout.Context, th *draw.Theme, m *Model, size image.Point) {
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	if len(s.items) == 0 {
		s.layoutEmpty(gtx, th, m, size)
		return
	}
	c := s.measureColumns(gtx, th, size.X)
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
	s.layoutBar(gtx, th, size)
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
	if s.reveal {
		s.reveal = false
		if i := s.index(); i >= 0 {
			it := &s.items[i]
			above := it.top
			if i > 0 && s.items[i-1].row == nil {
				above = s.items[i-1].top // show the group's header too
			}
			s.offset = max(s.offset, it.bot-s.view)
			s.offset = min(s.offset, above)
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
	s.hovered = ""
	text := "Nothing is measured yet."
	switch {
	case m == nil:
	case m.Asked > 0 && s.OnlyAt:
		text = "Nothing is measured at this position. Choose the whole swing to see the other rows."
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
