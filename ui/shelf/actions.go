package shelf

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/ui/bench"
	"turngauge/ui/shelf/worker"
)

// chooseStudent shows the lessons of the student in a row; the first row is for
// all.
func (p *panel) chooseStudent(row int) {
	p.student = 0
	if row > 0 {
		p.student = p.students[row-1].Key
	}
	p.studentRows.Reveal(row)
	p.lesson = 0
}

// studentRow is the row of the student whose lessons are shown.
func (p *panel) studentRow() int {
	for i := range p.students {
		if p.students[i].Key == p.student {
			return i + 1
		}
	}
	return 0
}

// libraryKeys moves through the lists while the search has the keyboard: Up and
// Down through the lessons, with Ctrl through the students.
func (r *Room) updateKeys(gtx layout.Context) {
	p := &r.panel
	at := &p.search.Editor
	for {
		wanted := []event.Filter{
			key.Filter{Focus: at, Name: key.NameUpArrow, Optional: key.ModCtrl}, key.Filter{Focus: at, Name: key.NameDownArrow, Optional: key.ModCtrl},
			key.Filter{Focus: at, Name: key.NamePageUp}, key.Filter{Focus: at, Name: key.NamePageDown},
			key.Filter{Focus: at, Name: key.NameReturn}, key.Filter{Focus: at, Name: key.NameEnter},
			key.Filter{Focus: at, Name: key.NameDeleteForward, Required: key.ModCtrl},
		}
		if p.deleted != nil { // else it takes back what was typed
			wanted = append(wanted, key.Filter{Focus: at, Name: "Z", Required: key.ModCtrl})
		}
		ev, ok := gtx.Event(wanted...)
		if !ok {
			return
		}
		e, isKey := ev.(key.Event)
		if !isKey || e.State != key.Press {
			continue
		}
		switch e.Name {
		case key.NameUpArrow, key.NameDownArrow, key.NamePageUp, key.NamePageDown:
			step := 1
			if e.Name == key.NamePageUp || e.Name == key.NamePageDown {
				step = p.lessonRows.Page()
			}
			if e.Name == key.NameUpArrow || e.Name == key.NamePageUp {
				step = -step
			}
			if e.Modifiers.Contain(key.ModCtrl) {
				p.chooseStudent(min(max(p.studentRow()+step, 0), len(p.students)))
				r.read()
				continue
			}
			r.stepLesson(step)
		case key.NameReturn, key.NameEnter:
			r.openChosen()
			return
		case key.NameDeleteForward:
			r.deleteLesson()
		case "Z":
			r.undelete(*p.deleted)
		}
	}
}

func (r *Room) stepLesson(step int) {
	p := &r.panel
	if len(p.lessons) == 0 {
		return
	}
	i := slices.IndexFunc(p.lessons, func(e library.Entry) bool { return e.Key == p.lesson })
	i = min(max(i+step, 0), len(p.lessons)-1)
	p.lesson = p.lessons[i].Key
	p.lessonRows.Reveal(i)
	r.syncTags()
}

// openChosen opens the chosen lesson, or asks what to do where its document
// is not there.
func (r *Room) openChosen() {
	p := &r.panel
	e := p.chosen()
	switch {
	case e == nil:
	case p.trash:
		r.host.Tell("This lesson is in the trash: get it back first.")
	case place.Missing(e.Path):
		r.lost.ask(*e)
	default:
		p.open = false
		r.openLesson(e.Path)
	}
}

func (r *Room) deleteLesson() {
	p := &r.panel
	e := p.chosen()
	if e == nil || p.trash {
		return
	}
	if r.host.Session() != nil && filepath.Clean(e.Path) == r.host.Session().Path {
		r.host.Alert("This lesson is on the bench: close it first, then delete it.")
		return
	}
	gone := *e
	i := slices.IndexFunc(p.lessons, func(x library.Entry) bool { return x.Key == gone.Key })
	if len(p.lessons) > 1 { // the next one is chosen then
		p.lesson = p.lessons[min(i+1, len(p.lessons)-1)].Key
		if i == len(p.lessons)-1 {
			p.lesson = p.lessons[i-1].Key
		}
	}
	worker.Ask(r.shelf, "the lesson can't be deleted", func(ctx context.Context, l *library.Library) (bool, error) {
		return true, l.Delete(ctx, gone.Key)
	}, func(_ bool, err error) {
		if err != nil {
			r.host.Alert(err.Error())
		} else {
			p.deleted, p.exported = &gone, ""
		}
		r.shelf.Changed()
	})
}

func (r *Room) undelete(e library.Entry) {
	worker.Ask(r.shelf, "the lesson can't be got back", func(ctx context.Context, l *library.Library) (string, error) {
		return l.Undelete(ctx, e.Key)
	}, func(path string, err error) {
		p := &r.panel
		if err != nil {
			r.host.Alert(err.Error())
		} else {
			r.host.Tell(bench.Note(fmt.Sprintf("“%s” is back: %s", library.Joined(e.Student, e.Title, e.Date), path)))
			p.deleted = nil
			if !p.trash {
				p.lesson = e.Key
			}
		}
		r.shelf.Changed()
	})
}

// syncTags puts the chosen lesson's tags into their field.
func (r *Room) syncTags() {
	p := &r.panel
	e := p.chosen()
	if e == nil {
		p.tagsOf = 0
		return
	}
	if text := strings.Join(e.Tags, ", "); p.tagsOf != e.Key || !p.tagging && p.tags.Text() != text {
		p.tagsOf = e.Key
		p.tags.SetText(text)
	}
}

func (r *Room) keepTags() {
	p := &r.panel
	of, tags := p.tagsOf, strings.Split(p.tags.Text(), ",")
	if of == 0 {
		return
	}
	worker.Ask(r.shelf, "the tags can't be kept", func(ctx context.Context, l *library.Library) (bool, error) {
		return true, l.SetTags(ctx, of, tags)
	}, func(_ bool, err error) {
		if err != nil {
			r.host.Alert(err.Error())
		}
		r.shelf.Changed()
	})
}
