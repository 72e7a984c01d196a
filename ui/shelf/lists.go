package shelf

import (
	"fmt"
	"image"
	"strings"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

func (r *Room) layoutStudents(gtx layout.Context) layout.Dimensions {
	th, p := r.host.Theme(), &r.panel
	p.studentRows.Pictured = true
	return p.studentRows.Layout(gtx, th, len(p.students)+1, func(gtx layout.Context, i int) kit.ListRow {
		if i == 0 {
			title, under := "All students", words.Count(len(p.students), "student", "students")+", "+words.Count(p.total, "lesson", "lessons")
			switch {
			case !p.read:
				under = ""
			case p.shown != "" || p.tag != "":
				title, under = "All that match", words.Count(len(p.students), "student", "students")
			}
			return kit.ListRow{Label: title, On: p.student == 0, Title: title, Under: under}
		}
		s := &p.students[i-1]
		t := kit.ListRow{Label: "Student " + s.Name, On: p.student == s.Key, Title: s.Name, Under: words.Count(s.Lessons, "lesson", "lessons"), NoteInk: th.Outside, UnderInk: th.Dim}
		t.Picture = r.picture(s.LastPath, s.LastSHA256)
		if s.Photo != "" {
			t.Picture = r.picture(s.Photo, "")
		}
		if s.Last != "" {
			t.Under += ", last " + words.Day(s.Last)
		}
		if s.Shared && s.Contact != "" { // told apart from the other of the name
			t.Under = s.Contact + ", " + t.Under
		}
		if s.Due(r.today()) {
			t.Note = "prescription due"
		}
		if s.Compared {
			switch {
			case s.Closer == 0 && s.Farther == 0:
				t.NoteUnder = "no real change"
			case s.Farther == 0:
				t.NoteUnder, t.UnderInk = words.Count(s.Closer, "measure", "measures")+" closer to target", th.Within
			case s.Closer == 0:
				t.NoteUnder, t.UnderInk = words.Count(s.Farther, "measure", "measures")+" farther", th.Outside
			default:
				t.NoteUnder = fmt.Sprintf("%d closer, %d farther", s.Closer, s.Farther)
			}
		}
		return t
	})
}

func (r *Room) layoutLessons(gtx layout.Context) layout.Dimensions {
	th, p := r.host.Theme(), &r.panel
	if len(p.lessons) == 0 {
		size := gtx.Constraints.Max
		draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
		text := "No lesson matches. Every word typed must begin a word of the lesson."
		switch {
		case !p.read:
			text = "The library is being read …"
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
	p.lessonRows.Pictured = true
	return p.lessonRows.Layout(gtx, th, len(p.lessons), func(gtx layout.Context, i int) kit.ListRow {
		e := &p.lessons[i]
		title := e.Title
		if title == "" {
			title = "Lesson"
		}
		day := words.Day(e.Date)
		t := kit.ListRow{
			Label: "Lesson " + kit.Joined(e.Student, e.Date, e.Title), On: p.isChosen(e.Key), Title: kit.Joined(day, title), NoteInk: th.Dim, UnderInk: th.Dim, Note: "opened " + words.Ago(r.today(), e.Opened),
		}
		t.Picture = r.picture(e.Path, e.SHA256)
		if p.student == 0 && e.Student != "" {
			t.Title = kit.Joined(e.Student, day, title)
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
		t.Under = kit.Joined(more...)
		if len(e.Tags) > 0 {
			t.NoteUnder = strings.Join(e.Tags, ", ")
		}
		switch {
		case p.missing[e.Key] && !p.trash:
			t.NoteUnder, t.UnderInk = "document not there", th.Outside
		case p.trash:
			left := library.TrashDays - int(r.today().Sub(e.Deleted).Hours()/24)
			t.Note, t.NoteUnder = "deleted "+words.Ago(r.today(), e.Deleted), fmt.Sprintf("kept for %d more days", max(left, 0))
		}
		return t
	})
}

// picture draws the small picture of a lesson's document at the left of a row.
func (r *Room) picture(path, version string) func(gtx layout.Context, size image.Point) {
	return func(gtx layout.Context, size image.Point) {
		r.pictures.Layout(gtx, r.host.Theme(), path, version, size)
	}
}
