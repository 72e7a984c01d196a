package shots

import (
	"fmt"
	"image"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/annotations/shots"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// layoutColumns asks what the columns of a table are.
func (s *Room) layoutColumns(gtx layout.Context) layout.Dimensions {
	th, c := s.host.Theme(), &s.columns
	if c.asked >= 0 {
		return s.card.Layout(gtx, s.host.Theme(), "What is “"+c.file.Header[c.asked]+"”?", 520, s.layoutReadings)
	}
	return s.card.Layout(gtx, s.host.Theme(), "What the columns are", 860, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(8)}
		intro := fmt.Sprintf("%s has %s. Say what each column is; the program remembers it for tables of this shape.", c.name, words.Count(len(c.file.Rows), "row", "rows"))
		if c.known {
			intro = fmt.Sprintf("%s has %s and the shape of a table read before: look whether the columns are still right.", c.name, words.Count(len(c.file.Rows), "row", "rows"))
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, intro)
		})
		for i := range c.columns {
			col.Add(func(gtx layout.Context) layout.Dimensions { return s.layoutColumnRow(gtx, i) })
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &c.cancel, draw.ButtonStyle{Label: "Cancel"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &c.take, draw.ButtonStyle{Label: "Add to “" + s.shotBlock() + "”", Kind: draw.Primary})
				})
		})
		return col.Done()
	})
}

func (s *Room) layoutColumnRow(gtx layout.Context, i int) layout.Dimensions {
	th, c := s.host.Theme(), &s.columns
	col, row := c.columns[i], &c.rows[i]
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(draw.Control))
	sample := ""
	for _, r := range c.file.Rows {
		if i < len(r) && r[i] != "" {
			sample = r[i]
			break
		}
	}
	cell := func(x, w int, body layout.Widget) {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w, size.Y)}
		off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
		body(g)
		off.Pop()
	}
	text := func(x, w int, sp unit.Sp, dim bool, s string) {
		ink := th.Text
		if dim {
			ink = th.Dim
		}
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w, size.Y)}
		off := op.Offset(image.Pt(x, (size.Y-gtx.Sp(sp)*5/4)/2)).Push(gtx.Ops)
		th.Label(g, sp, font.Normal, ink, s)
		off.Pop()
	}
	w := size.X
	text(0, w*24/100, draw.Body, false, c.file.Header[i])
	text(w*25/100, w*10/100, draw.Small, true, sample)
	use := "not used"
	switch {
	case col.Club:
		use = "club"
	case col.Reading != "":
		use = string(col.Reading)
	}
	cell(w*36/100, w*17/100, func(gtx layout.Context) layout.Dimensions {
		defer op.Offset(image.Pt(0, (size.Y-gtx.Sp(draw.Compact))/2)).Push(gtx.Ops).Pop()
		kind := draw.Plain
		if use == "not used" {
			kind = draw.Quiet
		}
		return th.Button(gtx, &row.use, draw.ButtonStyle{Label: use, Name: c.file.Header[i] + ": " + use, Kind: kind, Compact: true})
	})
	if units := shots.UnitsFor(col.Reading); len(units) > 1 {
		on := 0
		for k, u := range units {
			if u == col.Unit {
				on = k
			}
		}
		cell(w*53/100, w*16/100, func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &row.unit, "Unit of "+c.file.Header[i], on, units...)
		})
	}
	if shots.Sided(col.Reading) {
		cell(w*69/100, w*31/100, func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &row.sign, "Which way "+c.file.Header[i]+" counts", int(col.Sign), signWords...)
		})
	}
	return layout.Dimensions{Size: size}
}

// layoutReadings lists what a column may be.
func (s *Room) layoutReadings(gtx layout.Context) layout.Dimensions {
	c := &s.columns
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(2)}
	for i := range c.choices {
		label, more := "not used", ""
		switch {
		case i == 1:
			label, more = "club", "the club's name"
		case i >= 2:
			info := shots.Readings[i-2]
			label = string(info.Name)
			more = info.Unit
			if info.Positive != "" {
				more += ", positive " + info.Positive
			}
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.RowButton(gtx, s.host.Theme(), &c.choices[i], label, label, more, "")
		})
	}
	return col.Done()
}
