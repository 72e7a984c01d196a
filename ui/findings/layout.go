package findings

import (
	"image"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Layout draws the panel: what is proposed, what the student is told,
// and the prescription.
func (p *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := p.host.Theme()
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	pad := gtx.Dp(draw.Pad)
	var parts []layout.Widget
	add := func(gap unit.Dp, w layout.Widget) {
		parts = append(parts, func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Top: gap, Left: draw.Pad, Right: draw.Pad}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min = image.Point{}
				return w(gtx)
			})
		})
	}
	label := func(gap unit.Dp, size unit.Sp, w font.Weight, text string) {
		add(gap, func(gtx layout.Context) layout.Dimensions { return th.Label(gtx, size, w, th.Text, text) })
	}
	quiet := func(gap unit.Dp, text string) {
		add(gap, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
		})
	}
	add(10, func(gtx layout.Context) layout.Dimensions {
		d := th.Label(gtx, draw.Title, font.SemiBold, th.Text, "Findings")
		h := gtx.Sp(draw.Compact)
		off := op.Offset(image.Pt(gtx.Constraints.Max.X-h, (d.Size.Y-h)/2)).Push(gtx.Ops)
		th.Button(gtx, &p.close, draw.ButtonStyle{Icon: draw.IconClose, Kind: draw.Quiet, Compact: true, Name: "Back to the sheet", Tip: "Back to the sheet", Keys: p.host.Shortcut("findings"), TipSide: draw.TipBelow})
		off.Pop()
		if p.handout.busy { // its progress is shown below
			return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, d.Size.Y)}
		}
		m := op.Record(gtx.Ops)
		b := th.Button(gtx, &p.handout.now, draw.ButtonStyle{Label: "Write it", Name: "Write what is taken home", Compact: true,
			Tip: "Writes what is chosen under To take home", Keys: p.host.Shortcut("write handout"), TipSide: draw.TipBelow})
		write := m.Stop()
		off = op.Offset(image.Pt(gtx.Constraints.Max.X-h-gtx.Dp(draw.Gap)-b.Size.X, (d.Size.Y-h)/2)).Push(gtx.Ops)
		write.Add(gtx.Ops)
		off.Pop()
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, d.Size.Y)}
	})
	p.addCheck(add, label, quiet)
	p.addProposals(add, quiet)
	p.addQuestion(add, label)
	p.addTaken(add, label, quiet)
	p.addPrescription(add, label)
	p.addHandout(add, label, quiet)
	if text := p.host.Session().Bench.Lesson().Student.Injuries; text != "" {
		add(14, func(gtx layout.Context) layout.Dimensions {
			return p.host.Theme().Paragraph(gtx, draw.Body, font.Medium, p.host.Theme().Text, "To be minded: "+text)
		})
		quiet(4, kit.Caution)
	} else {
		quiet(14, kit.Caution)
	}
	add(12, func(gtx layout.Context) layout.Dimensions { return layout.Dimensions{Size: image.Pt(0, pad)} })
	gtx.Constraints = layout.Exact(size)
	return p.list.Layout(gtx, len(parts), func(gtx layout.Context, i int) layout.Dimensions { return parts[i](gtx) })
}

func (p *Room) addTaken(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string), quiet func(unit.Dp, string)) {
	th := p.host.Theme()
	sw := p.host.Session().Bench.Swing()
	label(18, draw.Body, font.Bold, "What the student is told")
	if len(sw.Findings) == 0 && p.draft == nil {
		quiet(4, "Nothing yet.")
	}
	for i := range sw.Findings {
		f := &sw.Findings[i]
		row := p.taken[f.ID]
		if row == nil {
			continue
		}
		add(8, func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, &row.field, draw.FieldStyle{Name: "Finding: " + f.Text})
		})
		p.addSubject(&row.subject, f, p.rowEnd(row, f), add, quiet)
	}
	if p.draft != nil {
		add(8, func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, &p.draft.field, draw.FieldStyle{Name: "Finding in your own words", Hint: "In your own words"})
		})
		p.addSubject(&p.draft.subject, &p.draft.finding, p.rowEnd(p.draft, &p.draft.finding), add, quiet)
		return
	}
	add(8, func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &p.own, draw.ButtonStyle{Label: "Write one of your own", Icon: draw.IconPlus, Compact: true})
	})
}

// rowEnd is the end of a finding's buttons: showing its measure on the sheet, and taking
// it out.
func (p *Room) rowEnd(row *findingRow, f *annotations.Finding) layout.Widget {
	th := p.host.Theme()
	return func(gtx layout.Context) layout.Dimensions {
		var parts []layout.Widget
		if f.Measure != "" {
			where := named(f.Measure, f.Position)
			parts = append(parts, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &row.show, draw.ButtonStyle{Label: "Show", Name: "Show " + where, Tip: "Its row on the sheet", Kind: draw.Quiet, Compact: true})
			})
		}
		if row != p.draft {
			parts = append(parts, p.talkButton(row, f))
		}
		parts = append(parts, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &row.drop, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Take the finding out", Tip: "Take the finding out", Kind: draw.Quiet, Compact: true})
		})
		return draw.Row(gtx, draw.Gap, parts...)
	}
}

func (p *Room) addPrescription(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string)) {
	th := p.host.Theme()
	label(18, draw.Body, font.Bold, "Prescription")
	s := p.suggested()
	field := func(f *draw.Field, name, hint string, suggestions []string) {
		add(8, func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, f, draw.FieldStyle{Label: name, Hint: hint})
		})
		if f.Len() > 0 {
			return
		}
		for _, text := range suggestions {
			b := p.use[text]
			if b == nil {
				b = new(draw.Button)
				p.use[text] = b
			}
			add(4, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, b, draw.ButtonStyle{Label: text, Icon: draw.IconPlus, Name: "Use: " + text, Kind: draw.Quiet, Compact: true})
			})
		}
	}
	offered := false
	names := [setUpFields]string{"Set-up change", "Second set-up change"}
	for i := range p.setUp {
		var free []string
		if p.setUp[i].Len() == 0 && !offered {
			offered = true
			for _, t := range s.setUp {
				if t != p.setUp[0].Text() {
					free = append(free, t)
				}
			}
		}
		field(&p.setUp[i], names[i], "", free)
	}
	field(&p.feel, "One feel", "", s.feel)
	field(&p.drill, "Drill", "", s.drill)
	if p.host.Can("drills") {
		add(4, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.drills, draw.ButtonStyle{Label: "Drill shelf …", Icon: draw.IconOpen, Kind: draw.Quiet, Compact: true})
		})
	}
	field(&p.filmNext, "To film before the next lesson", "", nil)
}
