package sheet

import (
	"image"
	"image/color"

	"gioui.org/font"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
)

// Notice is what is to be said of the whole swing above its rows: a mistake, until
// it is mended.
type Notice struct {
	Says string // a sentence
	Ask  string // what mends it, in sentences
	Do   string // on the button that does, "" for none
	// Withheld says that no number is shown until then.
	Withheld bool
}

// noticeOf puts a mistake of a whole swing into sentences.
func noticeOf(sw *geometry.Swing, m *geometry.Mistake) *Notice {
	if m == nil {
		return nil
	}
	n := &Notice{
		Says: words.Sentence(words.Mistake(sw, m)) + ".", Ask: words.Sentence(words.MistakeAsk(sw, m)) + ".",
		Do: words.Mending(sw, m), Withheld: m.WithholdsAll(),
	}
	if n.Withheld {
		n.Ask += " Until then no number of this swing is shown."
	}
	return n
}

// marked is how well the swing is marked, and what is marked worst.
type marked struct {
	says  string                // "Your marks agree to 1.9 px (1.3 to 2.8)"; "" where too few tell
	worst string                // "The hips at impact fit one body 2.4 times less well than the rest", or ""
	at    geometry.PositionName // where
}

func markedOf(sw *geometry.Swing, m *geometry.Marking) (out marked) {
	if m == nil || !m.Told() {
		return out
	}
	out.says = words.Sentence(words.Agreement(m.AgreePx, m.AgreeLow95, m.AgreeHigh95))
	if len(m.Misfits) > 0 {
		worst := &m.Misfits[0]
		out.worst, out.at = words.Sentence(words.Misfit(sw, worst)), sw.Positions[worst.Position].Name
	}
	return out
}

// layoutNotice draws the notice from y down, with its button, and returns where
// it ends.
func (s *Sheet) layoutNotice(gtx layout.Context, th *draw.Theme, n *Notice, y int) int {
	pad, gap, side := gtx.Dp(draw.Pad), gtx.Sp(6), gtx.Sp(18)
	ink := th.Outside
	if !n.Withheld {
		ink = th.Dim
	}
	x := pad + side + gtx.Dp(10)
	width := gtx.Constraints.Max.X - x - pad
	m := op.Record(gtx.Ops)
	h := gtx.Sp(10)
	h += s.para(gtx, th, x, h, width, draw.Body, font.Medium, n.Says, th.Text) + gap
	h += s.para(gtx, th, x, h, width, draw.Small, font.Normal, n.Ask, th.Text)
	if n.Do != "" {
		h += gtx.Sp(8)
		t := op.Offset(image.Pt(x, h)).Push(gtx.Ops)
		h += th.Button(gtx, &s.mend, draw.ButtonStyle{Label: n.Do, Kind: draw.Primary, Tip: n.Ask, Keys: s.MendKeys, TipSide: draw.TipBelowStart}).Size.Y
		t.Pop()
	}
	h += gtx.Sp(12)
	c := m.Stop()

	defer op.Offset(image.Pt(0, y)).Push(gtx.Ops).Pop()
	box := image.Rect(0, 0, gtx.Constraints.Max.X, h)
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp(n.Says + " " + n.Ask).Add(gtx.Ops)
	draw.Fill(gtx.Ops, box, draw.Over(th.Panel, draw.Alpha(ink, 0.12)))
	draw.Fill(gtx.Ops, image.Rect(0, 0, gtx.Dp(3), h), ink)
	th.Icon(gtx.Ops, draw.IconWarning, image.Pt(pad, gtx.Sp(10)), side, ink)
	c.Add(gtx.Ops)
	return y + h
}

// layoutMarked says from y down how well the swing is marked, and returns where
// that ends. A click on what is marked worst goes there.
func (s *Sheet) layoutMarked(gtx layout.Context, th *draw.Theme, m *marked, y int) int {
	pad := gtx.Dp(draw.Pad)
	width := gtx.Constraints.Max.X - 2*pad
	line := func(text string, ink color.NRGBA) {
		y += s.para(gtx, th, pad, y, width, draw.Small, font.Normal, text, ink) + gtx.Sp(4)
	}
	line(m.says+".", th.Dim)
	if m.worst != "" {
		t := op.Offset(image.Pt(pad, y)).Push(gtx.Ops)
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(width, 1<<16)}
		d := s.worst.Layout(g, func(gtx layout.Context) layout.Dimensions {
			semantic.Button.Add(gtx.Ops)
			semantic.LabelOp(m.worst).Add(gtx.Ops)
			ink := th.Accent
			if s.worst.Hovered() {
				ink = th.Text
			}
			d := th.Paragraph(gtx, draw.Small, font.Normal, ink, m.worst+".")
			defer clip.Rect(image.Rectangle{Max: d.Size}).Push(gtx.Ops).Pop()
			pointer.CursorPointer.Add(gtx.Ops)
			return d
		})
		if gtx.Focused(&s.worst) {
			th.FocusRing(gtx, image.Rectangle{Max: d.Size})
		}
		t.Pop()
		y += d.Size.Y + gtx.Sp(4)
	}
	return y + gtx.Sp(4)
}
