package shelf

import (
	"fmt"
	"image"
	"path/filepath"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// KeysHelp are the keys of the library while its search has the keyboard.
var KeysHelp = [][2]string{
	{"Up, Down", "The lesson before, or the next"},
	{"Ctrl+Up, Ctrl+Down", "The student before, or the next"},
	{"Shift+Up, Shift+Down", "Choose several lessons; with the pointer Ctrl+click and Shift+click do"},
	{"Enter", "Open the chosen lesson"},
	{"Ctrl+Delete", "Delete the chosen lessons; Ctrl+Z gets them back"},
}

// Layout draws the library over an open lesson.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	size := gtx.Constraints.Max
	w, h := min(size.X-gtx.Dp(48), gtx.Sp(1280)), size.Y-gtx.Dp(48)
	pad := gtx.Dp(18)
	card := image.Rect((size.X-w)/2, gtx.Dp(24), (size.X-w)/2+w, gtx.Dp(24)+h)
	return r.card.Over(gtx, r.host.Theme(), "Library", card, func(gtx layout.Context) layout.Dimensions {
		kit.At(gtx, card.Inset(pad), r.Panel)
		return layout.Dimensions{}
	})
}

// Panel draws the search, the students, their lessons and what can be
// done with the chosen one.
func (r *Room) Panel(gtx layout.Context) layout.Dimensions {
	p := &r.panel
	r.now = gtx.Now
	size := gtx.Constraints.Max
	gap := gtx.Dp(10)
	y := 0
	g := gtx
	g.Constraints = layout.Constraints{Max: size}
	put := func(w layout.Widget) {
		off := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
		d := w(g)
		off.Pop()
		y += d.Size.Y + gap
	}
	put(r.layoutTop)
	if len(p.allTags) > 0 {
		put(r.layoutTagChips)
	}
	foot := gtx.Sp(draw.Control)
	if p.deleted != nil || p.exporting != nil || p.exported != "" {
		kit.At(gtx, image.Rect(0, size.Y-foot, size.X, size.Y), r.layoutFoot)
		size.Y -= foot + gap
	}
	left := max(min(size.X*38/100, gtx.Sp(420)), gtx.Sp(220))
	kit.At(gtx, image.Rect(0, y, left, size.Y), r.layoutStudents)
	right := image.Rect(left+gtx.Dp(14), y, size.X, size.Y)
	detail := r.detailHeight(gtx, right.Dx())
	list := right
	list.Max.Y -= detail
	kit.At(gtx, list, r.layoutLessons)
	if detail > 0 {
		kit.At(gtx, image.Rect(right.Min.X, list.Max.Y+gap, right.Max.X, right.Max.Y), r.layoutChosen)
	}
	return layout.Dimensions{Size: gtx.Constraints.Max}
}

func (r *Room) layoutTop(gtx layout.Context) layout.Dimensions {
	th, p := r.host.Theme(), &r.panel
	m := op.Record(gtx.Ops)
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	parts := []layout.Widget{
		func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &p.orders, "Order of the students", int(p.order), "by name", "who is due", "who improved")
		},
		button(&p.importing, draw.ButtonStyle{Label: "Import …", Tip: "Lessons from a zip file or a document"}),
		button(&p.trashBtn, draw.ButtonStyle{Label: "Trash", Icon: draw.IconTrash, Toggle: true, On: p.trash, Kind: draw.Quiet, Tip: fmt.Sprintf("Deleted lessons; they stay for %d days", library.TrashDays)}),
	}
	if p.open {
		parts = append(parts, button(&p.close, draw.ButtonStyle{Icon: draw.IconClose, Name: "Close the library", Kind: draw.Quiet, Tip: "Back to the lesson", Keys: "Esc", TipSide: draw.TipBelowEnd}))
	}
	d := draw.Row(gtx, 8, parts...)
	row := m.Stop()
	w := gtx.Constraints.Max.X
	off := op.Offset(image.Pt(w-d.Size.X, 0)).Push(gtx.Ops)
	row.Add(gtx.Ops)
	off.Pop()
	g := kit.Constrained(gtx, w-d.Size.X-gtx.Dp(12))
	th.Field(g, &p.search, draw.FieldStyle{Name: "Search the library", Hint: "Search: student, title, tag, note, finding"})
	return layout.Dimensions{Size: image.Pt(w, d.Size.Y)}
}

