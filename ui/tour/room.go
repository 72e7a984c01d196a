// Package tour leads through the window in a few steps. It covers nothing that is
// needed: what it tells of can be tried while it is there.
package tour

import (
	"fmt"
	"image"
	"path/filepath"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/demo"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
)

// Panel is a part of the window that the tour can point at.
type Panel uint8

// The parts of the window with a lesson.
const (
	Stages Panel = iota
	Strip
	Guide
	Sheet
	Plan
	NumPanels
)

// Room is the tour.
type Room struct {
	host   kit.Host
	dirs   profile.Dirs
	doors  Doors
	wanted bool                       // begin once the demo lesson is open
	panels [NumPanels]image.Rectangle // where they were laid out
	state
}

type state struct {
	on      bool
	step    int
	start   moment    // when the step began
	done    bool      // what the step asks for was done
	advance time.Time // when to go on by itself, once done

	next, back, skip, marked draw.Button
	area                     bool // tag of the card
}

// Doors are the ways from the tour into the rest of the window.
type Doors struct {
	// Demo opens the demo lesson, Lesson that at a path.
	Demo   func()
	Lesson func(path string)
	// Clear ends what hides the parts of the window that the tour points at.
	Clear func()
	// GoTo shows a key position.
	GoTo func(geometry.PositionName)
	// Row is the row of the sheet under the pointer, else the chosen one.
	Row func() string
	// Rows reports whether the sheet has any.
	Rows func() bool
	// Focus gives the keyboard back to the window.
	Focus func(gtx layout.Context)
}

// New returns the tour of a window.
func New(h kit.Host, d profile.Dirs, doors Doors) *Room { return &Room{host: h, dirs: d, doors: doors} }

// Commands is what begins the tour.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "tour", Group: "Lesson", After: "preferences", Help: "A tour of the window in five steps",
		Keys: kit.WithMod(key.ModShift, key.NameF1), Do: r.Start, Anywhere: true,
	}}
}

// Escape ends the tour.
func (r *Room) Escape() bool {
	if !r.on || r.host.Session() == nil {
		return false
	}
	r.End()
	return true
}

// HoldsKeys is false: what the tour tells of can be tried.
func (r *Room) HoldsKeys() bool { return false }

// LessonClosed puts the tour away.
func (r *Room) LessonClosed() { r.on = false }

// On reports whether the tour is in the window.
func (r *Room) On() bool { return r.on }

// Place says where the parts of the window were laid out.
func (r *Room) Place(at [NumPanels]image.Rectangle) { r.panels = at }

// Start begins the tour, on the lesson that is open, else on the demo
// lesson.
func (r *Room) Start() {
	if r.host.Session() == nil {
		r.wanted = true
		r.doors.Demo()
		return
	}
	r.doors.Clear()
	r.state = state{on: true, start: r.moment()}
	if !r.host.Settings().TourSeen {
		r.host.Settings().TourSeen = true
		r.host.KeepSettings()
	}
}

// DemoOpened begins the tour when the demo lesson is opened for the first time.
func (r *Room) DemoOpened() {
	if r.host.Session() != nil && (r.wanted || !r.host.Settings().TourSeen) {
		r.Start()
	}
	r.wanted = false
}

// End ends the tour.
func (r *Room) End() {
	r.on = false
	if r.state.step < len(r.steps())-1 {
		r.host.Tell(bench.Note(fmt.Sprintf("The tour is over. %s, or %s and its button, starts it again.", r.host.Shortcut("tour"), r.host.Shortcut("help"))))
	}
}

func (r *Room) moment() moment {
	d := r.host.Session()
	m := moment{
		frame:     d.Bench.Stages[d.Bench.Active].Frame,
		positions: len(d.Bench.Swing().Positions), position: string(d.Bench.Position),
		revision: d.Bench.Editor().Revision(),
	}
	m.row = r.doors.Row()
	return m
}

// Show goes to a step, counted from 0.
func (r *Room) Show(n int) {
	t := &r.state
	if n >= len(r.steps()) {
		r.End()
		return
	}
	t.step, t.done = max(n, 0), false
	b := r.host.Session().Bench
	if _, ok := b.PositionAt(b.Active); !ok && r.steps()[t.step].panel == Guide && len(b.Swing().Positions) > 0 {
		r.doors.GoTo(b.Swing().Positions[0].Name) // points are asked for at a key position
	}
	t.start = r.moment()
}

// Update goes on where the step was done, or the coach says so.
func (r *Room) Update(gtx layout.Context) {
	t := &r.state
	if !t.on {
		return
	}
	if t.skip.Clicked(gtx) {
		r.End()
		r.doors.Focus(gtx)
		return
	}
	if t.marked.Clicked(gtx) {
		t.on = false
		r.doors.Lesson(filepath.Join(r.dirs.Demo(), demo.MarkedFile))
		return
	}
	if t.back.Clicked(gtx) {
		r.Show(t.step - 1)
	}
	if t.next.Clicked(gtx) {
		r.Show(t.step + 1)
		return
	}
	s := r.steps()[t.step]
	switch {
	case t.done && !gtx.Now.Before(t.advance):
		r.Show(t.step + 1)
	case t.done:
		gtx.Execute(op.InvalidateCmd{At: t.advance})
	case s.tried != nil && s.tried(t.start, r.moment()):
		t.done, t.advance = true, gtx.Now.Add(pause)
		gtx.Execute(op.InvalidateCmd{At: t.advance})
	}
}
