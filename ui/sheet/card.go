package sheet

import (
	"image"
	"image/color"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/gesture"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/draw"
)

// cardLow is the height of a card without a row, sp.
const cardLow = 46

// cardHeight returns the height of the detail card in a sheet with room
// pixels below its header: low while there is nothing to tell, 0 where there
// is too little room or no row.
func (s *Sheet) cardHeight(gtx layout.Context, m *Model, room int) int {
	h := min(max(room*2/5, min(room/2, gtx.Sp(120))), gtx.Sp(270))
	if h < gtx.Sp(72) || m == nil || m.Asked == 0 {
		return 0
	}
	if _, ok := m.Find(s.detailKey()); !ok {
		return gtx.Sp(cardLow)
	}
	return h
}

// layoutCard tells of one row: how it is defined and measured, its target, the
// previous lesson and what would sharpen it.
func (s *Sheet) layoutCard(gtx layout.Context, th *draw.Theme, m *Model, size image.Point) {
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Detail").Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Raised)
	hair := max(gtx.Dp(1), 1)
	draw.Fill(gtx.Ops, image.Rect(0, 0, size.X, hair), th.Edge)

	key := s.detailKey()
	r, ok := m.Find(key)
	if !ok {
		s.layoutHint(gtx, th, size)
		return
	}
	if key != s.cardKey {
		s.cardKey, s.cardOffset = key, 0
	}
	s.cardOffset += s.cardScroll.Update(gtx.Metric, gtx.Source, gtx.Now, gesture.Vertical, pointer.ScrollRange{},
		pointer.ScrollRange{Min: -s.cardOffset, Max: s.cardMore - s.cardOffset})
	s.cardOffset = min(max(s.cardOffset, 0), s.cardMore)
	s.cardScroll.Add(gtx.Ops)
	event.Op(gtx.Ops, &s.cardScroll)

	t := op.Offset(image.Pt(0, hair-s.cardOffset)).Push(gtx.Ops)
	h := s.cardText(gtx, th, r, size.X)
	t.Pop()
	s.cardMore = max(h+hair-size.Y, 0)
	if s.cardMore > s.cardOffset { // there is more below: fade it out
		for i := range 3 {
			draw.Fill(gtx.Ops, image.Rect(0, size.Y-gtx.Sp(6)*(i+1), size.X, size.Y), draw.Alpha(th.Raised, 0.45))
		}
	}
}

func (s *Sheet) layoutHint(gtx layout.Context, th *draw.Theme, size image.Point) {
	g := gtx
	pad := gtx.Dp(draw.Pad)
	g.Constraints = layout.Constraints{Max: image.Pt(size.X-2*pad, size.Y)}
	t := op.Offset(image.Pt(pad, gtx.Sp(9))).Push(gtx.Ops)
	th.Paragraph(g, draw.Small, font.Normal, th.Dim,
		"Point at a row to see how it is measured and what would sharpen it.")
	t.Pop()
}

