package compare

import (
	"context"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/series"
	"turngauge/ui/profile"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// LookBack compares the lesson just opened, unasked, with the student's last lesson
// before it, if that is known and was measured.
func (r *Room) LookBack() {
	s := r.host.Session()
	l := s.Bench.Lesson()
	if l.Student.Name == "" || l.Date == "" {
		return
	}
	var before profile.Recent
	for _, e := range r.dirs.Recents() {
		if e.Path != s.Path && strings.EqualFold(e.Student, l.Student.Name) && e.Date != "" && e.Date < l.Date && e.Date > before.Date {
			before = e
		}
	}
	if !r.library.Started() {
		r.lookBackAt(s, before.Path)
		return
	}
	worker.Ask(r.library, "the lesson before can't be looked up", func(ctx context.Context, lib *library.Library) (string, error) {
		e, ok, err := lib.Before(ctx, &l.Student, l.Date, s.Path)
		if err != nil || !ok || e.Date < before.Date || place.Missing(e.Path) {
			return before.Path, nil
		}
		return e.Path, nil
	}, func(path string, err error) {
		if err != nil {
			path = before.Path
		}
		if r.host.Session() == s {
			r.lookBackAt(s, path)
		}
	})
}

// lookBackAt compares with a lesson document, if there is a swing to compare
// with in it.
func (r *Room) lookBackAt(s *session.Session, path string) {
	if path == "" {
		return
	}
	l, club := s.Bench.Lesson(), s.Bench.Swing().Club
	r.host.Go("Reading the last lesson", func() {
		earlier, _, err := annotations.Load(path)
		if err != nil || earlier.ID == l.ID {
			return // it was not asked for
		}
		if swing, ok := series.ToCompare(earlier, club); ok {
			r.host.Post(func() {
				if r.host.Session() == s && s.Other == nil {
					s.CompareWith(path, earlier, swing)
				}
			})
		}
	}, nil)
}
