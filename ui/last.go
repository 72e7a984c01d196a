package ui

import (
	"context"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/shelf/worker"
)

// lastLessons looks for the last lesson of each student of a name: in the library, with
// what the card says, or among the lessons opened last where there is none.
func (a *App) lastLessons(student string, then func([]*annotations.Lesson)) {
	if !a.shelf.Started() {
		a.lastOpened(student, then)
		return
	}
	worker.Ask(a.shelf, "the student can't be looked up", func(ctx context.Context, lib *library.Library) (out []*annotations.Lesson, err error) {
		list, err := lib.Students(ctx, library.Query{Text: student})
		if err != nil {
			return nil, err
		}
		for _, s := range list {
			if !strings.EqualFold(s.Name, strings.Join(strings.Fields(student), " ")) {
				continue
			}
			l, _, err := lib.Document(ctx, s.LastKey)
			if err != nil {
				continue // the others are there all the same
			}
			if c, err := lib.Card(ctx, s.Key); err == nil {
				c.Of(&l.Student)
			}
			out = append(out, l)
		}
		return out, nil
	}, func(list []*annotations.Lesson, err error) {
		if err != nil || len(list) == 0 {
			a.lastOpened(student, then)
			return
		}
		then(list)
	})
}

// tellApart makes room for another student of a name that is there already.
func (a *App) tellApart(name string, then func()) {
	if !a.shelf.Started() {
		then()
		return
	}
	worker.Ask(a.shelf, "the students can't be told apart", func(ctx context.Context, lib *library.Library) (library.Carried, error) {
		return lib.TellApart(ctx, name, "")
	}, func(_ library.Carried, err error) {
		if err != nil {
			a.Alert(err.Error())
			return
		}
		then()
	})
}

// lastOpened is lastLessons among the lessons opened last.
func (a *App) lastOpened(student string, then func([]*annotations.Lesson)) {
	path, date := "", ""
	for _, e := range a.dirs.Recents() {
		if strings.EqualFold(e.Student, student) && (path == "" || e.Date > date) {
			path, date = e.Path, e.Date
		}
	}
	if path == "" {
		then(nil)
		return
	}
	a.work.Go("Reading the student's last lesson", func() {
		l, _, err := annotations.Load(path)
		a.work.Post(func() {
			if err != nil {
				then(nil) // it was not asked for
				return
			}
			then([]*annotations.Lesson{l})
		})
	}, nil)
}
