package ui

import (
	"os"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/preferences"
	"turngauge/ui/session"
	"turngauge/video"
)

// newEnv is what the window gives the lessons opened in it.
func (a *App) newEnv() session.Env {
	return session.Env{
		Work: &a.work, Tell: a.notices.Tell, Warn: a.notices.Warn, Budget: video.NewBudget(preferences.CacheBytes(a.settings)),
		Terms: func() session.Terms {
			return session.Terms{Imperial: a.settings.Imperial, Targets: a.standards.Targets, Rules: a.standards.Rules, Decided: a.settings.Decided}
		},
		AskSpeed: func() { a.speed.Open() },
		Edited: func(path string, l *annotations.Lesson) {
			a.shelf.Touch(path, l, false, false)
		},
	}
}

// openLesson puts a lesson document on the desk, or asks which version of it.
func (a *App) openLesson(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	if !a.versions.Ask(path) {
		a.loadLesson(path)
	}
}

// loadLesson puts the document at a path on the desk.
func (a *App) loadLesson(path string) {
	a.startDesk(path, func() (*annotations.Lesson, []string, error) { return annotations.Load(path) })
}

// startDesk begins work on the lesson that load reads, once no other window can
// write it, and tells what load warns of. It reports whether it did. A lesson that
// can't be read leaves the one open that is; one that another window has leaves
// none.
func (a *App) startDesk(path string, load func() (*annotations.Lesson, []string, error)) bool {
	if a.desk != nil && sameFile(path, a.desk.Path) {
		a.closeLesson()
	}
	var warnings []string
	unread := false
	s, err := session.Open(&a.env, path, func() (l *annotations.Lesson, err error) {
		l, warnings, err = load()
		unread = err != nil
		return l, err
	})
	if !unread {
		a.closeLesson()
	}
	if err != nil {
		a.notices.Alert(err.Error())
		return false
	}
	a.desk = s
	a.saving.Store(s)
	a.dirs.Remember(path, s.Bench.Lesson())
	a.libraryOpens(s)
	a.compare.LookBack()
	s.Send()
	a.visit.LessonOpened()
	for _, w := range warnings {
		a.notices.Tell(bench.Note(w))
	}
	return true
}

// restoreLesson opens a lesson that load reads from elsewhere than its path, and
// saves it there as soon as that can be written. It reports whether it did.
func (a *App) restoreLesson(path string, load func() (*annotations.Lesson, []string, error)) bool {
	if !a.startDesk(path, load) {
		return false
	}
	a.desk.Save()
	return true
}

// closeLesson saves and puts the lesson away.
func (a *App) closeLesson() {
	s := a.desk
	if s == nil {
		return
	}
	a.desk = nil
	a.putAway()
	if err := s.Close(); err != nil {
		a.notices.Alert(err.Error())
	}
	a.saving.Store(nil)
	a.libraryCloses(s)
}

// sameFile reports whether two paths lead to one file.
func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}
