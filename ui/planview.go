package ui

import (
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/plan"
	"turngauge/ui/session"
)

// planView is the golfer from above at the key position the sheet is about.
type planView struct {
	view   plan.View
	figure plan.Figure
	of     planKey
}

// planKey is what a figure was made from.
type planKey struct {
	session  *session.Session
	lesson   *annotations.Lesson // of the result
	position geometry.PositionName
	other    *session.Other
	measured bool // the other

	curves  *bench.Curves // where the figure is the followed golfer between key positions
	seconds float64
}

// refresh makes the figure again where the result or the position changed.
func (p *planView) refresh(d *session.Session) {
	position, mirror := d.Show().Position, d.Bench.Lesson().Student.Handed == geometry.LeftHanded
	if f, seconds, ok := trackedFigure(d); ok {
		curves, _ := d.Bench.Curves()
		if k := (planKey{session: d, curves: curves, seconds: seconds}); p.of != k {
			p.of, p.figure = k, f
			p.figure.Mirror = mirror
		}
		return
	}
	k := planKey{session: d, lesson: d.Result.Lesson, position: position, other: d.Other, measured: d.Other != nil && d.Other.Measured}
	if p.of == k {
		return
	}
	p.of = k
	p.figure = plan.Build(position, d.Result.PointsAt(position), d.Result.PointsAt(geometry.Address), d.Result.Measures)
	if o := d.Other; o != nil {
		before := plan.Build(position, o.PointsAt(position), nil, nil)
		p.figure.PreviousHips, p.figure.PreviousShoulders = before.Hips, before.Shoulders
	}
	p.figure.Mirror = mirror
}

func (a *App) layoutPlan(gtx layout.Context) layout.Dimensions {
	a.plan.view.Imperial = a.settings.Imperial
	return a.plan.view.Layout(gtx, a.theme, &a.plan.figure)
}
