package drills

import (
	"image"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, c := r.host.Theme(), &r.cardState
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	return r.card.Layout(gtx, r.host.Theme(), "Drill shelf", 640, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(12)}
		if len(c.list) == 0 {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, "The shelf is empty. Put your own drills here once, and prescribe them with one click.")
			})
		}
		for i := range c.list[:min(len(c.list), len(c.rows))] {
			d, row := &c.list[i], &c.rows[i]
			col.Add(func(gtx layout.Context) layout.Dimensions {
				m := op.Record(gtx.Ops)
				buttons := draw.Row(gtx, 4,
					button(&row.use, draw.ButtonStyle{Label: "Prescribe", Name: "Prescribe " + d.Name, Compact: true}),
					button(&row.edit, draw.ButtonStyle{Label: "Edit", Name: "Edit " + d.Name, Kind: draw.Quiet, Compact: true}),
					button(&row.drop, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Take " + d.Name + " off the shelf", Kind: draw.Quiet, Compact: true, Tip: "Take it off the shelf"}))
				call := m.Stop()
				w := gtx.Constraints.Max.X
				g := kit.Constrained(gtx, w-buttons.Size.X-gtx.Dp(12))
				title := d.Name
				y := th.Paragraph(g, draw.Body, font.Medium, th.Text, title).Size.Y
				under := d.Text
				if d.Used > 0 {
					under = kit.Joined(under, "prescribed "+words.Count(d.Used, "time", "times"))
				}
				if d.Measure != "" {
					under = kit.Joined(under, "for "+d.Measure)
				}
				if under != "" {
					off := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
					y += th.Paragraph(g, draw.Small, font.Normal, th.Dim, under).Size.Y
					off.Pop()
				}
				h := max(y, buttons.Size.Y)
				off := op.Offset(image.Pt(w-buttons.Size.X, (h-buttons.Size.Y)/2)).Push(gtx.Ops)
				call.Add(gtx.Ops)
				off.Pop()
				return layout.Dimensions{Size: image.Pt(w, h)}
			})
		}
		if d := c.dropped; d != nil {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return draw.Row(gtx, 8,
					func(gtx layout.Context) layout.Dimensions {
						return th.Label(gtx, draw.Small, font.Normal, th.Dim, d.Name+" was taken off the shelf.")
					},
					button(&c.undo, draw.ButtonStyle{Label: "Undo", Name: "Put the drill back", Icon: draw.IconUndo, Compact: true}))
			})
		}
		head := "A new drill"
		if c.editing != 0 {
			head = "Change the drill"
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &c.name, draw.FieldStyle{Label: head, Hint: "Name", Error: c.problem})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, &c.text, draw.FieldStyle{Label: "What the student does", Name: "What the student does"})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			parts := []layout.Widget{}
			if c.editing != 0 {
				parts = append(parts, button(&c.clear, draw.ButtonStyle{Label: "Leave it as it was"}))
			}
			parts = append(parts, button(&c.keep, draw.ButtonStyle{Label: "Put it on the shelf"}), button(&c.done, draw.ButtonStyle{Label: "Done", Kind: draw.Primary}))
			return kit.EndRow(gtx, parts...)
		})
		return col.Done()
	})
}
