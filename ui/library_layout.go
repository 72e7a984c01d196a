package ui

import (
	"fmt"
	"image"
	"image/color"
	"path/filepath"
	"strings"
	"time"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/gesture"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

const libraryRow unit.Sp = 46

// LibraryKeys are the keys of the library while its search has the keyboard.
var libraryKeysHelp = [][2]string{
	{"Up, Down", "The lesson before, or the next"},
	{"Ctrl+Up, Ctrl+Down", "The student before, or the next"},
	{"Enter", "Open the chosen lesson"},
	{"Ctrl+Delete", "Delete the chosen lesson; Ctrl+Z gets it back"},
}

// today is the day, for what is due.
func (a *App) today() time.Time {
	if a.now.IsZero() {
		return time.Now()
	}
	return a.now
}

// layoutLibraryCard draws the library over an open lesson.
func (a *App) layoutLibraryCard(gtx layout.Context) {
	size := gtx.Constraints.Max
	w, h := min(size.X-gtx.Dp(48), gtx.Sp(1280)), size.Y-gtx.Dp(48)
	pad := gtx.Dp(18)
	card := image.Rect((size.X-w)/2, gtx.Dp(24), (size.X-w)/2+w, gtx.Dp(24)+h)
	a.card.Over(gtx, a.theme, "Library", card, func(gtx layout.Context) layout.Dimensions {
		kit.At(gtx, card.Inset(pad), a.layoutLibrary)
		return layout.Dimensions{}
	})
}

// layoutLibrary draws the search, the students, their lessons and what can be
// done with the chosen one.
func (a *App) layoutLibrary(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.library
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
	put(a.layoutLibraryTop)
	if len(p.allTags) > 0 {
		put(a.layoutTagChips)
	}
	foot := gtx.Sp(draw.Control)
	if p.deleted != nil || p.exporting != nil || p.exported != "" {
		kit.At(gtx, image.Rect(0, size.Y-foot, size.X, size.Y), a.layoutLibraryFoot)
		size.Y -= foot + gap
	}
	left := max(min(size.X*38/100, gtx.Sp(420)), gtx.Sp(220))
	kit.At(gtx, image.Rect(0, y, left, size.Y), a.layoutStudents)
	right := image.Rect(left+gtx.Dp(14), y, size.X, size.Y)
	detail := a.detailHeight(gtx)
	list := right
	list.Max.Y -= detail
	kit.At(gtx, list, a.layoutLessons)
	if detail > 0 {
		kit.At(gtx, image.Rect(right.Min.X, list.Max.Y+gap, right.Max.X, right.Max.Y), a.layoutChosen)
	}
	_ = th
	return layout.Dimensions{Size: gtx.Constraints.Max}
}

func (a *App) layoutLibraryTop(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.library
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

func (a *App) layoutTagChips(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.library
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

// rows lays out a list of equal rows in the whole of gtx.
func (a *App) rows(gtx layout.Context, r *rowList, n int, row func(gtx layout.Context, i int, size image.Point)) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), a.theme.Well)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	h := gtx.Sp(libraryRow)
	r.resize(n)
	r.visible = size.Y / h
	if i := r.reveal; i >= 0 && r.list.Position.Count > 0 {
		switch first := r.list.Position.First; {
		case i < first || i == first && r.list.Position.Offset > 0:
			r.list.ScrollTo(i)
		case (i+1)*h > first*h+r.list.Position.Offset+size.Y:
			r.list.Position.First, r.list.Position.Offset = 0, (i+1)*h-size.Y
		}
		r.reveal = -1
	}
	gtx.Constraints = layout.Exact(size)
	d := r.list.Layout(gtx, n, func(gtx layout.Context, i int) layout.Dimensions {
		s := image.Pt(size.X, h)
		row(gtx, i, s)
		return layout.Dimensions{Size: s}
	})
	if whole := n * h; whole > size.Y {
		w := gtx.Dp(4)
		from := (r.list.Position.First*h + r.list.Position.Offset) * size.Y / whole
		draw.RoundRect(gtx.Ops, image.Rect(size.X-w-gtx.Dp(2), from, size.X-gtx.Dp(2), from+size.Y*size.Y/whole), w/2, a.theme.Edge)
	}
	return d
}

// rowText is what stands in a row: a title and a line under it, a note at the
// right and one under that.
type rowText struct {
	title, under, note, noteUnder string
	noteInk, underInk             color.NRGBA // of the notes
}

