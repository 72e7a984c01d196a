// Package points is the room in which a point is chosen to be marked: by its name,
// or by its place on a drawing of the body and the club.
package points

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Room is the panel from which a point can be chosen.
type Room struct {
	host  kit.Host
	open  bool
	items [geometry.NumPoints]draw.Button

	chart   bool // tag of the drawing
	at      [geometry.NumPoints]f32.Point
	drawn   bool // whether there was room for the drawing
	pointed geometry.Point
	inside  bool
	held    bool
}

const (
	chartHeight unit.Sp = 300
	chartLeast  unit.Dp = 200 // less tells the points apart no more
	chartReach  unit.Dp = 16  // how far from a point on the drawing it is meant
	pointWidth  unit.Sp = 146
)

// New makes the room, closed.
func New(host kit.Host) *Room { return &Room{host: host} }

// Commands open and close the panel.
func (l *Room) Commands() []kit.Command {
	return []kit.Command{{ID: "points", Group: "Marks", After: "telling mark", Help: "Choose a point from the list", Keys: kit.On("P"), Do: func() { l.open = !l.open }}}
}

// Shown reports whether the panel is open.
func (l *Room) Shown() bool { return l.open }

// Close closes the panel.
func (l *Room) Close() { l.open = false }

// Escape closes the panel.
func (l *Room) Escape() bool {
	was := l.open
	l.open = false
	return was
}

// HoldsKeys reports false: nothing is written in the panel.
func (l *Room) HoldsKeys() bool { return false }

// LessonClosed closes the panel.
func (l *Room) LessonClosed() { l.open = false }

// Update takes up what was done on the panel.
func (l *Room) Update(gtx layout.Context) {
	if !l.open {
		return
	}
	for p := range l.items {
		if l.items[p].Clicked(gtx) {
			l.choosePoint(geometry.Point(p))
		}
	}
	l.updateChart(gtx)
}

// choosePoint arms a point, to be placed by the next click on a picture.
func (l *Room) choosePoint(p geometry.Point) {
	l.host.Session().Bench.Arm(p)
	l.open = false
}

// updateChart follows the pointer over the drawing.
func (l *Room) updateChart(gtx layout.Context) {
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: &l.chart, Kinds: pointer.Move | pointer.Enter | pointer.Leave | pointer.Press | pointer.Release | pointer.Cancel})
		if !ok {
			return
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		before := l.pointed
		l.inside = false
		if e.Kind != pointer.Leave && e.Kind != pointer.Cancel {
			l.pointed, l.inside = l.nearest(e.Position, float32(gtx.Dp(chartReach)))
		}
		switch {
		case e.Kind == pointer.Press:
			l.held = l.inside
		case e.Kind == pointer.Release && l.held && l.inside && l.pointed == before:
			l.held = false
			l.choosePoint(l.pointed)
		}
	}
}

// nearest returns the point on the drawing that is nearest to a place.
func (l *Room) nearest(at f32.Point, reach float32) (p geometry.Point, ok bool) {
	for i, q := range l.at {
		d := q.Sub(at)
		if far := float32(math.Hypot(float64(d.X), float64(d.Y))); far <= reach {
			p, reach, ok = geometry.Point(i), far, true
		}
	}
	return p, ok
}

// pointed is the point that the pointer is on, in the list or on the drawing.
func (l *Room) pointedPoint() (geometry.Point, bool) {
	if l.inside {
		return l.pointed, true
	}
	for p := range l.items {
		if l.items[p].Hovered() {
			return geometry.Point(p), true
		}
	}
	return 0, false
}

// markedAs returns the sign of a point on the active stage: marked, hidden, or
// none.
func (l *Room) markedAs(p geometry.Point) draw.Icon {
	b := l.host.Session().Bench
	position, ok := b.PositionAt(b.Active)
	if !ok {
		return draw.NoIcon
	}
	m, ok := b.Swing().Mark(b.Stages[b.Active].Clip, position, p)
	switch {
	case !ok:
		return draw.NoIcon
	case m.State == geometry.Hidden:
		return draw.IconHidden
	}
	return draw.IconCheck
}

