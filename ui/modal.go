package ui

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

// column stacks parts under each other.
type column struct {
	gtx layout.Context
	gap int
	y   int
}

func (c *column) add(w layout.Widget) {
	if c.y > 0 {
		c.y += c.gap
	}
	off := op.Offset(image.Pt(0, c.y)).Push(c.gtx.Ops)
	g := c.gtx
	g.Constraints.Min = image.Point{}
	c.y += w(g).Size.Y
	off.Pop()
}

func (c *column) done() layout.Dimensions {
	return layout.Dimensions{Size: image.Pt(c.gtx.Constraints.Max.X, c.y)}
}

// endRow lays parts out in a row that ends at the right edge.
func endRow(gtx layout.Context, parts ...layout.Widget) layout.Dimensions {
	m := op.Record(gtx.Ops)
	d := draw.Row(gtx, 8, parts...)
	c := m.Stop()
	w := gtx.Constraints.Max.X
	defer op.Offset(image.Pt(w-d.Size.X, 0)).Push(gtx.Ops).Pop()
	c.Add(gtx.Ops)
	return layout.Dimensions{Size: image.Pt(w, d.Size.Y)}
}

// modalView is how far the card in the middle of the window is scrolled, where
// it is taller than the window.
type modalView struct {
	title  string
	scroll gesture.Scroll
	offset int
	more   int // how far it can be scrolled
}

// layoutModal draws a card in the middle of the window over everything else,
// which can't be reached while it is there. A body too tall for the window
// scrolls under the title.
func (a *App) layoutModal(gtx layout.Context, title string, width unit.Sp, body layout.Widget) {
	th := a.theme
	size := gtx.Constraints.Max
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	event.Op(gtx.Ops, &a.scrim)
	pointer.CursorDefault.Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Scrim)
	area.Pop()
	pad := gtx.Dp(22)
	w := min(gtx.Sp(width), size.X-3*pad)
	head, gap := gtx.Sp(24), gtx.Dp(16)
	room := size.Y - 3*pad - head - gap

	m := op.Record(gtx.Ops)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(w, 1<<20)}
	d := body(g)
	inside := m.Stop()
	tall := min(d.Size.Y, room)
	v := &a.modalView
	if v.title != title {
		*v = modalView{title: title}
	}
	v.more = max(d.Size.Y-tall, 0)
	v.update(gtx, tall)

	card := image.Pt(w+2*pad, head+gap+tall+2*pad)
	defer op.Offset(image.Pt((size.X-card.X)/2, max((size.Y-card.Y)/2, 0))).Push(gtx.Ops).Pop()
	th.Card(gtx, image.Rectangle{Max: card})
	defer clip.Rect(image.Rectangle{Max: card}).Push(gtx.Ops).Pop()
	semantic.LabelOp(title).Add(gtx.Ops)
	event.Op(gtx.Ops, &a.modalArea)
	defer op.Offset(image.Pt(pad, pad)).Push(gtx.Ops).Pop()
	g.Constraints = layout.Constraints{Max: image.Pt(w, head)}
	th.Label(g, draw.Title, font.SemiBold, th.Text, title)
	defer op.Offset(image.Pt(0, head+gap)).Push(gtx.Ops).Pop()
	v.layout(gtx, th, image.Pt(w, tall), pad, inside)
}

// update moves the card with the wheel and the keys, where it is too tall.
func (v *modalView) update(gtx layout.Context, tall int) {
	v.offset += v.scroll.Update(gtx.Metric, gtx.Source, gtx.Now, gesture.Vertical, pointer.ScrollRange{},
		pointer.ScrollRange{Min: -v.offset, Max: v.more - v.offset})
	if v.more > 0 {
		for {
			e, ok := gtx.Event(key.Filter{Name: key.NamePageDown}, key.Filter{Name: key.NamePageUp},
				key.Filter{Name: key.NameDownArrow}, key.Filter{Name: key.NameUpArrow})
			if !ok {
				break
			}
			k, isKey := e.(key.Event)
			if !isKey || k.State != key.Press {
				continue
			}
			switch k.Name {
			case key.NamePageDown:
				v.offset += tall * 9 / 10
			case key.NamePageUp:
				v.offset -= tall * 9 / 10
			case key.NameDownArrow:
				v.offset += gtx.Sp(40)
			case key.NameUpArrow:
				v.offset -= gtx.Sp(40)
			}
		}
	}
	v.offset = min(max(v.offset, 0), v.more)
}

// layout draws the part of the body that there is room for. Focus rings reach
// a little past the body's edges, and are not cut off there.
func (v *modalView) layout(gtx layout.Context, th *draw.Theme, size image.Point, pad int, body op.CallOp) {
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

// enterPressed reports whether Enter was pressed while nothing had the
// keyboard that takes it: on a card it does the one thing to do.
func enterPressed(gtx layout.Context) bool {
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

// constrained returns gtx for a part as wide as w at most.
func constrained(gtx layout.Context, w int) layout.Context {
	gtx.Constraints = layout.Constraints{Max: image.Pt(max(w, 1), gtx.Constraints.Max.Y)}
	return gtx
}

// named gives an area a semantic label, for text that wraps.
func named(gtx layout.Context, r image.Rectangle, label string) {
	defer clip.Rect(r).Push(gtx.Ops).Pop()
	semantic.LabelOp(label).Add(gtx.Ops)
}
