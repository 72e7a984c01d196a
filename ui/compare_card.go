package ui

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// compareCard is the card on which the coach chooses the swing to compare with.
type compareCard struct {
	open    bool
	choices []compareChoice
	rows    []draw.Button
	file    draw.Button
	none    draw.Button
	cancel  draw.Button
}

// compareChoice is a swing that can be compared with. lesson is nil where its
// document is still to be read.
type compareChoice struct {
	title, more string
	path        string
	lesson      *annotations.Lesson
	swing       string
}

const maxCompareChoices = 8

func (a *App) chooseOther() {
	d := a.desk
	l := d.Bench.Lesson()
	c := &a.compare
	*c = compareCard{open: true}
	for i := range l.Swings {
		if sw := &l.Swings[i]; sw.ID != d.Bench.Swing().ID && len(sw.Marks) > 0 {
			c.choices = append(c.choices, compareChoice{title: sw.Label, more: "in this lesson", path: d.Path, lesson: l, swing: sw.ID})
		}
	}
	recents := a.dirs.Recents()
	for _, same := range []bool{true, false} {
		for _, r := range recents {
			if r.Path == d.Path || (r.Student == l.Student.Name) != same || len(c.choices) == maxCompareChoices {
				continue
			}
			c.choices = append(c.choices, compareChoice{title: r.Student, more: kit.Joined(r.Title, r.Date), path: r.Path})
		}
	}
	a.addNeighbours(c)
	c.rows = make([]draw.Button, len(c.choices))
	a.addFromLibrary(d)
}

// addFromLibrary offers, once they are read, the student's other marked lessons
// that the library knows.
func (a *App) addFromLibrary(d *session.Session) {
	name := d.Bench.Lesson().Student.Name
	if name == "" {
		return
	}
	worker.Ask(a.shelf, "the student's lessons can't be listed", func(ctx context.Context, l *library.Library) ([]library.Entry, error) {
		student, err := l.StudentNamed(ctx, name)
		if err != nil || student == 0 {
			return nil, err
		}
		list, err := l.Lessons(ctx, library.Query{Student: student})
		return slices.DeleteFunc(list, func(e library.Entry) bool { return e.Marks == 0 || e.Path == d.Path || place.Missing(e.Path) }), err
	}, func(list []library.Entry, err error) {
		c := &a.compare
		if err != nil || a.desk != d || !c.open {
			return // the others are there all the same
		}
		for _, e := range list {
			known := slices.ContainsFunc(c.choices, func(ch compareChoice) bool { return ch.path == e.Path })
			if !known && len(c.choices) < maxCompareChoices {
				c.choices = append(c.choices, compareChoice{title: e.Student, more: kit.Joined(e.Title, e.Date), path: e.Path})
			}
		}
		for len(c.rows) < len(c.choices) {
			c.rows = append(c.rows, draw.Button{})
		}
	})
}

// maxNeighbours is how many lessons of a folder are looked into.
const maxNeighbours = 20

// addNeighbours offers the marked lessons that lie beside this one.
func (a *App) addNeighbours(c *compareCard) {
	d := a.desk
	beside, err := choose.ReadFolder(filepath.Dir(d.Path))
	if err != nil || len(beside.Lessons) > maxNeighbours {
		return
	}
	for _, path := range beside.Lessons {
		if path == d.Path || len(c.choices) == maxCompareChoices ||
			slices.ContainsFunc(c.choices, func(ch compareChoice) bool { return ch.path == path }) {
			continue
		}
		l, _, err := annotations.Load(path)
		if err != nil || l.ID == d.Bench.Lesson().ID { // or a copy of this one
			continue
		}
		if swing, ok := l.SwingToCompare(d.Bench.Swing().Club); ok {
			c.choices = append(c.choices, compareChoice{title: l.Student.Name, more: kit.Joined(l.Title, l.Date), path: path, lesson: l, swing: swing})
		}
	}
}

func (a *App) updateCompareCard(gtx layout.Context) {
	c := &a.compare
	for i := range c.rows[:min(len(c.rows), len(c.choices))] {
		if c.rows[i].Clicked(gtx) {
			c.open = false
			ch := c.choices[i]
			if ch.lesson != nil {
				a.compareWith(ch.path, ch.lesson, ch.swing)
				a.startComparing()
			} else {
				a.compareWithFile(ch.path)
			}
			return
		}
	}
	if c.file.Clicked(gtx) {
		c.open = false
		d := a.desk
		a.Ask(kit.Files{Title: "A lesson to compare with", Kinds: []choose.Kind{choose.Lessons}, Dir: filepath.Dir(d.Path)}, func(paths []string) {
			if a.desk == d {
				a.compareWithFile(paths[0])
			}
		})
	}
	if c.none.Clicked(gtx) {
		c.open = false
		a.stopComparing()
		a.desk.CompareWithNone()
		a.sheet.Changes = false
	}
	if c.cancel.Clicked(gtx) {
		c.open = false
	}
}

// compareWithFile reads a lesson document and compares with its swing.
func (a *App) compareWithFile(path string) {
	l, _, err := annotations.Load(path)
	if err != nil {
		a.notices.Alert(err.Error())
		return
	}
	swing, ok := l.SwingToCompare(a.desk.Bench.Swing().Club)
	switch {
	case !ok:
		a.notices.Alert(fmt.Sprintf("%s has no marked swing to compare with. Open it and mark one first.", filepath.Base(path)))
	case filepath.Clean(path) == filepath.Clean(a.desk.Path) && swing == a.desk.Bench.Swing().ID:
		a.notices.Alert("That is the swing on the bench itself. Choose another lesson, or another swing of this one.")
	default:
		a.compareWith(path, l, swing)
		a.startComparing()
	}
}

func (a *App) layoutCompareCard(gtx layout.Context) {
	th, c := a.theme, &a.compare
	a.card.Layout(gtx, a.theme, "Compare this swing with …", 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(10)}
		if len(c.choices) == 0 {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim,
					"No other swing is known yet. Add a second swing to this lesson by dropping its clips, or choose the document of another lesson.")
			})
		}
		for i := range c.choices {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return kit.RowButton(gtx, a.theme, &c.rows[i], "Compare with "+kit.Joined(c.choices[i].title, c.choices[i].more), c.choices[i].title, c.choices[i].more, "")
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			parts := []layout.Widget{}
			button := func(b *draw.Button, label string) {
				parts = append(parts, func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, b, draw.ButtonStyle{Label: label})
				})
			}
			if a.desk.Other != nil {
				button(&c.none, "Compare with nothing")
			}
			button(&c.file, "Another lesson …")
			button(&c.cancel, "Cancel")
			return kit.EndRow(gtx, parts...)
		})
		return col.Done()
	})
}

// layoutComparing stands in the guide's place while two swings are compared.
func (a *App) layoutComparing(gtx layout.Context) layout.Dimensions {
	th, d := a.theme, a.desk
	p := kit.BeginGuide(gtx, a.theme)
	p.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Body, font.SemiBold, th.Text, "Compared with "+d.Other.Title(d.Bench.Lesson()))
	})
	p.Add(func(gtx layout.Context) layout.Dimensions {
		text := "The sheet says which changes are real and which are within the noise of marking."
		if !d.Other.Measured {
			text = "The other swing is being measured …"
		}
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
	})
	return p.End(a.layoutFitting, kit.GuideButton{ID: "compared view", Label: "Other view"}, kit.GuideButton{ID: "choose other", Label: "Other swing …"}, kit.GuideButton{ID: "compare", Label: "End"})
}
