// Package moving is the card that moves a swing to another lesson.
package moving

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// Room is the card, and what was moved from the open lesson.
type Room struct {
	host  kit.Host
	shelf *worker.Client
	dirs  profile.Dirs
	show  func(swing string) // puts another swing of the lesson on the bench
	card  kit.Modal
	cardState

	seen  *annotations.Lesson // the lesson whose swings were looked at last
	moves []*move
	// files is held while documents are written, one after the other.
	files sync.Mutex
}

type cardState struct {
	open         bool
	busy         bool
	asked        int
	choices      []choice
	file, cancel draw.Button
}

// choice is a lesson that the swing can be moved to.
type choice struct {
	title, more, path string
	row               draw.Button
}

// mostChoices is how many lessons are offered; a file is chosen for others.
const mostChoices = 8

// move is a swing that was moved from the open lesson. Undo puts it back there, and then
// it is taken out of the other one.
type move struct {
	of     *session.Session
	swing  annotations.Swing
	path   string
	as     string // its ID there
	folder string
	base   *annotations.Lesson // the other lesson where it was begun for this swing, or nil
	here   bool                // it is in the open lesson, again
}

// New returns the card of a window, closed. show puts another swing of the open lesson on
// the bench.
func New(h kit.Host, c *worker.Client, d profile.Dirs, show func(swing string)) *Room {
	return &Room{host: h, shelf: c, dirs: d, show: show}
}

// Commands is the way to the card.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "move swing", Group: "Lesson", After: "remove swing", Help: "Move this swing to another lesson",
		Keys: kit.WithMod(key.ModCtrl|key.ModShift, "M"), Do: r.ask, Enabled: r.can,
	}}
}

func (r *Room) can() bool {
	s := r.host.Session()
	return s != nil && s.Comparing == nil && len(s.Bench.Swing().Clips)+len(s.Bench.Swing().Marks) > 0
}

// Escape closes the card.
func (r *Room) Escape() bool {
	was := r.open && !r.busy
	r.open = r.open && r.busy
	return was
}

// IsOpen reports whether the card is open.
func (r *Room) IsOpen() bool { return r.open }

// HoldsKeys reports whether the card is open.
func (r *Room) HoldsKeys() bool { return r.open }

// LessonClosed forgets what was moved: it can't be undone any more.
func (r *Room) LessonClosed() {
	r.cardState = cardState{asked: r.asked + 1}
	r.moves, r.seen = nil, nil
}

// ask opens the card and looks for the student's other lessons.
func (r *Room) ask() {
	s := r.host.Session()
	if _, on := s.Bench.Blind(); on {
		r.host.Tell(s.Bench.Busy())
		return
	}
	l := s.Bench.Lesson()
	r.cardState = cardState{open: true, asked: r.asked + 1}
	asked, name := r.asked, l.Student.Name
	if name == "" {
		name = "this student"
	}
	r.choices = []choice{{title: "A new lesson of " + name, more: "of " + words.Day(time.Now().Format(time.DateOnly)), path: r.dirs.Lesson(annotations.NewID())}}
	whose := l.Student
	if !r.shelf.Ready() || whose.Name == "" {
		return
	}
	worker.Ask(r.shelf, "the student's lessons can't be listed", func(ctx context.Context, lib *library.Library) ([]library.Entry, error) {
		student, err := lib.StudentOf(ctx, &whose)
		if err != nil || student == 0 {
			return nil, err
		}
		return lib.Lessons(ctx, library.Query{Student: student})
	}, func(list []library.Entry, err error) {
		if err != nil || !r.open || r.asked != asked || r.host.Session() != s {
			return // a file can be chosen all the same
		}
		for _, e := range list {
			if e.Path != s.Path && !place.Missing(e.Path) && len(r.choices) < mostChoices {
				r.choices = append(r.choices, choice{title: kit.Joined(words.Day(e.Date), e.Title), more: words.Count(e.Swings, "swing", "swings"), path: e.Path})
			}
		}
	})
}

// Update takes up what was chosen.
func (r *Room) Update(gtx layout.Context) {
	if r.busy {
		return
	}
	for i := range r.choices {
		if r.choices[i].row.Clicked(gtx) {
			r.moveTo(r.choices[i].path, i == 0)
			return
		}
	}
	if r.file.Clicked(gtx) {
		s := r.host.Session()
		r.host.Ask(kit.Files{Title: "The lesson that the swing goes to", Kinds: []choose.Kind{choose.Lessons}, Dir: filepath.Dir(s.Path)}, func(paths []string) {
			if len(paths) > 0 && r.open && r.host.Session() == s {
				r.moveTo(paths[0], false)
			}
		})
	}
	if r.cancel.Clicked(gtx) {
		r.open = false
	}
}

