package panel

import (
	"image"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/visit"
)

// cell is the place of one picture on the card.
type cell struct {
	draw.Button
	drag bool // tag of the pointer that drags it
}

// hand is what the coach has taken hold of: a picture that was pressed, to change places
// with another, or one that is being dragged.
type hand struct {
	held    visit.Place
	holding bool
	drag    drag
}

// drag is a picture under the pointer.
type drag struct {
	grip  kit.Grip
	from  visit.Place
	begun f32.Point // both in the cell that it is dragged from
	at    f32.Point
	on    bool // it has left the place where it was pressed
}

// layoutDrag takes the pointer over a cell, of a size, whose picture can be dragged.
func (c *cell) layoutDrag(gtx layout.Context) { event.Op(gtx.Ops, &c.drag) }

// updateCells takes up what was done with the pictures.
func (r *Room) updateCells(gtx layout.Context) {
	for i := range r.rows {
		for k := range r.rows[i].cells {
			p, c := visit.Place{Row: i, View: k}, &r.rows[i].cells[k]
			if r.dragged(gtx, c, p) || r.keyed(gtx, c, p) {
				return // the rows are others now
			}
			if c.Clicked(gtx) && r.press(p) {
				return
			}
		}
	}
	if r.own.Clicked(gtx) && r.holding {
		r.move(r.held, visit.Place{Row: len(r.rows), View: r.held.View})
	}
}

// press takes a picture into the hand, or has it change places with what is at the place,
// and reports whether it did that.
func (r *Room) press(p visit.Place) bool {
	switch {
	case r.holding && r.held == p:
		r.holding = false
	case r.holding:
		r.move(r.held, p)
		return true
	case r.found.Rows[p.Row].Shots[p.View].Film != nil:
		r.held, r.holding = p, true
	}
	return false
}

// move puts a picture at another place, and returns where it is then.
func (r *Room) move(from, to visit.Place) visit.Place {
	if from == to || to.Row >= len(r.rows) && r.alone(from) {
		return from
	}
	r.change(func(v *visit.Visit) { to = v.Move(from, to) })
	return to
}

// alone reports whether a picture has its row for itself.
func (r *Room) alone(p visit.Place) bool {
	return r.found.Rows[p.Row].Shots[1-p.View].Film == nil
}

// keyed takes the arrows: alone they lead from picture to picture, with Ctrl the picture
// goes along. It reports whether that changed the rows.
func (r *Room) keyed(gtx layout.Context, c *cell, p visit.Place) bool {
	focus := &c.Clickable
	filter := func(n key.Name) key.Filter {
		return key.Filter{Focus: focus, Name: n, Optional: key.ModCtrl}
	}
	for {
		ev, ok := gtx.Event(filter(key.NameUpArrow), filter(key.NameDownArrow), filter(key.NameLeftArrow), filter(key.NameRightArrow))
		if !ok {
			return false
		}
		e, isKey := ev.(key.Event)
		if !isKey || e.State != key.Press {
			continue
		}
		to := p
		switch e.Name {
		case key.NameUpArrow:
			to.Row--
		case key.NameDownArrow:
			to.Row++
		case key.NameLeftArrow:
			to.View--
		case key.NameRightArrow:
			to.View++
		}
		takes := e.Modifiers.Contain(key.ModCtrl)
		last := len(r.rows) - 1
		if takes {
			last++ // a row of its own
		}
		if to.Row < 0 || to.Row > last || to.View < 0 || to.View >= len(columns) {
			continue
		}
		if takes && r.found.Rows[p.Row].Shots[p.View].Film != nil {
			to = r.move(p, to)
			gtx.Execute(key.FocusCmd{Tag: &r.rows[to.Row].cells[to.View].Clickable})
			return true
		}
		if !takes {
			gtx.Execute(key.FocusCmd{Tag: &r.rows[to.Row].cells[to.View].Clickable})
		}
	}
}

// dragged takes the pointer that drags a picture, and reports whether letting it go
// changed the rows.
func (r *Room) dragged(gtx layout.Context, c *cell, p visit.Place) bool {
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: &c.drag, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel})
		if !ok {
			return false
		}
		e, isPointer := ev.(pointer.Event)
		if !isPointer {
			continue
		}
		d := &r.drag
		switch e.Kind {
		case pointer.Press:
			if r.found.Rows[p.Row].Shots[p.View].Film != nil && e.Buttons == pointer.ButtonPrimary && d.grip.Take(e) {
				d.from, d.begun, d.at = p, e.Position, e.Position
			}
		case pointer.Drag:
			if !d.grip.Holds(e) || d.from != p {
				continue
			}
			d.at = e.Position
			const slack = 6
			if away := d.at.Sub(d.begun); !d.on && away.X*away.X+away.Y*away.Y > float32(gtx.Dp(slack)*gtx.Dp(slack)) {
				d.on, r.holding = true, false
				gtx.Execute(pointer.GrabCmd{Tag: &c.drag, ID: e.PointerID})
			}
		case pointer.Release:
			was, to := *d, r.target(gtx)
			if !d.grip.Holds(e) {
				continue
			}
			r.drag = drag{}
			if was.on && to != nil && *to != p {
				r.move(p, *to)
				return true
			}
		case pointer.Cancel:
			if d.from == p {
				r.drag = drag{}
			}
		}
	}
}

// target is the place under the pointer that drags a picture, nil for none.
func (r *Room) target(gtx layout.Context) *visit.Place {
	d := &r.drag
	if !d.on {
		return nil
	}
	down, right := int(d.at.Y), int(d.at.X)
	tall, wide := r.pitch.Y, r.pitch.X
	if tall == 0 || wide == 0 {
		return nil
	}
	to := visit.Place{Row: d.from.Row + floor(down, tall), View: d.from.View + floor(right, wide)}
	if to.Row < 0 || to.Row > len(r.rows) || to.View < 0 || to.View >= len(columns) {
		return nil
	}
	return &to
}

func floor(a, b int) int {
	if a < 0 {
		return -((b - 1 - a) / b)
	}
	return a / b
}

// layoutDragged draws the picture under the pointer, in the coordinates of the cell that it
// is dragged from, over all else.
func (r *Room) layoutDragged(gtx layout.Context, p visit.Place, size image.Point) {
	if !r.drag.on || r.drag.from != p {
		return
	}
	m := op.Record(gtx.Ops)
	off := op.Offset(r.drag.at.Sub(r.drag.begun).Round()).Push(gtx.Ops)
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), r.host.Theme().AccentLow)
	in := op.Offset(image.Pt(gtx.Dp(6), gtx.Dp(6))).Push(gtx.Ops)
	draw.Image(gtx.Ops, r.rows[p.Row].pictures[p.View], pictureIn(size.Y-2*gtx.Dp(6)))
	in.Pop()
	off.Pop()
	op.Defer(gtx.Ops, m.Stop())
}
