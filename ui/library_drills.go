package ui

import (
	"context"
	"image"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// drillCard is the coach's shelf of drills, to prescribe from and to fill.
type drillCard struct {
	open    bool
	from    draw.Button // in the findings, opens it
	list    []library.Drill
	rows    []drillRow
	name    draw.Field
	text    draw.Field
	editing int64 // key of the drill in the fields; 0 for a new one
	problem string
	keep    draw.Button
	clear   draw.Button
	undo    draw.Button
	dropped *library.Drill
	done    draw.Button
	focus   bool
}

type drillRow struct{ use, edit, drop draw.Button }

func (a *App) openDrills() {
	c := &a.drills
	*c = drillCard{open: true, focus: true}
	// What is prescribed and not on the shelf yet is likely to go there.
	if t := a.desk.Bench.Lesson().Prescription.Drill; t != "" {
		c.name.SetText(t)
	}
	a.askDrills()
}

// measureInHand is the measure of the first finding, whose drills come first.
func (a *App) measureInHand() string {
	for _, f := range a.desk.Bench.Swing().Findings {
		if f.Measure != "" {
			return f.Measure
		}
	}
	return ""
}

func (a *App) askDrills() {
	measure := a.measureInHand()
	ask(a, "the drills can't be listed", func(ctx context.Context, l *library.Library) ([]library.Drill, error) {
		return l.Drills(ctx, measure)
	}, func(list []library.Drill, err error) {
		c := &a.drills
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		c.list = list
		for len(c.rows) < len(list) {
			c.rows = append(c.rows, drillRow{})
		}
		for _, d := range list { // it is there already
			if c.editing == 0 && d.Prescribed() == c.name.Text() {
				c.name.SetText("")
			}
		}
	})
}

// change does something to the shelf and reads it anew.
func (a *App) changeDrills(do func(ctx context.Context, l *library.Library) error) {
	ask(a, "the shelf can't be changed", func(ctx context.Context, l *library.Library) (bool, error) {
		return true, do(ctx, l)
	}, func(_ bool, err error) {
		if err != nil {
			a.drills.problem = err.Error()
		}
		a.askDrills()
	})
}

func (a *App) updateDrills(gtx layout.Context) {
	c := &a.drills
	if c.focus {
		c.focus = false
		gtx.Execute(key.FocusCmd{Tag: &c.name.Editor})
	}
	if c.name.Edited(gtx) {
		c.problem = ""
	}
	for i := range c.list[:min(len(c.list), len(c.rows))] {
		d, row := c.list[i], &c.rows[i]
		switch {
		case row.use.Clicked(gtx):
			p := a.desk.Bench.Lesson().Prescription
			p.Drill = d.Prescribed()
			if kit.Edit(a, annotations.SetPrescription{Prescription: p}) {
				a.changeDrills(func(ctx context.Context, l *library.Library) error { return l.UseDrill(ctx, d.Key) })
				a.syncFindings()
			}
			c.open = false
		case row.edit.Clicked(gtx):
			c.editing = d.Key
			c.name.SetText(d.Name)
			c.text.SetText(d.Text)
			gtx.Execute(key.FocusCmd{Tag: &c.name.Editor})
		case row.drop.Clicked(gtx):
			c.dropped = &d
			a.changeDrills(func(ctx context.Context, l *library.Library) error { return l.DropDrill(ctx, d.Key) })
		}
	}
	if c.keep.Clicked(gtx) {
		d := library.Drill{Key: c.editing, Name: c.name.Text(), Text: c.text.Text()}
		for _, old := range c.list {
			if old.Key == d.Key {
				d.Measure = old.Measure
			}
		}
		if d.Key == 0 {
			d.Measure = a.measureInHand()
		}
		c.problem = ""
		ask(a, "the drill can't be kept", func(ctx context.Context, l *library.Library) (int64, error) {
			return l.KeepDrill(ctx, d)
		}, func(_ int64, err error) {
			if err != nil {
				c.problem = err.Error()
				return
			}
			c.editing = 0
			c.name.SetText("")
			c.text.SetText("")
			a.askDrills()
		})
	}
	if c.clear.Clicked(gtx) {
		c.editing = 0
		c.name.SetText("")
		c.text.SetText("")
	}
	if c.undo.Clicked(gtx) && c.dropped != nil {
		d := *c.dropped
		c.dropped = nil
		a.changeDrills(func(ctx context.Context, l *library.Library) error { _, err := l.KeepDrill(ctx, d); return err })
	}
	if c.done.Clicked(gtx) {
		c.open = false
	}
}

func (a *App) layoutDrills(gtx layout.Context) {
	th, c := a.theme, &a.drills
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	a.card.Layout(gtx, a.theme, "Drill shelf", 640, func(gtx layout.Context) layout.Dimensions {
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
