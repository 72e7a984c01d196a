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
	"turngauge/annotations/words"
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
	p.only(0)
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
			key.Filter{Focus: at, Name: key.NameUpArrow, Optional: key.ModCtrl | key.ModShift}, key.Filter{Focus: at, Name: key.NameDownArrow, Optional: key.ModCtrl | key.ModShift},
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
			r.stepLesson(step, e.Modifiers&key.ModShift)
		case key.NameReturn, key.NameEnter:
			r.openChosen()
			return
		case key.NameDeleteForward:
			r.deleteLessons()
		case "Z":
			r.undelete(p.deleted)
		}
	}
}

func (r *Room) stepLesson(step int, held key.Modifiers) {
	p := &r.panel
	if len(p.lessons) == 0 {
		return
	}
	i := slices.IndexFunc(p.lessons, func(e library.Entry) bool { return e.Key == p.lesson })
	i = min(max(i+step, 0), len(p.lessons)-1)
	p.choose(i, held)
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

// deleteLessons puts the chosen lessons into the trash; the one behind them is chosen then.
func (r *Room) deleteLessons() {
	p := &r.panel
	gone := p.several()
	if len(gone) == 0 || p.trash {
		return
	}
	if o := r.host.Session(); o != nil && slices.ContainsFunc(gone, func(e library.Entry) bool { return filepath.Clean(e.Path) == o.Path }) {
		r.host.Alert("This lesson is on the bench: close it first, then delete it.")
		return
	}
	last := slices.IndexFunc(p.lessons, func(e library.Entry) bool { return e.Key == gone[len(gone)-1].Key })
	next := int64(0)
	for i, e := range p.lessons {
		if !p.isChosen(e.Key) && (next == 0 || i <= last+1) {
			next = e.Key
		}
	}
	p.only(next)
	worker.Ask(r.shelf, "the lesson can't be deleted", func(ctx context.Context, l *library.Library) (done []library.Entry, err error) {
		for _, e := range gone {
			if err = l.Delete(ctx, e.Key); err != nil {
				return done, err
			}
			done = append(done, e)
		}
		return done, nil
	}, func(done []library.Entry, err error) {
		if err != nil {
			r.host.Alert(err.Error())
		}
		if len(done) > 0 {
			p.deleted, p.exported = done, ""
		}
		r.shelf.Changed()
	})
}

// undelete gets lessons back from the trash.
func (r *Room) undelete(gone []library.Entry) {
	if len(gone) == 0 {
		return
	}
	worker.Ask(r.shelf, "the lesson can't be got back", func(ctx context.Context, l *library.Library) (paths []string, err error) {
		for _, e := range gone {
			path, err := l.Undelete(ctx, e.Key)
			if err != nil {
				return paths, err
			}
			paths = append(paths, path)
		}
		return paths, nil
	}, func(paths []string, err error) {
		p := &r.panel
		if err != nil {
			r.host.Alert(err.Error())
			p.deleted = slices.DeleteFunc(p.deleted, func(e library.Entry) bool { return slices.Contains(keysOf(gone[:len(paths)]), e.Key) })
		} else {
			text := words.Count(len(gone), "lesson is", "lessons are") + " back."
			if e := gone[0]; len(gone) == 1 {
				text = fmt.Sprintf("“%s” is back: %s", library.Joined(e.Student, e.Title, e.Date), paths[0])
			}
			r.host.Tell(bench.Note(text))
			p.deleted = nil
			if !p.trash {
				p.only(gone[0].Key)
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
