package ui

import (
	"path/filepath"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/session"
)

var _ kit.Host = (*App)(nil)

// Session is the open lesson, or nil.
func (a *App) Session() *session.Session { return a.desk }

// Theme is how the window looks.
func (a *App) Theme() *draw.Theme { return a.theme }

// Settings are how the coach likes the window.
func (a *App) Settings() *profile.Settings { return &a.settings }

// KeepSettings writes the settings.
func (a *App) KeepSettings() {
	if err := a.dirs.Keep(a.settings); err != nil {
		a.notices.Tell(bench.Note("The window's settings could not be kept: " + err.Error()))
	}
}

// Tell shows a passing notice.
func (a *App) Tell(n bench.Note) { a.notices.Tell(n) }

// Alert shows something that went wrong.
func (a *App) Alert(text string) { a.notices.Alert(text) }

// Go runs do on a goroutine of its own.
func (a *App) Go(what string, do, failed func()) { a.work.Go(what, do, failed) }

// Post runs do on the window's goroutine.
func (a *App) Post(do func()) { a.work.Post(do) }

// Ask asks for files; then is called with what was chosen.
func (a *App) Ask(f kit.Files, then func(paths []string)) {
	if a.files.Visible() {
		return // it is being answered
	}
	a.files.asked = then
	if f.Folder {
		a.files.OpenFolder(f.Title, f.Dir)
		return
	}
	a.files.Look(f.Kinds...)
	a.files.Open(f.Title, f.Many, f.Dir)
}

// addressIn returns the frame of a clip in which the golfer stands at address, where the
// clip is one of the open lesson and that is known.
func (a *App) addressIn(clip string) (int, bool) {
	if a.desk == nil {
		return 0, false
	}
	l := a.desk.Bench.Lesson()
	for i := range l.Swings {
		for _, c := range l.Swings[i].Clips {
			if f, ok := l.Swings[i].FrameOf(c.ID, geometry.Address); ok && c.PathIn(filepath.Dir(a.desk.Path)) == clip {
				return f.Index, true
			}
		}
	}
	return 0, false
}
