package ui

import (
	"gioui.org/f32"
	"gioui.org/layout"

	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/plan"
	"turngauge/ui/session"
)

// layoutTracked draws, between key positions, where the points were followed to:
// thin, and without the discs of marks that can be taken hold of.
func (a *App) layoutTracked(gtx layout.Context, i int) {
	if !a.curves.Shown() || a.settings.HideBones {
		return
	}
	b, v := a.desk.Bench, &a.stages[i]
	st := &b.Stages[i]
	if _, key := b.PositionAt(i); key {
		return
	}
	var at [geometry.NumPoints]f32.Point
	var seen [geometry.NumPoints]bool
	for _, p := range b.Tracked(st.Clip, st.Frame) {
		q := st.Port.ToScreen(bench.PicturePt(p.At), v.stageSize())
		at[p.Point], seen[p.Point] = f32.Pt(float32(q.X), float32(q.Y)), true
	}
	thin := float32(gtx.Dp(1))
	on, off := float32(gtx.Dp(dashOn)), float32(gtx.Dp(dashOff))
	var pen draw.Pen
	for _, rim := range []bool{true, false} {
		for _, side := range [...]geometry.Side{geometry.Middle, geometry.Trail, geometry.Lead} {
			w := thin
			if rim {
				w = 3 * thin
			}
			pen.Begin(gtx.Ops)
			for _, e := range geometry.Bones {
				if !seen[e[0]] || !seen[e[1]] || boneSide(e) != side {
					continue
				}
				if side == geometry.Trail {
					pen.DashedLine(at[e[0]], at[e[1]], w, on, off)
				} else {
					pen.Line(at[e[0]], at[e[1]], w)
				}
			}
			for p := range geometry.Ball {
				if seen[p] && p.Side() == side {
					pen.Ring(at[p], float32(gtx.Dp(3)), w)
				}
			}
			if rim {
				pen.Fill(draw.Alpha(a.theme.Outline, 0.5))
			} else {
				pen.Fill(sideColour(side))
			}
		}
	}
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
	if _, key := d.Bench.PositionAt(active); key {
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