// moveTo moves the swing on the bench: into the other document first, so that whatever
// happens on the way it is in one of them.
func (r *Room) moveTo(path string, fresh bool) {
	s := r.host.Session()
	if path == s.Path {
		r.host.Alert("The swing is in that lesson already. Choose another.")
		return
	}
	m := &move{of: s, swing: *s.Bench.Swing(), path: path, folder: filepath.Dir(s.Path)}
	var base *annotations.Lesson
	if fresh {
		base = annotations.NewLesson()
		base.Date, base.Coach, base.Place, base.ClickSDPx = time.Now().Format(time.DateOnly), s.Bench.Lesson().Coach, s.Bench.Lesson().Place, s.Bench.Lesson().ClickSDPx
		base.Student = s.Bench.Lesson().Student
		m.base = base
	}
	r.busy = true
	r.host.Go("Moving the swing", func() {
		r.files.Lock()
		l, as, err := put(path, base, m.swing, m.folder, "")
		r.files.Unlock()
		r.host.Post(func() {
			r.busy = false
			switch {
			case r.host.Session() != s:
			case err != nil:
				r.host.Alert("The swing could not be moved, and stays where it is: " + words.Sentence(err.Error()) + ".")
			default:
				r.open, m.as = false, as
				r.shelf.Touch(path, l, false, true)
				r.takeFrom(s, m)
			}
		})
	}, func() { r.busy = false })
}

// takeFrom takes a swing that was put elsewhere out of the open lesson, as one step of
// undo.
func (r *Room) takeFrom(s *session.Session, m *move) {
	e := s.Bench.Editor()
	e.Begin("move swing")
	var err error
	if len(s.Bench.Lesson().Swings) == 1 {
		err = e.Apply(annotations.AddSwing{Swing: annotations.Swing{ID: annotations.NewID(), Label: "Swing 1", Club: m.swing.Club}})
	}
	if err == nil {
		err = e.Apply(annotations.RemoveSwing{Swing: m.swing.ID})
	}
	if err != nil {
		e.Cancel()
		r.host.Alert(err.Error())
		return
	}
	e.End()
	r.moves = append(r.moves, m)
	r.show(e.Lesson().Swings[0].ID)
	r.host.Tell(bench.Note(fmt.Sprintf("“%s” is moved to the other lesson, with its marks. %s brings it back.", m.swing.Label, r.host.Shortcut("undo"))))
}

// Watch looks whether a swing that was moved came back by undo, and then takes it out of
// the other lesson once this one is saved; or left again by redo, and then puts it there
// before this one is saved. It is called each frame before the lesson is saved.
func (r *Room) Watch() {
	s := r.host.Session()
	if s == nil || len(r.moves) == 0 || s.Bench.Lesson() == r.seen {
		return
	}
	r.seen = s.Bench.Lesson()
	for _, m := range r.moves {
		here := r.seen.Swing(m.swing.ID) != nil
		if m.of != s || here == m.here {
			continue
		}
		m.here = here
		if here {
			r.back(s, m)
			continue
		}
		r.files.Lock()
		l, _, err := put(m.path, m.begun(), m.swing, m.folder, m.as)
		r.files.Unlock()
		if err != nil {
			s.Bench.Editor().Undo()
			m.here, r.seen = true, s.Bench.Lesson()
			r.host.Alert("The swing could not be moved again, and stays where it is: " + words.Sentence(err.Error()) + ".")
			return
		}
		r.shelf.Touch(m.path, l, false, true)
	}
}

// back takes a swing that is in the open lesson again out of the other.
func (r *Room) back(s *session.Session, m *move) {
	s.Save()
	r.host.Go("Taking the swing back", func() {
		r.files.Lock()
		defer r.files.Unlock()
		err := s.Flush()
		var l *annotations.Lesson
		if err == nil {
			l, err = takeOut(m.path, m.as)
		}
		r.host.Post(func() {
			if err != nil {
				r.host.Alert("The swing is back, and is in the other lesson as well: " + words.Sentence(err.Error()) + ". Take it out there.")
				return
			}
			if m.base != nil && len(l.Swings) == 0 {
				r.discard(m.path, l)
				return
			}
			r.shelf.Touch(m.path, l, false, true)
		})
	}, nil)
}

// begun is the lesson that is begun anew for the swing where it was put in the trash, or
// nil.
func (m *move) begun() *annotations.Lesson {
	if m.base == nil {
		return nil
	}
	l := *m.base
	l.ID = annotations.NewID()
	return &l
}

// discard puts a lesson in the trash that was begun for a swing which is gone again.
func (r *Room) discard(path string, l *annotations.Lesson) {
	worker.Ask(r.shelf, "the empty lesson stays in the library", func(ctx context.Context, lib *library.Library) (bool, error) {
		r.files.Lock()
		defer r.files.Unlock()
		if now, _, err := annotations.Load(path); err != nil || len(now.Swings) > 0 {
			return false, err // the swing was moved again
		}
		key, err := lib.Record(ctx, path, l, false)
		if err == nil {
			err = lib.Delete(ctx, key)
		}
		return err == nil, err
	}, func(_ bool, err error) {
		if err != nil {
			r.host.Alert(words.Sentence(err.Error()) + ".")
		}
	})
}

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	return r.card.Layout(gtx, th, "Move this swing to …", 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(10)}
		text := "It goes with its clips, marks and findings; the clips' files stay where they are."
		if r.busy {
			text = "Moving …"
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, text)
		})
		for i := range r.choices {
			c := &r.choices[i]
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return kit.RowButton(gtx, th, &c.row, "Move to "+kit.Joined(c.title, c.more), c.title, c.more, "")
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.file, draw.ButtonStyle{Label: "Another lesson …", Disabled: r.busy})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.cancel, draw.ButtonStyle{Label: "Cancel", Disabled: r.busy})
				})
		})
		return col.Done()
	})
}
