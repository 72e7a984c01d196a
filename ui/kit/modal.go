package kit

import (
	"image"

	"gioui.org/font"
	"gioui.org/gesture"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/draw"
)

// Modal is a card in the middle of the window over everything else, which can't
// be reached while it is there. A body too tall for the window scrolls under the
// title.
type Modal struct {
	title  string
	scroll gesture.Scroll
	offset int  // how far the body is scrolled, pixels
	more   int  // how far it can be
	tall   int  // of the part that is seen, pixels
	scrim  bool // tags of what the card covers, and of the card
	area   bool
}

// Layout draws the card with a title; width is that of the body, as far as the
// window has room. The body begins at its top whenever the title is another.
func (v *Modal) Layout(gtx layout.Context, th *draw.Theme, title string, width unit.Sp, body layout.Widget) layout.Dimensions {
	size := gtx.Constraints.Max
	v.cover(gtx, th)
	pad := gtx.Dp(22)
	w := min(gtx.Sp(width), size.X-3*pad)
	head, gap := gtx.Sp(24), gtx.Dp(16)
	room := v.Room(gtx)

	m := op.Record(gtx.Ops)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(w, 1<<20)}
	d := body(g)
	inside := m.Stop()
	tall := min(d.Size.Y, room)
	if v.title != title {
		v.title, v.offset = title, 0
	}
	v.more = max(d.Size.Y-tall, 0)
	v.update(gtx, tall)

	card := image.Pt(w+2*pad, head+gap+tall+2*pad)
	defer op.Offset(image.Pt((size.X-card.X)/2, max((size.Y-card.Y)/2, 0))).Push(gtx.Ops).Pop()
	th.Card(gtx, image.Rectangle{Max: card})
	defer clip.Rect(image.Rectangle{Max: card}).Push(gtx.Ops).Pop()
	semantic.LabelOp(title).Add(gtx.Ops)
	event.Op(gtx.Ops, &v.area)
	defer op.Offset(image.Pt(pad, pad)).Push(gtx.Ops).Pop()
	g.Constraints = layout.Constraints{Max: image.Pt(w, head)}
	th.Label(g, draw.Title, font.SemiBold, th.Text, title)
	defer op.Offset(image.Pt(0, head+gap)).Push(gtx.Ops).Pop()
	v.body(gtx, th, image.Pt(w, tall), pad, inside)
	return layout.Dimensions{Size: size}
}

// Room is how tall the body of a modal may be before it scrolls, pixels.
func (v *Modal) Room(gtx layout.Context) int {
	return gtx.Constraints.Max.Y - 3*gtx.Dp(22) - gtx.Sp(24) - gtx.Dp(16)
}

// Over draws a large card at a place of the window; body lays out in the window,
// cut off at the card's edges.
func (v *Modal) Over(gtx layout.Context, th *draw.Theme, title string, card image.Rectangle, body layout.Widget) layout.Dimensions {
	v.cover(gtx, th)
	th.Card(gtx, card)
	defer clip.Rect(card).Push(gtx.Ops).Pop()
	semantic.LabelOp(title).Add(gtx.Ops)
	event.Op(gtx.Ops, &v.area)
	body(gtx)
	return layout.Dimensions{Size: gtx.Constraints.Max}
}

// cover dims the window and takes the pointer's events that are not for the card.
func (v *Modal) cover(gtx layout.Context, th *draw.Theme) {
	all := image.Rectangle{Max: gtx.Constraints.Max}
	defer clip.Rect(all).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, &v.scrim)
	pointer.CursorDefault.Add(gtx.Ops)
	draw.Fill(gtx.Ops, all, th.Scrim)
}

// update moves the card with the wheel and the keys, where it is too tall.
func (v *Modal) update(gtx layout.Context, tall int) {
	v.offset += v.scroll.Update(gtx.Metric, gtx.Source, gtx.Now, gesture.Vertical, pointer.ScrollRange{},
		pointer.ScrollRange{Min: -v.offset, Max: v.more - v.offset})
	v.tall = tall
	if v.more > 0 {
		v.Keys(gtx, nil)
	}
	v.offset = min(max(v.offset, 0), v.more)
}

// Keys moves the card with the keys pressed while something on it has the keyboard, or,
// where that is nil, nothing that takes them.
func (v *Modal) Keys(gtx layout.Context, held event.Tag) {
	for {
		e, ok := gtx.Event(key.Filter{Focus: held, Name: key.NamePageDown}, key.Filter{Focus: held, Name: key.NamePageUp},
			key.Filter{Focus: held, Name: key.NameDownArrow}, key.Filter{Focus: held, Name: key.NameUpArrow})
		if !ok {
			return
		}
		k, isKey := e.(key.Event)
		if !isKey || k.State != key.Press {
			continue
		}
		switch k.Name {
		case key.NamePageDown:
			v.offset += v.tall * 9 / 10
		case key.NamePageUp:
			v.offset -= v.tall * 9 / 10
		case key.NameDownArrow:
			v.offset += gtx.Sp(40)
		case key.NameUpArrow:
			v.offset -= gtx.Sp(40)
		}
	}
}

// body draws the part of the body that there is room for. Focus rings reach
// a little past the body's edges, and are not cut off there.
func (v *Modal) body(gtx layout.Context, th *draw.Theme, size image.Point, pad int, body op.CallOp) {
	rim := gtx.Dp(4)
	defer clip.Rect(image.Rect(-rim, -rim, size.X+pad, size.Y+rim)).Push(gtx.Ops).Pop()
	v.scroll.Add(gtx.Ops)
	off := op.Offset(image.Pt(0, -v.offset)).Push(gtx.Ops)
	body.Add(gtx.Ops)
	off.Pop()
	if v.more == 0 {
		return
	}
	bar := gtx.Dp(4)
	x := size.X + (pad-bar)/2
	whole := size.Y + v.more
	from := v.offset * size.Y / whole
	draw.RoundRect(gtx.Ops, image.Rect(x, from, x+bar, from+size.Y*size.Y/whole), bar/2, th.Edge)
}

// EnterPressed reports whether Enter was pressed while nothing had the
// keyboard that takes it: on a card it does the one thing to do.
func EnterPressed(gtx layout.Context) bool {
	pressed := false
	for {
		ev, ok := gtx.Event(key.Filter{Name: key.NameReturn}, key.Filter{Name: key.NameEnter})
		if !ok {
			return pressed
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			pressed = true
		}
	}
}
