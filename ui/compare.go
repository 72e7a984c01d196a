package ui

import (
	"context"
	"math"

	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// lookBack compares, unasked, with the student's last lesson before this one,
// if it is known and was measured.
func (a *App) lookBack(d *session.Session) {
	l := d.Bench.Lesson()
	if l.Student.Name == "" || l.Date == "" {
		return
	}
	var before profile.Recent
	for _, r := range a.dirs.Recents() {
		if r.Path != d.Path && r.Student == l.Student.Name && r.Date != "" && r.Date < l.Date && r.Date > before.Date {
			before = r
		}
	}
	if !a.shelf.Started() {
		a.lookBackAt(d, before.Path)
		return
	}
	worker.Ask(a.shelf, "the lesson before can't be looked up", func(ctx context.Context, lib *library.Library) (string, error) {
		e, ok, err := lib.Before(ctx, l.Student.Name, l.Date, d.Path)
		if err != nil || !ok || e.Date < before.Date || place.Missing(e.Path) {
			return before.Path, nil
		}
		return e.Path, nil
	}, func(path string, err error) {
		if err != nil {
			path = before.Path
		}
		if a.desk == d {
			a.lookBackAt(d, path)
		}
	})
}

// lookBackAt compares with a lesson document, if there is a swing to compare
// with in it.
func (a *App) lookBackAt(d *session.Session, path string) {
	if path == "" {
		return
	}
	l, club := d.Bench.Lesson(), d.Bench.Swing().Club
	a.work.Go("Reading the last lesson", func() {
		earlier, _, err := annotations.Load(path)
		if err != nil || earlier.ID == l.ID {
			return // it was not asked for
		}
		if swing, ok := earlier.SwingToCompare(club); ok {
			a.work.Post(func() {
				if a.desk == d && d.Other == nil {
					a.compareWith(path, earlier, swing)
				}
			})
		}
	}, nil)
}

// compareWith makes a swing the one that the sheet and the plan view compare
// with.
func (a *App) compareWith(path string, l *annotations.Lesson, swing string) {
	a.stopComparing()
	a.desk.CompareWith(path, l, swing)
}

// startComparing puts the other swing beside the one on the bench.
func (a *App) startComparing() {
	a.desk.StartComparing()
	a.sheet.Changes = true
	a.points.Close()
}

// stopComparing goes back to the bench, at the key position looked at last.
func (a *App) stopComparing() {
	if a.desk.Comparing == nil {
		return
	}
	a.desk.StopComparing()
	a.forgetHand()
}

// toggleCompare begins comparing, ends it, or asks for the other swing first.
func (a *App) toggleCompare() {
	switch d := a.desk; {
	case d.Comparing != nil:
		a.stopComparing()
	case d.Other != nil:
		a.startComparing()
	default:
		a.chooseOther()
	}
}

// guideOf returns what stands beside the key positions: the guide to marking,
// or what is compared.
func (a *App) guideOf() func(layout.Context) layout.Dimensions {
	if a.desk.Comparing != nil {
		return a.layoutComparing
	}
	if a.explain.On() {
		return a.explain.Layout
	}
	if a.following() {
		return a.layoutFollowing
	}
	return a.layoutGuide
}

// following reports whether marks are being proposed.
func (a *App) following() bool {
	_, on := a.desk.Following()
	return on
}

// guideBusy reports whether something else than the guide stands in its place.
func (a *App) guideBusy() bool {
	return a.explain.On() || a.following() || a.desk.Bench.MarkingAgain()
}

// goTo shows a key position.
func (a *App) goTo(name geometry.PositionName) {
	if c := a.desk.Comparing; c != nil {
		a.notices.Tell(c.GoToPosition(name))
		return
	}
	b := a.desk.Bench
	if s, again := b.Blind(); again && s.Position != name {
		a.notices.Tell(b.Busy()) // its first marks would be asked for, and seen, elsewhere
		return
	}
	a.notices.Tell(b.GoToPosition(name))
}

// goToNeighbour shows the next key position (1) or the one before (-1).
func (a *App) goToNeighbour(step int) {
	name, note := a.desk.Show().Neighbour(step)
	if name == "" {
		a.notices.Tell(note)
		return
	}
	a.goTo(name)
}

// handleCompared turns the pointer's events on a compared picture into moving
// and magnifying it.
func (a *App) handleCompared(gtx layout.Context, i int, e pointer.Event) {
	v, c := &a.stages[i], a.desk.Comparing
	switch e.Kind {
	case pointer.Enter, pointer.Move:
		v.inside = true
	case pointer.Leave:
		v.inside = false
	case pointer.Press:
		v.grip = kit.Grip{Held: true, ID: e.PointerID}
		gtx.Execute(key.FocusCmd{Tag: a})
		c.Grab(i, screenPt(e.Position))
	case pointer.Drag:
		if v.grip.Holds(e) {
			c.Drag(screenPt(e.Position))
		}
	case pointer.Release, pointer.Cancel:
		v.grip.Held = false
		c.Release()
	case pointer.Scroll:
		c.Zoom(i, screenPt(e.Position), math.Exp(-0.008*float64(e.Scroll.Y)), v.stageSize())
	}
}
