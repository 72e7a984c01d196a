package students

import (
	"fmt"
	"image"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

const (
	cardWidth   unit.Sp = 680
	photoWidth  unit.Sp = 132
	photoHeight unit.Sp = 176
)

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), &r.state
	title := "Student"
	if s.was.Name != "" {
		title = s.was.Name
	}
	return r.card.Layout(gtx, th, title, cardWidth, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		col.Add(r.layoutHead)
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, &s.injuries, draw.FieldStyle{Label: "Injuries and pain, to be minded", Hint: "in the student's own words"})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, kit.Caution+" Name, height, handicap and this note stand in the lessons and go with an export; contact and photo stay here.")
		})
		for i, o := range s.was.Others {
			col.Add(r.other(&s.join[i], "Another "+o.Name+", kept apart: ", o, "Join", "It is the same person: list the lessons of both together; can be taken apart again"))
		}
		for i, o := range s.was.Joined {
			col.Add(r.other(&s.apart[i], "Joined: "+o.Name+", ", o, "Take apart", "It is another person after all"))
		}
		if text := s.problem; text != "" {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Danger, text)
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			done := s.done
			if s.busy {
				done = "Keeping …"
			}
			var parts []layout.Widget
			if s.undo != nil {
				parts = append(parts, func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.back, draw.ButtonStyle{Label: "Undo", Icon: draw.IconUndo, Disabled: s.busy, Tip: "Keep the card as it was before", TipSide: draw.TipAbove})
				})
			}
			parts = append(parts,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.closing, draw.ButtonStyle{Label: "Close"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &s.keep, draw.ButtonStyle{Label: "Keep the card", Kind: draw.Primary, Disabled: s.busy})
				})
			m := op.Record(gtx.Ops)
			g := gtx
			g.Constraints.Min = image.Point{}
			buttons := draw.Row(g, 8, parts...)
			call := m.Stop()
			x := gtx.Constraints.Max.X - buttons.Size.X
			g.Constraints.Max.X = max(x-gtx.Dp(16), 1)
			text := th.Paragraph(g, draw.Small, font.Normal, th.Dim, done)
			off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
			call.Add(gtx.Ops)
			off.Pop()
			return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, max(text.Size.Y, buttons.Size.Y))}
		})
		return col.Done()
	})
}

// layoutHead draws the photo, and beside it what there is to be filled in.
func (r *Room) layoutHead(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), &r.state
	left := r.layoutPhoto(gtx)
	x := left.Size.X + gtx.Dp(20)
	g := gtx
	g.Constraints.Max.X = max(gtx.Constraints.Max.X-x, 1)
	defer op.Offset(image.Pt(x, 0)).Push(gtx.Ops).Pop()
	col := kit.Column{Gtx: g, Gap: gtx.Dp(12)}
	field := func(f *draw.Field, st draw.FieldStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Field(gtx, f, st) }
	}
	col.Add(field(&s.name, draw.FieldStyle{Label: "Name"}))
	col.Add(kit.Choice(th, "Plays", &s.hand, s.handed, "right-handed", "left-handed"))
	lengths := "cm"
	if r.host.Settings().Imperial {
		lengths = "ft in"
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return thirds(gtx,
			field(&s.stature, draw.FieldStyle{Label: "Height", Suffix: lengths, Error: s.statureError}),
			field(&s.mass, draw.FieldStyle{Label: "Mass", Suffix: "kg", Error: s.massError}),
			field(&s.handicap, draw.FieldStyle{Label: "Handicap", Hint: "12.4"}))
	})
	col.Add(kit.Choice(th, "Body proportions, for the balance", &s.sex, s.sexOf, "not said", "female", "male"))
	if s.was.Student != 0 {
		col.Add(field(&s.contact, draw.FieldStyle{Label: "Contact", Hint: "telephone, e-mail"}))
	}
	d := col.Done()
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, max(d.Size.Y, left.Size.Y))}
}

