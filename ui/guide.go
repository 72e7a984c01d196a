package ui

import (
	"fmt"
	"image"

	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

const guideWidth unit.Sp = 344

// subject is the point the guide is about: the armed one, else the one in hand.
func (a *App) subject() (p geometry.Point, inHand, ok bool) {
	b := a.desk.bench
	if p, ok = b.Armed(); ok {
		return p, false, true
	}
	s, ok := b.Selected()
	return s.Point, true, ok
}

// layoutGuide says which point to place next, where it is on the body and why
// it matters now, with the buttons for what else can be done with it.
func (a *App) layoutGuide(gtx layout.Context) layout.Dimensions {
	th := a.theme
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	semantic.LabelOp("Guide").Add(gtx.Ops)
	pad := gtx.Dp(10)
	if a.layoutStickGuide(gtx, size) {
		return layout.Dimensions{Size: size}
	}
	p, inHand, ok := a.subject()
	figure := image.Pt(gtx.Sp(64), size.Y-2*pad)
	x := pad
	if ok {
		off := op.Offset(image.Pt(x, pad)).Push(gtx.Ops)
		g := gtx
		g.Constraints = layout.Exact(figure)
		th.BodyDiagram(g, p, a.desk.bench.Lesson().Student.Handed == geometry.LeftHanded)
		off.Pop()
		x += figure.X + pad
	}
	title, text := a.guideText(p, inHand, ok)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(size.X-x-pad, 0), size.Y)}
	y := gtx.Dp(8)
	put := func(w layout.Widget) {
		off := op.Offset(image.Pt(x, y)).Push(gtx.Ops)
		y += w(g).Size.Y
		off.Pop()
	}
	put(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Body, font.SemiBold, th.Text, title)
	})
	buttons := size.Y - pad - gtx.Sp(draw.Compact)
	room := g
	room.Constraints.Max.Y = max(buttons-y-gtx.Dp(4), 0)
	put(func(layout.Context) layout.Dimensions {
		return th.Paragraph(room, draw.Small, font.Normal, th.Dim, text)
	})
	y = buttons
	put(func(gtx layout.Context) layout.Dimensions {
		button := func(id, label string) layout.Widget {
			return func(gtx layout.Context) layout.Dimensions {
				return a.commandButton(gtx, id, draw.ButtonStyle{Label: label, Compact: true})
			}
		}
		if !ok {
			return draw.Row(gtx, draw.Gap, button("next point", "Next point"), button("points", "Points"), button("copy forward", "Copy"), button("stick", "Stick"))
		}
		if inHand {
			return draw.Row(gtx, draw.Gap, button("unsure", "Unsure"), button("hide", "Hidden"), button("delete", "Delete"), button("next point", "Next"))
		}
		return draw.Row(gtx, draw.Gap, button("hide", "Hidden"), button("next point", "Skip"), button("points", "Points"), button("copy forward", "Copy"))
	})
	return layout.Dimensions{Size: size}
}

func (a *App) guideText(p geometry.Point, inHand, ok bool) (title, text string) {
	b := a.desk.bench
	view := b.Stages[b.Active].View
	position, at := b.PositionAt(b.Active)
	if inHand && ok {
		m, _ := b.SelectedMark()
		state := ""
		switch {
		case m.State == geometry.Proposed:
			state = "Only proposed: drag it into place, or press Enter to take it. "
		case m.SDPx > 0:
			state = "Marked as unsure. "
		}
		return bench.Title(p.String()), fmt.Sprintf("%sAt %.1f, %.1f in the picture. Arrows move it a pixel, with Shift a tenth.", state, m.At.X, m.At.Y)
	}
	switch {
	case ok && at:
		text = bench.Where(p) + "."
		if ad := b.Advice(); ad.OK && ad.Point == p && ad.Position == position && ad.Clip == b.Stages[b.Active].Clip && ad.Text != "" {
			text += " " + bench.Title(ad.Text) + "."
		}
		return fmt.Sprintf("Click the %s", p), bench.Title(text)
	case ok:
		return fmt.Sprintf("Next: %s", p), "This frame is no key position. Press 1 to 7 to make it one; then click the point."
	case !at && b.Proposals() > 0:
		return "Look at the proposed key positions", "The hollow ticks come from sound and motion. Page Down goes from one to the next, Enter takes the one shown, Shift+Enter all; drag a tick's number to correct it."
	case !at:
		return "Find a key position", "Scrub to address, the top, impact … and press 1 to 7 to set them. The figures on the cards are the keys."
	}
	if done, useful := b.Progress(b.Active, position); done >= useful {
		return bench.Title(string(position)) + " is fully marked", "Page Down goes to the next key position. Drag any mark to correct it."
	}
	return fmt.Sprintf("Mark %s, %s", position, view), "Press N and the program asks for the most useful point; or choose one with P."
}

// pointList is the list from which a point can be chosen.
type pointList struct {
	open  bool
	items [geometry.NumPoints]draw.Button
}

func (a *App) togglePoints() { a.points.open = !a.points.open }

func (a *App) updatePoints(gtx layout.Context) {
	for p := range a.points.items {
		if a.points.items[p].Clicked(gtx) {
			a.desk.bench.Arm(geometry.Point(p))
			a.points.open = false
		}
	}
}

// layoutPoints draws the list of points above the guide; what is marked on the
// active stage is ticked.
func (a *App) layoutPoints(gtx layout.Context, corner image.Point) {
	th, b := a.theme, a.desk.bench
	position, at := b.PositionAt(b.Active)
	const columns = 2
	rows := (geometry.NumPoints + columns - 1) / columns
	w, h, pad := gtx.Sp(180), gtx.Sp(draw.Compact)+gtx.Dp(2), gtx.Dp(8)
	size := image.Pt(columns*w+2*pad, rows*h+2*pad)
	at0 := corner.Sub(size)
	defer op.Offset(at0).Push(gtx.Ops).Pop()
	th.Card(gtx, image.Rectangle{Max: size})
	for p := range geometry.Point(geometry.NumPoints) {
		icon := draw.NoIcon
		if at {
			if m, ok := b.Swing().Mark(b.Stages[b.Active].Clip, position, p); ok {
				icon = draw.IconCheck
				if m.State == geometry.Hidden {
					icon = draw.IconHidden
				}
			}
		}
		g := gtx
		g.Constraints = layout.Exact(image.Pt(w-gtx.Dp(4), gtx.Sp(draw.Compact)))
		off := op.Offset(image.Pt(pad+int(p)/rows*w, pad+int(p)%rows*h)).Push(gtx.Ops)
		th.Button(g, &a.points.items[p], draw.ButtonStyle{Label: p.String(), Icon: icon, Kind: draw.Quiet, Compact: true})
		off.Pop()
	}
}