// cardText draws the card's text and returns its height.
func (s *Sheet) cardText(gtx layout.Context, th *draw.Theme, r *Row, width int) int {
	pad := gtx.Dp(draw.Pad)
	y := gtx.Sp(10)
	w := width - 2*pad
	copyW := gtx.Sp(draw.Compact)

	t := op.Offset(image.Pt(width-pad-copyW+gtx.Sp(4), y-gtx.Sp(2))).Push(gtx.Ops)
	th.Button(gtx, &s.copyRow, draw.ButtonStyle{
		Icon: draw.IconCopy, Name: "Copy this row", Kind: draw.Quiet, Compact: true,
		Tip: "Copy this row as text", TipSide: draw.TipAboveEnd,
	})
	t.Pop()
	if r.Key == s.cursor {
		for _, x := range []struct {
			b  *draw.Button
			d  int
			st draw.ButtonStyle
		}{
			{&s.down, 1, draw.ButtonStyle{Icon: draw.IconDown, Name: "Move the row down", Tip: "Further down", Keys: "Alt+Down"}},
			{&s.up, -1, draw.ButtonStyle{Icon: draw.IconUp, Name: "Move the row up", Tip: "Further up", Keys: "Alt+Up"}},
		} {
			copyW += gtx.Sp(draw.Compact)
			x.st.Kind, x.st.Compact, x.st.TipSide, x.st.Disabled = draw.Quiet, true, draw.TipAboveEnd, !s.moves(x.d)
			t := op.Offset(image.Pt(width-pad-copyW+gtx.Sp(4), y-gtx.Sp(2))).Push(gtx.Ops)
			th.Button(gtx, x.b, x.st)
			t.Pop()
		}
	}
	y += s.para(gtx, th, pad, y, w-copyW-gtx.Sp(4), draw.Body, font.Bold, r.label, th.Text) + gtx.Sp(4)

	if r.Missing == "" {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w, 1<<16)}
		t := op.Offset(image.Pt(pad, y)).Push(gtx.Ops)
		d := th.Label(g, draw.Title, font.Medium, th.Text, r.Number)
		t2 := op.Offset(image.Pt(d.Size.X+gtx.Sp(8), 0)).Push(gtx.Ops)
		d2 := th.Label(g, draw.Title, font.Normal, th.Dim, r.PlusMinus)
		t2.Pop()
		h := d.Size.Y
		if r.Verdict != draw.NoVerdict {
			x, mid := d.Size.X+d2.Size.X+gtx.Sp(26), float32(h)/2+1
			if word, _ := th.TextSize(gtx, draw.Body, font.Normal, r.Says); x+word.X+gtx.Sp(16) > w {
				x, mid = 0, float32(h+gtx.Sp(12))
				h += gtx.Sp(22)
			}
			s.cardVerdict(gtx, th, x, mid, r)
		}
		t.Pop()
		y += h + gtx.Sp(6)
	} else {
		y += s.para(gtx, th, pad, y, w, draw.Body, font.Normal, "Not measured: "+r.Missing, th.Outside) + gtx.Sp(6)
	}
	if r.Definition != "" {
		y += s.para(gtx, th, pad, y, w, draw.Small, font.Normal, r.defined, th.Text) + gtx.Sp(8)
	}
	for i := range r.facts {
		f := &r.facts[i]
		y += s.fact(gtx, th, pad, y, w, f) + gtx.Sp(4)
	}
	return y + gtx.Sp(8)
}

func (s *Sheet) cardVerdict(gtx layout.Context, th *draw.Theme, x int, mid float32, r *Row) {
	rad := gtx.Sp(5)
	th.Verdict(gtx.Ops, f32.Pt(float32(x+rad), mid), float32(rad), r.Verdict)
	th.TextAt(gtx, f32.Pt(float32(x+2*rad+gtx.Sp(6)), mid), 0, 0.5, draw.Body, font.Normal, th.VerdictColour(r.Verdict), r.Says)
}

func (s *Sheet) fact(gtx layout.Context, th *draw.Theme, x, y, w int, f *fact) int {
	label := gtx.Sp(70)
	ink := th.Text
	if f.accent {
		ink = th.Accent
	}
	if w < gtx.Sp(200) { // too narrow for two columns
		h := s.para(gtx, th, x, y, w, draw.Small, font.Normal, f.name, th.Dim)
		return h + s.para(gtx, th, x, y+h, w, draw.Small, font.Normal, f.text, ink)
	}
	h := s.para(gtx, th, x, y, label, draw.Small, font.Normal, f.name, th.Dim)
	return max(h, s.para(gtx, th, x+label, y, w-label, draw.Small, font.Normal, f.text, ink))
}

func (s *Sheet) para(gtx layout.Context, th *draw.Theme, x, y, w int, size unit.Sp, weight font.Weight, text string, ink color.NRGBA) int {
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(w, 1), 1<<16)}
	t := op.Offset(image.Pt(x, y)).Push(gtx.Ops)
	defer t.Pop()
	return th.Paragraph(g, size, weight, ink, text).Size.Y
}
