package ui

import (
	"context"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// startLibrary opens the library in the background.
func (a *App) startLibrary() {
	folder := a.settings.LibraryFolder
	if !filepath.IsAbs(folder) {
		folder = filepath.Join(a.dirs.Data, "library")
	}
	a.shelf.Start(folder, a.standards.Base, a.settings.Decided, a.library.Seed)
}

// libraryOpens takes an opened lesson into the library and looks for what it
// holds of the student.
func (a *App) libraryOpens(d *session.Session) {
	a.standards.Targets = a.standards.Base
	if !a.shelf.Started() {
		return
	}
	l := d.Bench.Lesson()
	a.shelf.Touch(d.Path, l, true, true)
	a.askTargets(d)
	for _, s := range d.Bench.Stages {
		if s.Clip != "" {
			a.findClip(d, d.Bench.Swing().ID, s.Clip)
		}
	}
}

// libraryCloses records a lesson as it was closed.
func (a *App) libraryCloses(d *session.Session) {
	a.shelf.Touch(d.Path, d.Bench.Lesson(), false, true)
	a.shelf.Changed()
}

// askTargets reads the ranges that count for the student of an open lesson.
func (a *App) askTargets(d *session.Session) {
	base, whose := a.standards.Base, d.Bench.Lesson().Student
	worker.Ask(a.shelf, "the target ranges can't be read", func(ctx context.Context, l *library.Library) (annotations.Targets, error) {
		student, err := l.StudentOf(ctx, &whose)
		if err != nil {
			return base, err
		}
		return l.Targets(ctx, base, student)
	}, func(t annotations.Targets, err error) {
		if a.desk != d || err != nil {
			return // the program's own count
		}
		a.standards.Targets = t
		d.SolveAnew()
	})
}

// rangesChanged reads the ranges that count anew.
func (a *App) rangesChanged() {
	if a.desk != nil {
		a.askTargets(a.desk)
	}
}

// findClip looks for the file of a clip that is not at its place, by its
// fingerprint, and puts the lesson right where it is found.
func (a *App) findClip(d *session.Session, swing, clip string) {
	c := d.Bench.Swing().Clip(clip)
	if c == nil || c.File == "" || c.SHA256 == "" {
		return
	}
	was, sum, view := c.PathIn(filepath.Dir(d.Path)), c.SHA256, c.View
	if !place.Missing(was) {
		return
	}
	worker.Aside(a.shelf, "Looking for the clip", func(ctx context.Context, l *library.Library) (string, error) {
		return l.FindClip(ctx, sum, was, filepath.Dir(d.Path), place.NearestFolder(was))
	}, func(found string, err error) {
		if a.desk != d || err != nil || found == "" {
			return
		}
		l := d.Bench.Lesson()
		sw := l.Swing(swing)
		if sw == nil || sw.Clip(clip) == nil {
			return
		}
		next := *sw.Clip(clip)
		next.File = found
		if rel, err := filepath.Rel(filepath.Dir(d.Path), found); err == nil && filepath.IsLocal(rel) {
			next.File = filepath.ToSlash(rel)
		}
		if kit.Edit(a, annotations.SetClip{Swing: swing, Clip: next}) {
			a.notices.Tell(bench.Note("The " + view.String() + " clip was moved: it was found again as " + found + "."))
			d.OpenClips()
		}
	})
}
