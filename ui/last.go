package ui

import (
	"context"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/shelf/worker"
)

// lastLesson looks for the last lesson of a student: in the library, or among the
// lessons opened last where there is none.
func (a *App) lastLesson(student string, then func(*annotations.Lesson)) {
	if a.shelf.Started() {
		worker.Ask(a.shelf, "the student can't be looked up", func(ctx context.Context, lib *library.Library) (*annotations.Lesson, error) {
			list, err := lib.Students(ctx, library.Query{Text: student})
			if err != nil {
				return nil, err
			}
			for _, s := range list {
				if strings.EqualFold(s.Name, strings.Join(strings.Fields(student), " ")) {
					l, _, err := lib.Document(ctx, s.LastKey)
					return l, err
				}
			}
			return nil, nil
		}, func(l *annotations.Lesson, err error) {
			if err != nil || l == nil {
				a.lastOpened(student, then)
				return
			}
			then(l)
		})
		return
	}
	a.lastOpened(student, then)
}

// lastOpened is lastLesson among the lessons opened last.
func (a *App) lastOpened(student string, then func(*annotations.Lesson)) {
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
				l = nil // it was not asked for
			}
			then(l)
		})
	}, nil)
}
