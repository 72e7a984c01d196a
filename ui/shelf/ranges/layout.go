package ranges

import (
	"image"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// rangesRow is the height of a row.
const rangesRow unit.Sp = 40

// Layout draws the card.
func (room *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, c := room.host.Theme(), &room.cardState
	tall := max(gtx.Constraints.Max.Y-gtx.Sp(330), gtx.Sp(rangesRow)*3)
	return room.card.Layout(gtx, room.host.Theme(), "Target ranges", 860, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(12)}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			labels := []string{"your own"}
			if c.student != 0 {
				labels = append(labels, "for "+c.name)
			}
			return th.Segmented(gtx, &c.scope, "Whose ranges", c.of, labels...)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			text := "An empty row keeps the range beside it. One end may be empty. Verdicts that were given stay with the range of their day; every change is kept as a version."
			if c.of == 1 {
				text = "These count for " + c.name + " before your own. " + text
			}
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &c.search, draw.FieldStyle{Name: "Find a measure", Hint: "Find a measure or a position"})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(image.Pt(gtx.Constraints.Max.X, tall))
			return c.list.Layout(gtx, len(c.shown), func(gtx layout.Context, i int) layout.Dimensions {
				return room.layoutRow(gtx, &c.rows[c.shown[i]])
			})
		})
		if c.problem != "" {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Small, font.Normal, th.Danger, c.problem)
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
				return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
			}
			return kit.EndRow(gtx,
				button(&c.undo, draw.ButtonStyle{Label: "Version before", Kind: draw.Quiet, Disabled: c.versions[c.of] < 2}),
				button(&c.imported, draw.ButtonStyle{Label: "Import …"}), button(&c.export, draw.ButtonStyle{Label: "Export"}),
				button(&c.cancel, draw.ButtonStyle{Label: "Cancel"}), button(&c.done, draw.ButtonStyle{Label: "Done", Kind: draw.Primary}))
		})
		return col.Done()
	})
}

func (room *Room) layoutRow(gtx layout.Context, r *rangeRow) layout.Dimensions {
	th := room.host.Theme()
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(rangesRow))
	put := func(x, w int, part layout.Widget) {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(max(w, 1), size.Y)}
		m := op.Record(gtx.Ops)
		d := part(g)
		call := m.Stop()
		off := op.Offset(image.Pt(x, (size.Y-d.Size.Y)/2)).Push(gtx.Ops)
		call.Add(gtx.Ops)
		off.Pop()
	}
	field := gtx.Sp(86)
	gap := gtx.Dp(8)
	side := gtx.Sp(draw.Compact)
	right := size.X - side
	fields := right - 2*field - 2*gap
	base := gtx.Sp(200)
	put(0, fields-base-2*gap, func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, 10, func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Body, font.Normal, th.Text, r.label())
		}, func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Small, font.Normal, th.Dim, r.sign())
		})
	})
	text := "no range"
	if r.hasBase {
		text = words.Told(r.unit, false).Of(r.measure, r.position).Range(r.base.Range)
	}
	put(fields-base, base, func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Small, font.Normal, th.Dim, text)
	})
	unit := string(r.unit)
	if r.unit == geometry.Degrees {
		unit = "°"
	}
	for i, f := range []*draw.Field{&r.low, &r.high} {
		name := []string{"Lowest", "Highest"}[i] + " " + r.label()
		problem := ""
		if r.wrong {
			problem = " "
		}
		put(fields+i*(field+gap), field, func(gtx layout.Context) layout.Dimensions {
			d := th.Field(gtx, f, draw.FieldStyle{Name: name, Hint: []string{"from", "to"}[i], Suffix: unit, Error: problem})
			d.Size.Y = gtx.Sp(draw.Control)
			return d
		})
	}
	if r.low.Len()+r.high.Len() > 0 {
		put(right, side, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &r.back, draw.ButtonStyle{Icon: draw.IconUndo, Name: "Take your range for " + r.label() + " away", Kind: draw.Quiet, Compact: true, Tip: "Back to the range beside it"})
		})
	}
	return layout.Dimensions{Size: size}
}