func (a *App) row(gtx layout.Context, c *gesture.Click, size image.Point, label string, on bool, t rowText) {
	th := a.theme
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	c.Add(gtx.Ops)
	semantic.Button.Add(gtx.Ops)
	semantic.LabelOp(label).Add(gtx.Ops)
	semantic.SelectedOp(on).Add(gtx.Ops)
	pointer.CursorPointer.Add(gtx.Ops)
	in := image.Rectangle{Max: size}.Inset(gtx.Dp(2))
	switch {
	case on:
		draw.RoundRect(gtx.Ops, in, gtx.Dp(draw.Radius), th.AccentLow)
		draw.Fill(gtx.Ops, image.Rect(in.Min.X, in.Min.Y+gtx.Dp(6), in.Min.X+gtx.Dp(3), in.Max.Y-gtx.Dp(6)), th.Accent)
	case c.Hovered():
		draw.RoundRect(gtx.Ops, in, gtx.Dp(draw.Radius), th.Hover)
	}
	pad := gtx.Dp(draw.Pad)
	right := size.X - pad
	width := 0
	if t.note != "" {
		r := th.TextAt(gtx, f32.Pt(float32(right), float32(size.Y)*0.32), 1, 0.5, draw.Small, font.Medium, t.noteInk, t.note)
		width = r.Dx()
	}
	if t.noteUnder != "" {
		r := th.TextAt(gtx, f32.Pt(float32(right), float32(size.Y)*0.7), 1, 0.5, draw.Small, font.Normal, t.underInk, t.noteUnder)
		width = max(width, r.Dx())
	}
	room := kit.Constrained(gtx, right-pad-width-pad)
	line := func(y float32, size unit.Sp, w font.Weight, ink color.NRGBA, text string) {
		d, _ := th.TextSize(gtx, size, w, text)
		off := op.Offset(image.Pt(pad, int(y)-d.Y/2)).Push(gtx.Ops)
		th.Label(room, size, w, ink, text)
		off.Pop()
	}
	if t.under == "" {
		line(float32(size.Y)*0.5, draw.Body, font.Medium, th.Text, t.title)
	} else {
		line(float32(size.Y)*0.32, draw.Body, font.Medium, th.Text, t.title)
		line(float32(size.Y)*0.7, draw.Small, font.Normal, th.Dim, t.under)
	}
	area.Pop()
}

func (a *App) layoutStudents(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.library
	return a.rows(gtx, &p.studentRows, len(p.students)+1, func(gtx layout.Context, i int, size image.Point) {
		c := &p.studentRows.clicks[i]
		if i == 0 {
			title, under := "All students", words.Count(len(p.students), "student", "students")+", "+words.Count(p.total, "lesson", "lessons")
			if p.shown != "" || p.tag != "" {
				title, under = "All that match", words.Count(len(p.students), "student", "students")
			}
			a.row(gtx, c, size, title, p.student == 0, rowText{title: title, under: under})
			return
		}
		s := &p.students[i-1]
		t := rowText{title: s.Name, under: words.Count(s.Lessons, "lesson", "lessons"), noteInk: th.Outside, underInk: th.Dim}
		if s.Last != "" {
			t.under += ", last " + dayWords(s.Last)
		}
		if s.Due(a.today()) {
			t.note = "prescription due"
		}
		if s.Compared {
			switch {
			case s.Closer == 0 && s.Farther == 0:
				t.noteUnder = "no real change"
			case s.Farther == 0:
				t.noteUnder, t.underInk = fmt.Sprintf("%d closer", s.Closer), th.Within
			case s.Closer == 0:
				t.noteUnder, t.underInk = fmt.Sprintf("%d farther", s.Farther), th.Outside
			default:
				t.noteUnder = fmt.Sprintf("%d closer, %d farther", s.Closer, s.Farther)
			}
		}
		a.row(gtx, c, size, "Student "+s.Name, p.student == s.Key, t)
	})
}

// dayWords writes a date as it is read: "2 May 2026".
func dayWords(date string) string {
	if t, err := time.Parse(time.DateOnly, date); err == nil {
		return t.Format("2 January 2006")
	}
	return date
}

