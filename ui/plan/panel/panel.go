// Package panel is the room in which the golfer is seen from above.
package panel

import (
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/plan"
	"turngauge/ui/session"
)

// Room is the plan view at the key position the sheet is about.
type Room struct {
	host   kit.Host
	view   plan.View
	figure plan.Figure
	of     key
}

// key is what a figure was made from.
type key struct {
	session  *session.Session
	lesson   *annotations.Lesson // of the result
	position geometry.PositionName
	other    *session.Other
	measured bool // the other

	curves  *bench.Curves // where the figure is the followed golfer between key positions
	seconds float64
}

// New makes the room.
func New(host kit.Host) *Room { return &Room{host: host} }

// Figure is what is drawn.
func (p *Room) Figure() *plan.Figure { return &p.figure }

// Refresh makes the figure again where the result or the position changed.
func (p *Room) Refresh() {
	d := p.host.Session()
	position, mirror := d.Show().Position, d.Bench.Lesson().Student.Handed == geometry.LeftHanded
	if f, seconds, ok := trackedFigure(d); ok {
		curves, _ := d.Bench.Curves()
		if k := (key{session: d, curves: curves, seconds: seconds}); p.of != k {
			p.of, p.figure = k, f
			p.figure.Mirror = mirror
		}
		return
	}
	k := key{session: d, lesson: d.Result.Lesson, position: position, other: d.Other, measured: d.Other != nil && d.Other.Measured}
	if p.of == k {
		return
	}
	p.of = k
	p.figure = plan.Build(position, d.Result.PointsAt(position), d.Result.PointsAt(geometry.Address), d.Result.Measures)
	if d.Result.Evaluation.Mistake().WithholdsAll() {
		p.figure.Why = "The golfer is seen from above once what the sheet tells of is mended."
	}
	if o := d.Other; o != nil {
		before := plan.Build(position, o.PointsAt(position), nil, nil)
		p.figure.PreviousHips, p.figure.PreviousShoulders = before.Hips, before.Shoulders
	}
	p.figure.Mirror = mirror
}

// Layout draws the figure.
func (p *Room) Layout(gtx layout.Context) layout.Dimensions {
	p.view.Imperial = p.host.Settings().Imperial
	return p.view.Layout(gtx, p.host.Theme(), &p.figure)
}

// between is a name for what the plan view shows between key positions.
const between geometry.PositionName = "between key positions, followed"

// trackedFigure is the golfer from above between two key positions, where the
// curves know him; ok is false at a key position and where they don't.
func trackedFigure(d *session.Session) (f plan.Figure, seconds float64, ok bool) {
	c, current := d.Bench.Curves()
	if !current || c.Fit == nil || d.Comparing != nil {
		return f, 0, false
	}
	active := d.Bench.Active
	if _, at := d.Bench.PositionAt(active); at {
		return f, 0, false
	}
	seconds, ok = d.Bench.CurveSeconds(active)
	if !ok {
		return f, 0, false
	}
	pelvis, torso := c.Fit.At(0, seconds), c.Fit.At(1, seconds)
	points, inside := c.Fit.PointsAt(seconds)
	if !inside || !pelvis.Known && !torso.Known {
		return f, 0, false
	}
	address := d.Result.PointsAt(geometry.Address)
	var now plan.Points
	if address != nil { // the feet, and the ball, are drawn where they stood
		for _, p := range []geometry.Point{geometry.LeadHeel, geometry.LeadToe, geometry.TrailHeel, geometry.TrailToe, geometry.Ball} {
			now[p] = address[p]
		}
	}
	var measures []geometry.Measure
	show := func(v motion.Value, name string, lead geometry.Point) {
		if !v.Known {
			return
		}
		for i, p := range motion.Points {
			if p == lead || p == lead.Opposite() {
				now[p] = geometry.PointEstimate{Known: true, At: points[i]}
			}
		}
		measures = append(measures, geometry.Measure{Name: name, Position: between, Unit: geometry.Degrees,
			Value: v.Value, Sigma: v.Sigma, Low95: v.Low95, High95: v.High95})
	}
	show(pelvis, "pelvis turn", geometry.LeadHip)
	show(torso, "torso turn", geometry.LeadShoulder)
	f = plan.Build(between, &now, address, measures)
	return f, seconds, true
}
