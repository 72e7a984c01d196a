package ui

import (
	"math"

	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/plan"
)

// planView is the golfer from above at the key position the sheet is about.
type planView struct {
	view     plan.View
	figure   plan.Figure
	lesson   *annotations.Lesson // that the figure is of
	position geometry.PositionName
	tracked  float64 // when the followed golfer it shows is; NaN for a key position
	made     bool
}

// refresh makes the figure again where the result or the position changed.
func (p *planView) refresh(d *desk) {
	position := d.show().Position
	if f, seconds, ok := d.trackedFigure(); ok {
		p.made, p.tracked, p.figure = true, seconds, f
		p.figure.Mirror = d.Bench.Lesson().Student.Handed == geometry.LeftHanded
		return
	}
	if p.made && p.lesson == d.result.lesson && p.position == position && math.IsNaN(p.tracked) {
		return
	}
	p.made, p.lesson, p.position, p.tracked = true, d.result.lesson, position, math.NaN()
	p.figure = plan.Build(position, d.pointsAt(position), d.pointsAt(geometry.Address), d.result.measures)
	if o := d.other; o != nil {
		before := plan.Build(position, o.pointsAt(position), nil, nil)
		p.figure.PreviousHips, p.figure.PreviousShoulders = before.Hips, before.Shoulders
	}
	p.figure.Mirror = d.Bench.Lesson().Student.Handed == geometry.LeftHanded
}

// pointsAt returns the fitted points of a position, or nil. The result may be
// of a lesson a moment older than the one on the bench: its own order counts.
func (d *desk) pointsAt(name geometry.PositionName) *plan.Points {
	if d.result.lesson == nil {
		return nil
	}
	sw := d.result.lesson.Swing(d.Bench.Swing().ID)
	if sw == nil {
		return nil
	}
	if i := sw.PositionIndex(name); i >= 0 && i < len(d.result.points) {
		return &d.result.points[i]
	}
	return nil
}

func (a *App) layoutPlan(gtx layout.Context) layout.Dimensions {
	a.plan.view.Imperial = a.settings.Imperial
	return a.plan.view.Layout(gtx, a.theme, &a.plan.figure)
}