func (r *Room) layoutTagChips(gtx layout.Context) layout.Dimensions {
	th, p := r.host.Theme(), &r.panel
	for len(p.tagChips) < len(p.allTags) {
		p.tagChips = append(p.tagChips, draw.Button{})
	}
	x, h := 0, gtx.Sp(draw.Compact)
	for i, t := range p.allTags {
		m := op.Record(gtx.Ops)
		d := th.Button(gtx, &p.tagChips[i], draw.ButtonStyle{Label: t.Name, Name: "Lessons tagged " + t.Name, Compact: true, Toggle: true, On: p.tag == t.Name,
			Tip: words.Count(t.Lessons, "lesson", "lessons")})
		c := m.Stop()
		if x+d.Size.X > gtx.Constraints.Max.X {
			break // the search finds the others
		}
		off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
		c.Add(gtx.Ops)
		off.Pop()
		x += d.Size.X + gtx.Dp(6)
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, h)}
}

// detailHeight is the height of what belongs to the chosen lesson.
func (r *Room) detailHeight(gtx layout.Context, width int) int {
	if r.chosen() == nil {
		return 0
	}
	m := op.Record(gtx.Ops)
	d := kit.Flow(kit.Constrained(gtx, width), 8, r.chosenButtons()...)
	m.Stop()
	return d.Size.Y + gtx.Sp(draw.Control) + gtx.Sp(18) + gtx.Dp(10)*3
}

