package stage

import (
	"gioui.org/f32"
	"gioui.org/layout"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// layoutTracked draws, between key positions, where the points were followed to:
// thin, and without the discs of marks that can be taken hold of.
func (room *Room) layoutTracked(gtx layout.Context, i int) {
	if !room.doors.Followed() || room.host.Settings().HideBones {
		return
	}
	b, v := room.host.Session().Bench, &room.views[i]
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
				pen.Fill(draw.Alpha(room.host.Theme().Outline, 0.5))
			} else {
				pen.Fill(sideColour(side))
			}
		}
	}
}