// layoutPhoto draws the photo with the ways to another; a student who is not in the
// library has none.
func (r *Room) layoutPhoto(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), &r.state
	size := image.Pt(gtx.Sp(photoWidth), gtx.Sp(photoHeight))
	switch p := &s.photo; {
	case p.jpeg != nil:
		area := clip.UniformRRect(image.Rectangle{Max: size}, gtx.Dp(4)).Push(gtx.Ops)
		draw.Image(gtx.Ops, p.op, size)
		area.Pop()
	case p.busy:
		th.NoPicture(gtx, size, draw.NoIcon)
	default:
		r.pictures.Layout(gtx, th, p.path, "", size)
	}
	if s.was.Student == 0 {
		return layout.Dimensions{Size: size}
	}
	g := kit.Constrained(gtx, size.X)
	g.Constraints.Min = image.Point{}
	y := size.Y
	button := func(b *draw.Button, st draw.ButtonStyle) {
		y += gtx.Dp(6)
		off := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
		st.Compact, st.Fill = true, true
		y += th.Button(g, b, st).Size.Y
		off.Pop()
	}
	button(&s.choosePhoto, draw.ButtonStyle{Label: "Choose …", Name: "Choose a photo", Tip: "A picture's file, or a clip of the golfer", TipSide: draw.TipBelowStart})
	if d := r.host.Session(); d != nil && d.Films[d.Bench.Active] != nil {
		button(&s.framePhoto, draw.ButtonStyle{Label: "Frame shown", Name: "Take the frame that is shown as the photo", Tip: "The frame that is shown in the window", TipSide: draw.TipBelowStart})
	}
	if s.photo.path != "" || s.photo.jpeg != nil {
		button(&s.noPhoto, draw.ButtonStyle{Label: "No photo", Kind: draw.Quiet})
	}
	return layout.Dimensions{Size: image.Pt(size.X, y)}
}

// other draws a line about another student, and what can be done about it.
func (r *Room) other(b *draw.Button, before string, o library.Other, do, tip string) layout.Widget {
	th := r.host.Theme()
	text := before + words.Count(o.Lessons, "lesson", "lessons")
	if o.Last != "" {
		text += ", last " + words.Day(o.Last)
	}
	return func(gtx layout.Context) layout.Dimensions {
		m := op.Record(gtx.Ops)
		g := gtx
		g.Constraints.Min = image.Point{}
		d := th.Button(g, b, draw.ButtonStyle{Label: do, Name: fmt.Sprintf("%s: %s", do, text), Tip: tip, TipSide: draw.TipAboveEnd, Disabled: r.busy})
		call := m.Stop()
		x := gtx.Constraints.Max.X - d.Size.X
		off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
		call.Add(gtx.Ops)
		off.Pop()
		g.Constraints.Max.X = max(x-gtx.Dp(12), 1)
		m = op.Record(gtx.Ops)
		e := th.Paragraph(g, draw.Body, font.Normal, th.Text, text)
		call = m.Stop()
		h := max(d.Size.Y, e.Size.Y)
		off = op.Offset(image.Pt(0, (h-e.Size.Y)/2)).Push(gtx.Ops)
		call.Add(gtx.Ops)
		off.Pop()
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, h)}
	}
}

// thirds lays three parts out beside each other.
func thirds(gtx layout.Context, parts ...layout.Widget) layout.Dimensions {
	gap := gtx.Dp(12)
	w := (gtx.Constraints.Max.X - 2*gap) / 3
	size := image.Pt(gtx.Constraints.Max.X, 0)
	for i, p := range parts {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w, gtx.Constraints.Max.Y)}
		off := op.Offset(image.Pt(i*(w+gap), 0)).Push(gtx.Ops)
		size.Y = max(size.Y, p(g).Size.Y)
		off.Pop()
	}
	return layout.Dimensions{Size: size}
}
