package stage

import (
	"image/color"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

const (
	markRadius unit.Dp = 6
	lineWidth  unit.Dp = 2
	dashOn     unit.Dp = 7
	dashOff    unit.Dp = 5
)

// sideColour is the colour of a side's marks and lines on a picture. The side
// is told by the line as well: solid for lead, dashed for trail.
func sideColour(s geometry.Side) color.NRGBA {
	lead, trail, middle := draw.PictureColours()
	switch s {
	case geometry.Lead:
		return lead
	case geometry.Trail:
		return trail
	default:
		return middle
	}
}

// layoutMarks draws the marks of the key position that a stage shows, with the
// lines between them.
func (room *Room) layoutMarks(gtx layout.Context, i int) {
	show := room.host.Session().Show()
	position, ok := show.PositionAt(i)
	if !ok {
		return
	}
	st, v := &show.Stages[i], &room.views[i]
	marks := room.marks[:0]
	var at [geometry.NumPoints]f32.Point
	var seen [geometry.NumPoints]bool
	if room.host.Session().Comparing == nil {
		marks = room.host.Session().Bench.AppendMarks(marks, i, position)
	} else {
		marks = bench.AppendVisible(marks, show.SwingOn(i), st.Clip, position)
	}
	for k := range marks {
		p := st.Port.ToScreen(bench.PicturePt(marks[k].At), v.stageSize())
		at[marks[k].Point], seen[marks[k].Point] = f32.Pt(float32(p.X), float32(p.Y)), true
	}
	room.marks = marks
	if !room.host.Settings().HideBones {
		room.drawBones(gtx, &at, &seen)
	}
	for _, side := range [...]geometry.Side{geometry.Middle, geometry.Trail, geometry.Lead} {
		room.drawMarks(gtx, marks, &at, side)
	}
	if room.host.Session().Comparing != nil {
		return
	}
	if !room.host.Session().Bench.MarkingAgain() {
		room.drawSuspects(gtx, i, position, &at, &seen)
	}
	if s, ok := room.host.Session().Bench.Selected(); ok && s.Stage == i && s.Position == position && seen[s.Point] {
		p := at[s.Point]
		draw.Ring(gtx.Ops, p, float32(gtx.Dp(markRadius+5)), float32(gtx.Dp(2)), room.host.Theme().Plate)
		draw.Ring(gtx.Ops, p, float32(gtx.Dp(markRadius+4)), float32(gtx.Dp(2)), room.pictureAccent())
		room.host.Theme().TextOnPicture(gtx, p.Add(f32.Pt(float32(gtx.Dp(14)), float32(-gtx.Dp(14)))), 0, 1, draw.Small, font.Normal, room.host.Theme().PlateText, s.Point.String())
	}
}

// pictureAccent is the accent as it is drawn on pictures, the same in the dark
// and the light window.
func (room *Room) pictureAccent() color.NRGBA { return draw.DarkPalette().Accent }

// boneSide is the side whose line style a bone has: that of both its ends, or
// the middle.
func boneSide(e [2]geometry.Point) geometry.Side {
	if s := e[0].Side(); s == e[1].Side() {
		return s
	}
	return geometry.Middle
}

func (room *Room) drawBones(gtx layout.Context, at *[geometry.NumPoints]f32.Point, seen *[geometry.NumPoints]bool) {
	w := float32(gtx.Dp(lineWidth))
	on, off := float32(gtx.Dp(dashOn)), float32(gtx.Dp(dashOff))
	line := func(p *draw.Pen, e [2]geometry.Point, side geometry.Side, width float32) {
		from, to := at[e[0]], at[e[1]]
		if side == geometry.Trail {
			p.DashedLine(from, to, width, on, off)
		} else {
			p.Line(from, to, width)
		}
	}
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	for _, e := range geometry.Bones {
		if seen[e[0]] && seen[e[1]] {
			line(&pen, e, boneSide(e), w+float32(gtx.Dp(2)))
		}
	}
	pen.Fill(draw.Alpha(room.host.Theme().Outline, 0.7))
	for _, side := range [...]geometry.Side{geometry.Middle, geometry.Trail, geometry.Lead} {
		pen.Begin(gtx.Ops)
		for _, e := range geometry.Bones {
			if seen[e[0]] && seen[e[1]] && boneSide(e) == side {
				line(&pen, e, side, w)
			}
		}
		pen.Fill(draw.Alpha(sideColour(side), 0.85))
	}
}

// drawMarks draws the marks of one side. A placed mark is a ring with a dot at
// the place itself; a proposed one has no dot; an unsure one has a second ring.
// The ring is whole on the lead side and in the middle, broken on the trail
// side.
func (room *Room) drawMarks(gtx layout.Context, marks []annotations.Mark, at *[geometry.NumPoints]f32.Point, side geometry.Side) {
	r, w := float32(gtx.Dp(markRadius)), float32(gtx.Dp(2))
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	for k := range marks {
		if m := &marks[k]; m.Point.Side() == side {
			pen.Ring(at[m.Point], r, w+float32(gtx.Dp(2)))
			if m.State == geometry.Placed {
				pen.Circle(at[m.Point], w)
			}
		}
	}
	pen.Fill(room.host.Theme().Outline)
	pen.Begin(gtx.Ops)
	for k := range marks {
		m := &marks[k]
		if m.Point.Side() != side {
			continue
		}
		p := at[m.Point]
		ring := func(r float32) {
			if side != geometry.Trail {
				pen.Ring(p, r, w)
				return
			}
			const pieces = 4
			for q := range pieces {
				from := float32(q) * 2 * math.Pi / pieces
				pen.Arc(p, r, from, from+math.Pi/pieces*1.3, w)
			}
		}
		ring(r)
		if m.SDPx > 0 && m.State == geometry.Placed {
			ring(r + 2*w)
		}
		if m.State == geometry.Placed {
			pen.Circle(p, w*0.75)
		}
	}
	pen.Fill(sideColour(side))
}
