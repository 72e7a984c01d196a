package ui

import (
	"context"
	"fmt"
	"math"
	"path/filepath"

	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/plan"
	"turngauge/ui/profile"
	"turngauge/ui/shelf/worker"
	"turngauge/video"
)

// other is the swing that the one on the bench is compared with. It is only
// looked at: its lesson is never changed.
type other struct {
	path   string // of its lesson document
	lesson *annotations.Lesson
	swing  string

	measured bool
	result   *annotations.Result // nil until it is measured

	reels
}

func (o *other) theSwing() *annotations.Swing { return o.lesson.Swing(o.swing) }

// title tells the swing apart from the one on the bench, which is of the lesson
// given: what is the same is left out.
func (o *other) title(bench *annotations.Lesson) string {
	l, name := o.lesson, ""
	if l.Student.Name != bench.Student.Name {
		name = l.Student.Name
	}
	if l.ID == bench.ID {
		return o.theSwing().Label
	}
	if s := kit.Joined(name, l.Title, l.Date); s != "" {
		return s
	}
	return o.theSwing().Label
}

// pointsAt returns the fitted points of a position, or nil.
func (o *other) pointsAt(name geometry.PositionName) *plan.Points {
	return o.result.Points(name)
}

func (o *other) close() {
	for i, f := range o.films {
		if f != nil {
			f.close()
		}
		o.films[i] = nil
	}
}

// show returns what the stages show: the bench, or the comparison.
func (d *desk) show() *bench.Show {
	if d.comparing != nil {
		return &d.comparing.Show
	}
	return &d.Bench.Show
}

// viewStage is the stage on which the bench shows a view.
func viewStage(v geometry.View) int {
	if v == geometry.DownTheLine {
		return 1
	}
	return 0
}

// reels are the opened clips of a swing by view, in the order of the bench's
// stages.
type reels struct {
	films  [bench.NumStages]*film
	waves  [bench.NumStages][]float32 // sound level along the clip
	errors [bench.NumStages]string    // why a clip can't be shown
}

// reel returns where the clip that a stage shows is kept.
func (d *desk) reel(stage int) (*reels, int) {
	switch {
	case d.comparing == nil:
		return &d.reels, stage
	case stage == 0:
		return &d.reels, viewStage(d.comparing.View())
	default:
		return &d.other.reels, viewStage(d.comparing.View())
	}
}

// film returns the opened clip that a stage shows, or nil.
func (d *desk) film(stage int) *film {
	r, i := d.reel(stage)
	return r.films[i]
}

// wave returns the sound level along the clip that a stage shows.
func (d *desk) wave(stage int) []float32 {
	r, i := d.reel(stage)
	return r.waves[i]
}

// trouble says why a stage shows no picture, or "".
func (d *desk) trouble(stage int) string {
	r, i := d.reel(stage)
	return r.errors[i]
}

// lookBack compares, unasked, with the student's last lesson before this one,
// if it is known and was measured.
func (a *App) lookBack(d *desk) {
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
func (a *App) lookBackAt(d *desk, path string) {
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
				if a.desk == d && d.other == nil {
					a.compareWith(path, earlier, swing)
				}
			})
		}
	}, nil)
}

// compareWith makes a swing the one that the sheet and the plan view compare
// with.
func (a *App) compareWith(path string, l *annotations.Lesson, swing string) {
	d := a.desk
	a.stopComparing()
	if d.other != nil {
		d.other.close()
	}
	o := &other{path: path, lesson: l, swing: swing}
	d.other = o
	index, targets := l.SwingIndex(swing), a.targets
	a.work.Go("Measuring the swing to compare with", func() {
		result, err := annotations.Evaluate(d.ctx, l, index, annotations.Options{Targets: targets})
		a.work.Post(func() {
			if a.desk != d || d.other != o {
				return
			}
			o.measured = true
			if err == nil {
				o.result = result
			}
			a.plan.made = false
			d.asked = false // the sheet is to be written anew
			if len(o.result.Values()) == 0 {
				a.notices.Tell("Nothing can be measured in the swing to compare with: mark it first.")
			}
		})
	}, func() { o.measured = true })
}

// startComparing puts the other swing beside the one on the bench.
func (a *App) startComparing() {
	d := a.desk
	d.Bench.Pause()
	view := d.Bench.Stages[d.Bench.Active].View
	if d.other.theSwing().ClipOf(view) == nil {
		if v := d.Bench.Stages[1-d.Bench.Active].View; d.other.theSwing().ClipOf(v) != nil {
			view = v
		}
	}
	d.comparing = bench.NewComparison(d.Bench.Swing, d.other.theSwing, view, d.Bench.Position)
	a.sheet.Changes = true
	a.points.open = false
	a.openCompared()
}