// Layout draws the panel in the bottom right corner of the room there is; what is
// marked on the active stage is ticked. The drawing is left out where there is
// no room for it.
func (l *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, corner := l.host.Theme(), gtx.Constraints.Max
	pad, w, h := gtx.Dp(10), gtx.Sp(pointWidth), gtx.Sp(draw.Compact)+gtx.Dp(2)
	title := gtx.Sp(24)
	room := corner.Sub(image.Pt(2*pad, 2*pad+title))
	columns := 2
	for columns < 4 && (geometry.NumPoints+columns-1)/columns*h > room.Y {
		columns++
	}
	rows := (geometry.NumPoints + columns - 1) / columns
	figure := min(max(gtx.Sp(chartHeight), rows*h), room.Y, 2*(room.X-columns*w-pad)/int(draw.NumFigures))
	chart := image.Pt(int(draw.NumFigures)*figure/2, figure)
	l.drawn = figure >= gtx.Dp(chartLeast)
	if !l.drawn {
		chart = image.Point{}
		l.at = [geometry.NumPoints]f32.Point{}
	}
	size := image.Pt(columns*w+2*pad, title+max(rows*h, chart.Y)+2*pad)
	if l.drawn {
		size.X += chart.X + pad
	}
	defer op.Offset(corner.Sub(size)).Push(gtx.Ops).Pop()
	th.Card(gtx, image.Rectangle{Max: size})
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	kit.Named(gtx, image.Rectangle{Max: size}, "Point chooser")
	event.Op(gtx.Ops, l) // what lies behind is not reached through the panel
	pointer.CursorDefault.Add(gtx.Ops)
	head := "Choose a point"
	if p, ok := l.pointedPoint(); ok {
		head = bench.Title(p.String()) + ": " + bench.Where(p)
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(size.X-2*pad, title)}
	off := op.Offset(image.Pt(pad, pad)).Push(gtx.Ops)
	th.Label(g, draw.Small, font.Medium, th.Dim, head)
	off.Pop()
	defer op.Offset(image.Pt(pad, pad+title)).Push(gtx.Ops).Pop()
	x := 0
	if l.drawn {
		l.layoutChart(gtx, figure)
		x = chart.X + pad
	}
	for p := range geometry.Point(geometry.NumPoints) {
		g := gtx
		g.Constraints = layout.Exact(image.Pt(w-gtx.Dp(4), gtx.Sp(draw.Compact)))
		off := op.Offset(image.Pt(x+int(p)/rows*w, int(p)%rows*h)).Push(gtx.Ops)
		th.Button(g, &l.items[p], draw.ButtonStyle{
			Label: p.String(), Icon: l.markedAs(p), Kind: draw.Quiet, Compact: true, Start: true,
			Toggle: true, On: l.inside && l.pointed == p,
		})
		off.Pop()
	}
	return layout.Dimensions{Size: corner}
}

// layoutChart draws the body from the front and the rear, and the club, with
// every point: filled where it is marked, a ring where it is not.
func (l *Room) layoutChart(gtx layout.Context, height int) {
	th := l.host.Theme()
	mirror := l.host.Session().Bench.Lesson().Student.Handed == geometry.LeftHanded
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(height/2, height)}
	area := image.Rect(0, 0, int(draw.NumFigures)*height/2, height)
	defer clip.Rect(area).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, &l.chart)
	if l.inside {
		pointer.CursorPointer.Add(gtx.Ops)
	}
	for f := range draw.NumFigures {
		off := op.Offset(image.Pt(int(f)*height/2, 0)).Push(gtx.Ops)
		th.BodyFigure(g, f, mirror)
		off.Pop()
	}
	on, pointed := l.pointedPoint()
	r := float32(gtx.Dp(5))
	for p := range geometry.Point(geometry.NumPoints) {
		at := draw.FigurePlace(g, p, mirror).Add(f32.Pt(float32(int(draw.FigureOf(p))*height/2), 0))
		l.at[p] = at
		ink := th.Middle
		switch p.Side() {
		case geometry.Lead:
			ink = th.Lead
		case geometry.Trail:
			ink = th.Trail
		}
		if pointed && on == p {
			draw.Circle(gtx.Ops, at, 2.4*r, draw.Alpha(ink, 0.35))
		}
		draw.Circle(gtx.Ops, at, r+float32(gtx.Dp(1)), th.Outline)
		draw.Circle(gtx.Ops, at, r, ink)
		if l.markedAs(p) == draw.NoIcon {
			draw.Circle(gtx.Ops, at, r-float32(gtx.Dp(2)), th.Raised)
		}
	}
}
