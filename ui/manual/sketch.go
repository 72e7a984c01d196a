package manual

import (
	"image"
	"strings"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/draw"
)

// plane is what a sketch is projected on.
type plane int

const (
	front plane = iota // as face-on: x to the right, y up
	side               // as down the line: z to the right, y up
	above              // from above: x to the right, z down
)

// project returns where a point of the world falls on the plane, metres, down
// being positive.
func (p plane) project(v r3.Vec) f32.Point {
	switch p {
	case side:
		return f32.Pt(float32(v.Z), float32(-v.Y))
	case above:
		return f32.Pt(float32(v.X), float32(v.Z))
	default:
		return f32.Pt(float32(v.X), float32(-v.Y))
	}
}

// end is one end of a line: a point, or the middle of a pair of points.
type end struct {
	point  geometry.Point
	middle bool
}

func on(p geometry.Point) end  { return end{point: p} }
func mid(p geometry.Point) end { return end{point: p, middle: true} }

func (e end) of(p *golfer.Points) r3.Vec {
	if e.middle {
		return r3.Scale(0.5, r3.Add(p[e.point], p[e.point.Opposite()]))
	}
	return p[e.point]
}

// sketch is a picture that shows what a measure is: the golfer in a plane, with
// the lines that the measure is read from.
type sketch struct {
	plane plane
	at    geometry.PositionName
	lines [][2]end
	// since draws the same lines at address, dashed; moved an arrow from where
	// the first end is at address to where it is now.
	since, moved bool
	// upright and level are references through the first end; straight is one
	// from the first end to the last.
	upright, level, straight bool
}

func line(a, b end) [][2]end { return [][2]end{{a, b}} }

var (
	hips      = line(on(geometry.TrailHip), on(geometry.LeadHip))
	shoulders = line(on(geometry.TrailShoulder), on(geometry.LeadShoulder))
	spine     = line(mid(geometry.LeadHip), mid(geometry.LeadShoulder))
	club      = line(on(geometry.Grip), on(geometry.Clubhead))
)

// sketches has the picture of each measure by its name.
var sketches = map[string]sketch{
	"pelvis turn":                    {plane: above, at: geometry.Top, lines: hips, since: true},
	"torso turn":                     {plane: above, at: geometry.Top, lines: shoulders, since: true},
	"separation":                     {plane: above, at: geometry.Top, lines: append(append([][2]end{}, hips...), shoulders...)},
	"pelvis turn about its own axis": {plane: front, at: geometry.Top, lines: hips, since: true},
	"torso turn about the spine":     {plane: front, at: geometry.Top, lines: append(append([][2]end{}, spine...), shoulders...)},
	"pelvis tilt":                    {plane: front, at: geometry.Impact, lines: hips, level: true},
	"torso side bend":                {plane: front, at: geometry.Impact, lines: spine, upright: true},
	"forward bend":                   {plane: side, at: geometry.Address, lines: spine, upright: true},
	"stance width":                   {plane: above, at: geometry.Address, lines: line(on(geometry.TrailHeel), on(geometry.LeadHeel))},
	"balance":                        {plane: side, at: geometry.Address, lines: line(on(geometry.LeadHeel), on(geometry.LeadToe))},
	"sway":                           {plane: front, at: geometry.Top, lines: hips, moved: true},
	"pelvis height change":           {plane: front, at: geometry.Impact, lines: hips, moved: true},
	"pelvis toward the ball":         {plane: side, at: geometry.Impact, lines: hips, moved: true},
	"shaft plane":                    {plane: side, at: geometry.Address, lines: club, level: true},
	"club above plane":               {plane: side, at: geometry.Delivery, lines: club, since: true},
	"plane change":                   {plane: side, at: geometry.ClubLevelBack, lines: club, since: true},
	"lead arm height":                {plane: front, at: geometry.Top, lines: line(on(geometry.LeadShoulder), on(geometry.LeadWrist)), level: true},
	"shaft angle at the top":         {plane: front, at: geometry.Top, lines: club, level: true},
	"stance width over shoulder breadth": {plane: above, at: geometry.Address,
		lines: append(line(on(geometry.TrailHeel), on(geometry.LeadHeel)), shoulders...)},
}