// stopComparing goes back to the bench, at the key position looked at last.
func (a *App) stopComparing() {
	d := a.desk
	if d.comparing == nil {
		return
	}
	position := d.comparing.Position
	d.comparing = nil
	for i := range a.stages {
		a.stages[i].held = false
	}
	a.notices.Tell(d.Bench.GoToPosition(position))
}

// compareOtherView shows both swings from the other view.
func (a *App) compareOtherView() {
	c := a.desk.comparing
	view := geometry.DownTheLine
	if c.View() == view {
		view = geometry.FaceOn
	}
	if !c.Shows(0, view) && !c.Shows(1, view) {
		a.notices.Tell(bench.Note(fmt.Sprintf("Neither swing has a %s clip.", view)))
		return
	}
	c.SetView(view)
	a.openCompared()
}

// openCompared gives the stages of the comparison their films.
func (a *App) openCompared() {
	d, c := a.desk, a.desk.comparing
	at := viewStage(c.View())
	if f := d.films[at]; f != nil && c.Stages[0].Clip != "" {
		c.OpenFilm(0, f)
	}
	o := d.other
	clip := o.theSwing().ClipOf(c.View())
	switch {
	case clip == nil:
		o.errors[at] = fmt.Sprintf("This swing was not filmed %s.", c.View())
	case o.films[at] != nil:
		c.OpenFilm(1, o.films[at])
	case clip.File == "":
		o.errors[at] = "This clip has no file, so there is no picture of it; its numbers are in the sheet."
	default:
		path, filmed := clip.PathIn(filepath.Dir(o.path)), clip.FilmedFPS
		o.errors[at] = ""
		a.work.Go("Opening "+path, func() { a.openOther(d, o, at, path, filmed) }, nil)
	}
}

func (a *App) openOther(d *desk, o *other, at int, path string, filmed float64) {
	src, err := video.OpenContext(d.ctx, path)
	if err != nil {
		a.work.Post(func() { o.errors[at] = err.Error() })
		return
	}
	src.SetFilmed(filmed)
	f := a.newFilm(src)
	a.work.Post(func() {
		if a.desk != d || d.other != o || o.films[at] != nil {
			f.close()
			return
		}
		o.films[at] = f
		if c := d.comparing; c != nil && viewStage(c.View()) == at {
			c.OpenFilm(1, f)
		}
	})
}

// toggleCompare begins comparing, ends it, or asks for the other swing first.
func (a *App) toggleCompare() {
	switch d := a.desk; {
	case d.comparing != nil:
		a.stopComparing()
	case d.other != nil:
		a.startComparing()
	default:
		a.chooseOther()
	}
}

// guideOf returns what stands beside the key positions: the guide to marking,
// or what is compared.
func (a *App) guideOf() func(layout.Context) layout.Dimensions {
	if a.desk.comparing != nil {
		return a.layoutComparing
	}
	if a.explains() {
		return a.layoutExplaining
	}
	if a.desk.follow.cancel != nil {
		return a.layoutFollowing
	}
	return a.layoutGuide
}

// guideBusy reports whether something else than the guide stands in its place.
func (a *App) guideBusy() bool {
	return a.explains() || a.desk.follow.cancel != nil || a.desk.Bench.MarkingAgain()
}

// goTo shows a key position.
func (a *App) goTo(name geometry.PositionName) {
	if c := a.desk.comparing; c != nil {
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
	name, note := a.desk.show().Neighbour(step)
	if name == "" {
		a.notices.Tell(note)
		return
	}
	a.goTo(name)
}

// handleCompared turns the pointer's events on a compared picture into moving
// and magnifying it.
func (a *App) handleCompared(gtx layout.Context, i int, e pointer.Event) {
	v, c := &a.stages[i], a.desk.comparing
	switch e.Kind {
	case pointer.Enter, pointer.Move:
		v.inside = true
	case pointer.Leave:
		v.inside = false
	case pointer.Press:
		v.held, v.id = true, e.PointerID
		gtx.Execute(key.FocusCmd{Tag: a})
		c.Grab(i, screenPt(e.Position))
	case pointer.Drag:
		if v.held && e.PointerID == v.id {
			c.Drag(screenPt(e.Position))
		}
	case pointer.Release, pointer.Cancel:
		v.held = false
		c.Release()
	case pointer.Scroll:
		c.Zoom(i, screenPt(e.Position), math.Exp(-0.008*float64(e.Scroll.Y)), v.stageSize())
	}
}