func (a *App) layoutLessons(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.library
	if len(p.lessons) == 0 {
		size := gtx.Constraints.Max
		draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
		text := "No lesson matches. Every word typed must begin a word of the lesson."
		switch {
		case p.trash:
			text = "The trash is empty."
		case p.shown == "" && p.tag == "":
			text = "No lesson is here yet. Lessons come in by themselves when they are opened."
		}
		pad := gtx.Dp(18)
		off := op.Offset(image.Pt(pad, pad)).Push(gtx.Ops)
		th.Paragraph(kit.Constrained(gtx, size.X-2*pad), draw.Body, font.Normal, th.Dim, text)
		off.Pop()
		return layout.Dimensions{Size: size}
	}
	return a.rows(gtx, &p.lessonRows, len(p.lessons), func(gtx layout.Context, i int, size image.Point) {
		e := &p.lessons[i]
		title := e.Title
		if title == "" {
			title = "Lesson"
		}
		day := dayWords(e.Date)
		t := rowText{title: kit.Joined(day, title), noteInk: th.Dim, underInk: th.Dim, note: "opened " + ago(a.today(), e.Opened)}
		if p.student == 0 && e.Student != "" {
			t.title = kit.Joined(e.Student, day, title)
		}
		marks := "no marks yet"
		if e.Marks > 0 {
			marks = words.Count(e.Marks, "mark", "marks")
		}
		more := []string{e.Clubs, marks}
		if e.Shots > 0 {
			more = append(more, words.Count(e.Shots, "shot", "shots"))
		}
		if e.Prescribed {
			more = append(more, "prescription")
		}
		t.under = kit.Joined(more...)
		if len(e.Tags) > 0 {
			t.noteUnder = strings.Join(e.Tags, ", ")
		}
		switch {
		case p.missing[e.Key] && !p.trash:
			t.noteUnder, t.underInk = "document not there", th.Outside
		case p.trash:
			left := library.TrashDays - int(a.today().Sub(e.Deleted).Hours()/24)
			t.note, t.noteUnder = "deleted "+ago(a.today(), e.Deleted), fmt.Sprintf("kept for %d more days", max(left, 0))
		}
		a.row(gtx, &p.lessonRows.clicks[i], size, "Lesson "+kit.Joined(e.Student, e.Date, e.Title), p.lesson == e.Key, t)
	})
}

// detailHeight is the height of what belongs to the chosen lesson.
func (a *App) detailHeight(gtx layout.Context) int {
	if a.library.chosen() == nil {
		return 0
	}
	return gtx.Sp(draw.Control)*2 + gtx.Sp(18) + gtx.Dp(10)*3
}

// layoutChosen draws where the chosen lesson is, its tags, and what can be done
// with it.
func (a *App) layoutChosen(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.library
	e := p.chosen()
	size := gtx.Constraints.Max
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	g := kit.Constrained(gtx, size.X)
	g.Constraints.Min = image.Point{}
	if p.trash {
		draw.Row(g, 8, button(&p.restore, draw.ButtonStyle{Label: "Get it back", Kind: draw.Primary, Icon: draw.IconUndo}))
		return layout.Dimensions{Size: size}
	}
	parts := []layout.Widget{
		button(&p.openIt, draw.ButtonStyle{Label: "Open the lesson", Kind: draw.Primary, Tip: "Open the chosen lesson", Keys: "Enter", TipSide: draw.TipAboveStart}),
	}
	if key, name := p.whose(); key != 0 {
		parts = append(parts,
			button(&p.progress, draw.ButtonStyle{Label: "Progress", Tip: "Progress of " + name + " over all lessons", TipSide: draw.TipAbove}),
			button(&p.exportOne, draw.ButtonStyle{Label: "Export lesson", Tip: "As a zip file, with its clips", TipSide: draw.TipAbove}),
			button(&p.exportAll, draw.ButtonStyle{Label: "Export student", Tip: "All lessons of " + name + " as one zip file", TipSide: draw.TipAbove}))
	} else {
		parts = append(parts, button(&p.exportOne, draw.ButtonStyle{Label: "Export lesson", Tip: "As a zip file, with its clips", TipSide: draw.TipAbove}))
	}
	parts = append(parts, button(&p.remove, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Delete the lesson", Kind: draw.Danger, Tip: "Delete the lesson; its clips stay", Keys: "Ctrl+Delete", TipSide: draw.TipAboveEnd}))
	d := draw.Row(g, 8, parts...)
	y := d.Size.Y + gtx.Dp(10)
	off := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
	th.Field(g, &p.tags, draw.FieldStyle{Name: "Tags of the lesson", Hint: "Tags, with commas between: junior squad, driver", Suffix: "Enter keeps them"})
	off.Pop()
	y += gtx.Sp(draw.Control) + gtx.Dp(8)
	off = op.Offset(image.Pt(0, y)).Push(gtx.Ops)
	th.Label(g, draw.Small, font.Normal, th.Dim, e.Path)
	off.Pop()
	return layout.Dimensions{Size: size}
}

// layoutLibraryFoot says what was deleted, with the way back, or how far an
// export is.
func (a *App) layoutLibraryFoot(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.library
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
	e := p.deleted
	return draw.Row(g, 12,
		func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Body, font.Normal, th.Text, "Deleted: "+kit.Joined(e.Student, dayWords(e.Date), e.Title)+". Its clips stay where they are.")
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.undo, draw.ButtonStyle{Label: "Undo", Name: "Get the lesson back", Icon: draw.IconUndo, Keys: "Ctrl+Z", Tip: "Get the lesson back", TipSide: draw.TipAbove})
		})
}