// chosenButtons are what can be done with the chosen lesson.
func (r *Room) chosenButtons() []layout.Widget {
	th, p := r.host.Theme(), &r.panel
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	if p.trash {
		label := "Get it back"
		if n := len(p.several()); n > 1 {
			label = fmt.Sprintf("Get all %d back", n)
		}
		return []layout.Widget{button(&p.restore, draw.ButtonStyle{Label: label, Kind: draw.Primary, Icon: draw.IconUndo})}
	}
	if n := len(p.several()); n > 1 {
		return []layout.Widget{
			button(&p.exportOne, draw.ButtonStyle{Label: fmt.Sprintf("Export %d lessons", n), Kind: draw.Primary, Tip: "As one zip file, with their clips", TipSide: draw.TipAboveStart}),
			button(&p.remove, draw.ButtonStyle{Label: fmt.Sprintf("Delete %d lessons", n), Icon: draw.IconTrash, Kind: draw.Danger, Tip: "Delete the lessons; their clips stay", Keys: "Ctrl+Delete", TipSide: draw.TipAbove}),
		}
	}
	parts := []layout.Widget{
		button(&p.openIt, draw.ButtonStyle{Label: "Open the lesson", Kind: draw.Primary, Tip: "Open the chosen lesson", Keys: "Enter", TipSide: draw.TipAboveStart}),
	}
	if key, name := p.whose(); key != 0 {
		parts = append(parts,
			button(&p.cardOf, draw.ButtonStyle{Label: "Student card", Tip: "Name, height, handicap, injuries and photo of " + name, TipSide: draw.TipAbove}),
			button(&p.progress, draw.ButtonStyle{Label: "Progress", Tip: "Progress of " + name + " over all lessons", TipSide: draw.TipAbove}),
			button(&p.exportOne, draw.ButtonStyle{Label: "Export lesson", Tip: "As a zip file, with its clips", TipSide: draw.TipAbove}),
			button(&p.exportAll, draw.ButtonStyle{Label: "Export student", Tip: "All lessons of " + name + " as one zip file", TipSide: draw.TipAbove}),
			button(&p.rightsOf, draw.ButtonStyle{Label: "What is held …", Tip: "What is held on " + name + ": consent, a copy of everything, erase", TipSide: draw.TipAbove}))
	} else {
		parts = append(parts, button(&p.exportOne, draw.ButtonStyle{Label: "Export lesson", Tip: "As a zip file, with its clips", TipSide: draw.TipAbove}))
	}
	parts = append(parts, button(&p.remove, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Delete the lesson", Kind: draw.Danger, Tip: "Delete the lesson; its clips stay", Keys: "Ctrl+Delete", TipSide: draw.TipAboveEnd}))
	return parts
}

// layoutChosen draws where the chosen lesson is, its tags, and what can be done
// with it.
func (r *Room) layoutChosen(gtx layout.Context) layout.Dimensions {
	th, p := r.host.Theme(), &r.panel
	e := p.chosen()
	size := gtx.Constraints.Max
	g := kit.Constrained(gtx, size.X)
	g.Constraints.Min = image.Point{}
	d := kit.Flow(g, 8, r.chosenButtons()...)
	several := p.several()
	if p.trash {
		return layout.Dimensions{Size: size}
	}
	y := d.Size.Y + gtx.Dp(10)
	off := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
	if len(several) > 1 {
		th.Paragraph(g, draw.Small, font.Normal, th.Dim, fmt.Sprintf("%d lessons are chosen. Ctrl+click puts one to them or takes it out, Shift+click chooses all up to it, a click without a key chooses it alone.", len(several)))
		off.Pop()
		return layout.Dimensions{Size: size}
	}
	th.Field(g, &p.tags, draw.FieldStyle{Name: "Tags of the lesson", Hint: "Tags, with commas between: junior squad, driver", Suffix: "Enter keeps them"})
	off.Pop()
	y += gtx.Sp(draw.Control) + gtx.Dp(8)
	off = op.Offset(image.Pt(0, y)).Push(gtx.Ops)
	th.Label(g, draw.Small, font.Normal, th.Dim, e.Path)
	off.Pop()
	return layout.Dimensions{Size: size}
}

// layoutFoot says what was deleted, with the way back, or how far an
// export is.
func (r *Room) layoutFoot(gtx layout.Context) layout.Dimensions {
	th, p := r.host.Theme(), &r.panel
	g := kit.Constrained(gtx, gtx.Constraints.Max.X)
	g.Constraints.Min = image.Point{}
	if x := p.exporting; x != nil {
		part := float32(x.done.Load()) / float32(max(x.total.Load(), 1))
		return draw.Row(g, 12,
			func(gtx layout.Context) layout.Dimensions {
				return th.Label(gtx, draw.Body, font.Normal, th.Text, fmt.Sprintf("Exporting %s: %.0f %%", filepath.Base(x.to), 100*part))
			},
			func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &x.cancel, draw.ButtonStyle{Label: "Cancel"})
			})
	}
	if p.exported != "" {
		m := op.Record(gtx.Ops)
		seen := th.Button(g, &p.exportSeen, draw.ButtonStyle{Icon: draw.IconClose, Name: "Close this message", Kind: draw.Quiet})
		button := m.Stop()
		d := draw.Row(kit.Constrained(g, g.Constraints.Max.X-seen.Size.X-gtx.Dp(8)), 8,
			func(gtx layout.Context) layout.Dimensions {
				s := gtx.Sp(18)
				th.Icon(gtx.Ops, draw.IconCheck, image.Point{}, s, th.Accent)
				return layout.Dimensions{Size: image.Pt(s, s)}
			},
			func(gtx layout.Context) layout.Dimensions {
				return th.Label(gtx, draw.Body, font.Normal, th.Text, p.exported)
			})
		off := op.Offset(image.Pt(d.Size.X+gtx.Dp(8), 0)).Push(gtx.Ops)
		button.Add(gtx.Ops)
		off.Pop()
		return layout.Dimensions{Size: gtx.Constraints.Max}
	}
	what := words.Count(len(p.deleted), "lesson", "lessons") + ". Their clips stay where they are."
	if e := p.deleted[0]; len(p.deleted) == 1 {
		what = kit.Joined(e.Student, words.Day(e.Date), e.Title) + ". Its clips stay where they are."
	}
	return draw.Row(g, 12,
		func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Body, font.Normal, th.Text, "Deleted: "+what)
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.undo, draw.ButtonStyle{Label: "Undo", Name: "Get back what was deleted", Icon: draw.IconUndo, Keys: "Ctrl+Z", Tip: "Get back what was deleted", TipSide: draw.TipAbove})
		})
}