// sketchOf returns the picture of a measure; ok is false for one that has none,
// such as the tempo.
func sketchOf(name string) (s sketch, ok bool) {
	if s, ok = sketches[name]; ok {
		return s, true
	}
	hip, knee, ankle, heel, toe := geometry.LeadHip, geometry.LeadKnee, geometry.LeadAnkle, geometry.LeadHeel, geometry.LeadToe
	if strings.HasPrefix(name, "trail ") {
		hip, knee, ankle, heel, toe = hip.Opposite(), knee.Opposite(), ankle.Opposite(), heel.Opposite(), toe.Opposite()
	}
	leg := [][2]end{{on(hip), on(knee)}, {on(knee), on(ankle)}}
	switch {
	case strings.HasSuffix(name, "knee flex"):
		return sketch{plane: side, at: geometry.Address, lines: leg}, true
	case strings.Contains(name, "ankle-knee line"):
		return sketch{plane: side, at: geometry.Address, lines: leg, straight: true}, true
	case strings.HasSuffix(name, "foot flare"):
		return sketch{plane: above, at: geometry.Address, lines: line(on(heel), on(toe)), upright: true}, true
	case strings.HasPrefix(name, "head travel"):
		return sketch{plane: travelPlane(name), at: geometry.Impact, lines: line(on(geometry.Head), on(geometry.Head)), moved: true}, true
	case strings.HasPrefix(name, "lead knee travel"):
		return sketch{plane: travelPlane(name), at: geometry.Top, lines: leg, moved: true}, true
	}
	return sketch{}, false
}

func travelPlane(name string) plane {
	if strings.HasSuffix(name, "ball") {
		return side
	}
	return front
}

// frame is the part of the world that a sketch shows, metres: its middle and
// its half width.
func (p plane) frame() (middle f32.Point, half float32) {
	switch p {
	case above:
		return f32.Pt(0, 0.12), 0.55
	case side:
		return f32.Pt(0.3, -0.85), 0.98
	default:
		return f32.Pt(0, -0.85), 0.98
	}
}

// layoutSketch draws the picture of a measure as a square.
func layoutSketch(gtx layout.Context, th *draw.Theme, m *golfer.Model, s sketch, size int) layout.Dimensions {
	r := image.Rect(0, 0, size, size)
	draw.RoundRect(gtx.Ops, r, gtx.Dp(draw.Radius), th.Well)
	defer clip.Rect(r).Push(gtx.Ops).Pop()
	middle, half := s.plane.frame()
	k := float32(size) / (2 * half)
	events := m.Events()
	now, then := m.At(events[s.at]).Points, m.At(events[geometry.Address]).Points
	see := func(v r3.Vec) f32.Point {
		return s.plane.project(v).Sub(middle).Mul(k).Add(f32.Pt(float32(size)/2, float32(size)/2))
	}
	thin, thick := float32(gtx.Dp(1)), float32(gtx.Dp(3))
	if s.plane != above {
		ground := see(r3.Vec{}).Y
		draw.Line(gtx.Ops, f32.Pt(0, ground), f32.Pt(float32(size), ground), thin, th.Line)
	}
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	for _, b := range geometry.Bones {
		pen.RoundLine(see(now[b[0]]), see(now[b[1]]), 1.5*thin)
	}
	pen.Circle(see(now[geometry.Head]), 0.11*k)
	pen.Fill(th.Edge)
	first := s.lines[0][0]
	from := see(first.of(&now))
	if s.upright {
		up := f32.Pt(0, -0.6*k)
		if s.plane == above {
			up = f32.Pt(0, 0.4*k) // square to the target line
		}
		draw.DashedLine(gtx.Ops, from, from.Add(up), 1.5*thin, 4*thin, 3*thin, th.Dim)
	}
	if s.level {
		way := see(s.lines[0][1].of(&now)).X - from.X
		reach := 0.55 * k
		if way < 0 {
			reach = -reach
		}
		draw.DashedLine(gtx.Ops, from, from.Add(f32.Pt(reach, 0)), 1.5*thin, 4*thin, 3*thin, th.Dim)
	}
	if s.straight {
		last := s.lines[len(s.lines)-1][1]
		draw.DashedLine(gtx.Ops, from, see(last.of(&now)), 1.5*thin, 4*thin, 3*thin, th.Outside)
	}
	if s.since {
		for _, l := range s.lines {
			draw.DashedLine(gtx.Ops, see(l[0].of(&then)), see(l[1].of(&then)), 1.5*thin, 4*thin, 3*thin, th.Dim)
		}
	}
	pen.Begin(gtx.Ops)
	for _, l := range s.lines {
		a, b := see(l[0].of(&now)), see(l[1].of(&now))
		pen.RoundLine(a, b, thick)
		pen.Circle(a, thick)
		pen.Circle(b, thick)
	}
	pen.Fill(th.Accent)
	if s.moved {
		moved := end{point: first.point, middle: first.point != geometry.Head}
		if s.lines[0][1].point == geometry.LeadKnee { // the knee itself
			moved = on(geometry.LeadKnee)
		}
		pen.Begin(gtx.Ops)
		pen.Ring(see(moved.of(&then)), thick, 1.5*thin)
		pen.Fill(th.Outside)
		draw.Line(gtx.Ops, see(moved.of(&then)), see(moved.of(&now)), 2*thin, th.Outside)
		draw.Circle(gtx.Ops, see(moved.of(&now)), thick, th.Outside)
	}
	return layout.Dimensions{Size: r.Max}
}
