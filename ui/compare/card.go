package compare

import (
	"context"
	"fmt"
	"image"
	"path/filepath"
	"slices"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/series"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// Card is the card on which the coach chooses the swing to compare with.
type Card struct {
	room *Room
	cardState
}

type cardState struct {
	kit.Openable
	modal   kit.Modal
	asked   int // tells what was read for this opening from what was for those before
	choices []choice
	rows    [maxChoices]draw.Button
	file    draw.Button
	none    draw.Button
	cancel  draw.Button
}

// choice is a swing that can be compared with. lesson is nil where its document
// is still to be read.
type choice struct {
	title, more string
	path        string
	lesson      *annotations.Lesson
	swing       string
}

const maxChoices = 8

// Choose opens the card: with the other swings of the lesson and the lessons
// opened last, and with those that lie beside this one and that the library knows
// once they are read.
func (c *Card) Choose() {
	s := c.room.host.Session()
	l := s.Bench.Lesson()
	c.cardState = cardState{Openable: kit.Opened(), asked: c.asked + 1}
	for i := range l.Swings {
		if sw := &l.Swings[i]; sw.ID != s.Bench.Swing().ID && len(sw.Marks) > 0 {
			title := sw.Label
			if numbered := fmt.Sprintf("Swing %d", i+1); title != numbered { // several may be labelled alike
				title = kit.Joined(numbered, title)
			}
			c.offer(choice{title: title, more: "in this lesson", path: s.Path, lesson: l, swing: sw.ID})
		}
	}
	recents := c.room.dirs.Recents()
	for _, same := range []bool{true, false} {
		for _, r := range recents {
			if r.Path != s.Path && (r.Student == l.Student.Name) == same {
				c.offer(choice{title: r.Student, more: kit.Joined(r.Title, r.Date), path: r.Path})
			}
		}
	}
	c.offerNeighbours(s)
	c.offerShelved(s)
}

// offer puts a choice under those there are, if there is room for it.
func (c *Card) offer(ch choice) {
	if len(c.choices) < maxChoices {
		c.choices = append(c.choices, ch)
	}
}

// offerNew offers a lesson that is not offered yet.
func (c *Card) offerNew(ch choice) {
	if !slices.ContainsFunc(c.choices, func(o choice) bool { return o.path == ch.path }) {
		c.offer(ch)
	}
}

// offerShelved offers the student's other marked lessons that the library knows.
func (c *Card) offerShelved(s *session.Session) {
	whose, asked := s.Bench.Lesson().Student, c.asked
	if whose.Name == "" {
		return
	}
	worker.Ask(c.room.library, "the student's lessons can't be listed", func(ctx context.Context, l *library.Library) ([]library.Entry, error) {
		student, err := l.StudentOf(ctx, &whose)
		if err != nil || student == 0 {
			return nil, err
		}
		list, err := l.Lessons(ctx, library.Query{Student: student})
		return slices.DeleteFunc(list, func(e library.Entry) bool { return e.Marks == 0 || e.Path == s.Path || place.Missing(e.Path) }), err
	}, func(list []library.Entry, err error) {
		if err != nil || !c.awaits(s, asked) {
			return // the others are there all the same
		}
		for _, e := range list {
			c.offerNew(choice{title: e.Student, more: kit.Joined(e.Title, e.Date), path: e.Path})
		}
	})
}

// awaits reports whether the card is still open that something was read for.
func (c *Card) awaits(s *session.Session, asked int) bool {
	return c.Shown && c.asked == asked && c.room.host.Session() == s
}

// maxNeighbours is how many lessons of a folder are looked into.
const maxNeighbours = 20

// offerNeighbours offers the marked lessons that lie beside this one.
func (c *Card) offerNeighbours(s *session.Session) {
	host, asked := c.room.host, c.asked
	id, club := s.Bench.Lesson().ID, s.Bench.Swing().Club
	host.Go("Looking at the lessons beside this one", func() {
		list := neighbours(s.Path, id, club)
		host.Post(func() {
			if c.awaits(s, asked) {
				for _, ch := range list {
					c.offerNew(ch)
				}
			}
		})
	}, nil)
}

// neighbours reads the marked lessons beside a document, without copies of its
// lesson, whose ID is given.
func neighbours(path, id string, club annotations.Club) []choice {
	beside, err := choose.ReadFolder(filepath.Dir(path))
	if err != nil || len(beside.Lessons) > maxNeighbours {
		return nil
	}
	var list []choice
	for _, p := range beside.Lessons {
		if p == path {
			continue
		}
		l, _, err := annotations.Load(p)
		if err != nil || l.ID == id {
			continue
		}
		if swing, ok := series.ToCompare(l, club); ok {
			list = append(list, choice{title: l.Student.Name, more: kit.Joined(l.Title, l.Date), path: p, lesson: l, swing: swing})
		}
	}
	return list
}

// Commands are none: the room's open the card.
func (c *Card) Commands() []kit.Command { return nil }

// LessonClosed closes the card and forgets what it offered.
func (c *Card) LessonClosed() { c.cardState = cardState{asked: c.asked} }

// Update takes up what was chosen.
func (c *Card) Update(gtx layout.Context) {
	r := c.room
	entered := len(c.choices) == 1 && kit.EnterPressed(gtx) // there is nothing else to choose
	for i, ch := range c.choices {
		if c.rows[i].Clicked(gtx) || entered {
			c.Shown = false
			if ch.lesson != nil {
				r.with(ch.path, ch.lesson, ch.swing)
			} else {
				r.WithFile(ch.path)
			}
			return
		}
	}
	if c.file.Clicked(gtx) {
		c.Shown = false
		s := r.host.Session()
		r.host.Ask(kit.Files{Title: "A lesson to compare with", Kinds: []choose.Kind{choose.Lessons}, Dir: filepath.Dir(s.Path)}, func(paths []string) {
			if r.host.Session() == s {
				r.WithFile(paths[0])
			}
		})
	}
	if c.none.Clicked(gtx) {
		c.Shown = false
		r.host.Session().CompareWithNone()
		r.doors.Changes(false)
	}
	if c.cancel.Clicked(gtx) {
		c.Shown = false
	}
}

// Layout draws the card.
func (c *Card) Layout(gtx layout.Context) layout.Dimensions {
	th := c.room.host.Theme()
	return c.modal.Layout(gtx, th, "Compare this swing with …", 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(10)}
		if len(c.choices) == 0 {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim,
					"No other swing is known yet. Add a second swing to this lesson by dropping its clips, or choose the document of another lesson.")
			})
		}
		for i := range c.choices {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				ch := &c.choices[i]
				return kit.PictureRow(gtx, th, &c.rows[i], "Compare with "+kit.Joined(ch.title, ch.more), ch.title, ch.more, "",
					func(gtx layout.Context, size image.Point) { c.room.doors.Picture(gtx, ch.path, size) })
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			parts := []layout.Widget{}
			button := func(b *draw.Button, label string) {
				parts = append(parts, func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, b, draw.ButtonStyle{Label: label})
				})
			}
			if c.room.host.Session().Other != nil {
				button(&c.none, "Compare with nothing")
			}
			button(&c.file, "Another lesson …")
			button(&c.cancel, "Cancel")
			return kit.EndRow(gtx, parts...)
		})
		return col.Done()
	})
}
