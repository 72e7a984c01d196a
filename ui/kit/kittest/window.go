// Package kittest is a window of one room, for the room's tests.
package kittest

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/session"
	"turngauge/video"
)

// Window holds one room and is its host. What the room tells, asks and has done
// is kept for the test to look at.
type Window struct {
	*drawtest.Driver
	Room kit.Room
	Work session.Work
	Env  session.Env

	// Open is the open lesson, or nil.
	Open *session.Session
	// Dirs are the folders of whoever uses the program, in the test's own.
	Dirs profile.Dirs
	// Notes and Alerts are what was told, Ran the commands of others that the
	// room had done, Asked the questions for files that were not answered yet.
	Notes  []bench.Note
	Alerts []string
	Ran    []string
	Asked  []Question

	t        testing.TB
	theme    *draw.Theme
	settings profile.Settings
	commands []kit.Command
	woken    chan struct{}
}

// Question is a question for files.
type Question struct {
	kit.Files
	Then func(paths []string)
}

// New returns a window of 1600 by 1000 dp with the room that room returns for it,
// and a lesson; nil is none.
func New(t testing.TB, lesson *annotations.Lesson, room func(*Window) kit.Room) *Window {
	t.Helper()
	dir := t.TempDir()
	w := &Window{t: t, theme: draw.NewFixedTheme(true, 1), woken: make(chan struct{}, 1)}
	w.Dirs = profile.Dirs{Data: filepath.Join(dir, "data"), State: filepath.Join(dir, "state"), Config: filepath.Join(dir, "config")}
	w.settings = w.Dirs.Settings()
	w.Work.Wake, w.Work.Alert, w.Work.Faults = w.wake, w.Alert, w.Dirs.Faults()
	w.Env = session.Env{
		Work: &w.Work, Tell: w.Tell, Budget: video.NewBudget(64 << 20),
		Terms: func() session.Terms {
			return session.Terms{Imperial: w.settings.Imperial, Targets: annotations.DefaultTargets(), Rules: annotations.DefaultRules()}
		},
		Edited: func(string, *annotations.Lesson) {},
	}
	if lesson != nil {
		w.OpenLesson(t, lesson)
	}
	w.Room = room(w)
	w.commands = w.Room.Commands()
	w.Driver = drawtest.NewDriver(t, 1600, 1000, w.frame)
	return w
}

// OpenLesson saves a lesson in a folder of the test's own and opens it in place of
// the one that is.
func (w *Window) OpenLesson(t testing.TB, l *annotations.Lesson) {
	t.Helper()
	s, err := session.Open(&w.Env, filepath.Join(t.TempDir(), "lesson.json"), func() (*annotations.Lesson, error) { return l, nil })
	require.NoError(t, err)
	w.Open = s
	s.Send()
	t.Cleanup(func() { require.NoError(t, s.Close()) })
}

func (w *Window) frame(gtx layout.Context) {
	w.Work.Run()
	if w.Open != nil {
		w.Open.Update()
	}
	gtx = w.theme.Context(gtx)
	card, isCard := w.Room.(kit.Card)
	shown := !isCard || card.IsOpen()
	if shown {
		w.Room.Update(gtx)
	}
	for i := range w.commands {
		for _, ch := range w.commands[i].Keys {
			w.key(gtx, ch, func() { w.Run(w.commands[i].ID) })
		}
	}
	w.key(gtx, kit.Chord{Key: key.NameEscape}, func() { w.Room.Escape() })
	if !isCard || card.IsOpen() {
		w.Room.Layout(gtx)
	}
}

// key does what a chord is bound to. While the room keeps the letters to itself
// only Esc works.
func (w *Window) key(gtx layout.Context, ch kit.Chord, do func()) {
	if ch.Key != key.NameEscape && w.Room.HoldsKeys() {
		return
	}
	for {
		ev, ok := gtx.Event(key.Filter{Name: ch.Key, Required: ch.Mods})
		if !ok {
			return
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			do()
		}
	}
}

func (w *Window) wake() {
	select {
	case w.woken <- struct{}{}:
	default:
	}
}

// Until runs frames, one for each time that work beside the window wakes it,
// until what is waited for is so.
func (w *Window) Until(what string, so func() bool) {
	w.t.Helper()
	deadline := time.After(20 * time.Second)
	for w.Frame(); !so(); w.Frame() {
		select {
		case <-w.woken:
		case <-time.After(20 * time.Millisecond):
		case <-deadline:
			w.t.Fatalf("waited in vain for %s", what)
		}
	}
}

// Answer answers the oldest question for files.
func (w *Window) Answer(paths ...string) {
	q := w.Asked[0]
	w.Asked = w.Asked[1:]
	q.Then(paths)
	w.Frame()
}

// Lesson is the open lesson as it stands.
func (w *Window) Lesson() *annotations.Lesson { return w.Open.Bench.Lesson() }

// What follows makes the window a kit.Host.

func (w *Window) Session() *session.Session         { return w.Open }
func (w *Window) Theme() *draw.Theme                { return w.theme }
func (w *Window) Settings() *profile.Settings       { return &w.settings }
func (w *Window) KeepSettings()                     { _ = w.Dirs.Keep(w.settings) }
func (w *Window) Alert(text string)                 { w.Alerts = append(w.Alerts, text) }
func (w *Window) Go(what string, do, failed func()) { w.Work.Go(what, do, failed) }
func (w *Window) Post(do func())                    { w.Work.Post(do) }
func (w *Window) Can(id string) bool                { return true }
func (w *Window) Shortcut(id string) string         { return "" }
func (w *Window) Ask(f kit.Files, then func(p []string)) {
	w.Asked = append(w.Asked, Question{f, then})
}

// Tell notes what was told, if anything was.
func (w *Window) Tell(n bench.Note) {
	if n != "" {
		w.Notes = append(w.Notes, n)
	}
}

// Run does a command of the room's, or notes that of another.
func (w *Window) Run(id string) {
	if i := slices.IndexFunc(w.commands, func(c kit.Command) bool { return c.ID == id }); i >= 0 {
		if c := &w.commands[i]; c.Enabled == nil || c.Enabled() {
			c.Do()
		}
		return
	}
	w.Ran = append(w.Ran, id)
}

// Write types into the field that has the keyboard.
func (w *Window) Write(text string) {
	w.Send(key.EditEvent{Text: text})
	w.Frame()
}
