package stage

import (
	"image"
	"slices"
	"strconv"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// RailHeight is the height of a time rail.
const RailHeight unit.Sp = 46

// railView is the time rail under a stage.
type railView struct {
	width int
	pad   int
	held  bool
	id    pointer.ID
	tick  tickHold
}

// tickHold is a press on the number of a key position on the rail: a click
// goes there, a drag moves the position along the clip.
type tickHold struct {
	on, moved bool
	name      geometry.PositionName
	from      float32
}

const (
	// tickReach is how near to a tick a press on its number takes hold of it.
	tickReach unit.Dp = 8
	// railTop is the height of the numbers over the rail.
	railTop unit.Sp = 16
)

// tickAt returns the key position whose number is under the pointer.
func (room *Room) tickAt(gtx layout.Context, i int, at f32.Point) (geometry.PositionName, bool) {
	r, st := &room.views[i].rail, &room.host.Session().Show().Stages[i]
	if at.Y > float32(gtx.Sp(railTop)) || st.Frames() < 2 {
		return "", false
	}
	best, name := float32(gtx.Dp(tickReach)), geometry.PositionName("")
	for _, t := range room.host.Session().Show().Ticks(i) {
		x := r.xOf(st.Along(t.Frame))
		if d := max(at.X-x, x-at.X); d <= best {
			best, name = d, t.Name
		}
	}
	return name, name != ""
}

// holdTick deals with what the pointer does to a key position's number.
func (room *Room) holdTick(gtx layout.Context, i int, e pointer.Event) {
	r, b := &room.views[i].rail, room.host.Session().Bench
	switch e.Kind {
	case pointer.Drag:
		dx := e.Position.X - r.tick.from
		if room.host.Session().Comparing != nil || room.doors.Explain.On() {
			return
		}
		if b.MarkingAgain() {
			room.host.Tell(b.Busy())
			return
		}
		if !r.tick.moved && max(dx, -dx) > float32(gtx.Dp(3)) {
			r.tick.moved = true
			b.Activate(i)
		}
		if r.tick.moved {
			b.DragTick(i, r.tick.name, r.frameAt(e.Position.X, &b.Stages[i]))
		}
	case pointer.Release:
		if r.tick.moved {
			room.host.Tell(b.DropTick())
		} else {
			room.host.Session().Show().Activate(i)
			room.host.Session().GoTo(r.tick.name)
		}
		r.tick = tickHold{}
	case pointer.Cancel:
		b.CancelTick()
		r.tick = tickHold{}
	}
}

// frameAt returns the frame under a place on the rail.
func (r *railView) frameAt(x float32, st *bench.Stage) int {
	if r.width <= 2*r.pad || st.Frames() < 2 {
		return 0
	}
	return st.FrameAlong((float64(x) - float64(r.pad)) / float64(r.width-2*r.pad))
}

// xOf returns where on the rail a moment of what is shown lies, as a fraction of
// its frames.
func (r *railView) xOf(fraction float64) float32 {
	return float32(float64(r.pad) + fraction*float64(r.width-2*r.pad))
}

// updateRail scrubs: the frame follows the pointer, and a request that was
// overtaken is dropped by the reader.
func (room *Room) updateRail(gtx layout.Context, i int) {
	r := &room.views[i].rail
	st := &room.host.Session().Show().Stages[i]
	for {
		ev, ok := gtx.Event(pointer.Filter{
			Target:  r,
			Kinds:   pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Scroll,
			ScrollY: pointer.ScrollRange{Min: -200, Max: 200},
		})
		if !ok {
			break
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		if r.tick.on && e.PointerID == r.id {
			room.holdTick(gtx, i, e)
			continue
		}
		switch e.Kind {
		case pointer.Press:
			r.id = e.PointerID
			room.host.Session().Show().Pause()
			if name, ok := room.tickAt(gtx, i, e.Position); ok {
				kit.ReleaseKeys(gtx, room.host)
				r.tick = tickHold{on: true, name: name, from: e.Position.X}
				continue
			}
			r.held = true
			room.host.Session().Show().Activate(i)
			kit.ReleaseKeys(gtx, room.host)
			room.host.Session().Show().GoTo(i, r.frameAt(e.Position.X, st))
		case pointer.Drag:
			if r.held && e.PointerID == r.id {
				room.host.Session().Show().GoTo(i, r.frameAt(e.Position.X, st))
			}
		case pointer.Release, pointer.Cancel:
			r.held = false
		case pointer.Scroll:
			room.host.Session().Show().Pause()
			room.host.Session().Show().Activate(i)
			if e.Scroll.Y > 0 {
				room.host.Session().Show().Step(1)
			} else if e.Scroll.Y < 0 {
				room.host.Session().Show().Step(-1)
			}
		}
	}
}

// layoutRail draws what is shown of the clip from end to end: sound, what is decoded already,
// the strike, the key positions and the frame shown.
func (room *Room) layoutRail(gtx layout.Context, i int) layout.Dimensions {
	th, v := room.host.Theme(), &room.views[i]
	r := &v.rail
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(RailHeight))
	r.width, r.pad = size.X, gtx.Dp(draw.Pad)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Time rail, " + room.host.Session().Show().Stages[i].View.String()).Add(gtx.Ops)
	event.Op(gtx.Ops, r)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	st := &room.host.Session().Show().Stages[i]
	f := room.host.Session().Film(i)
	if f == nil || st.Frames() < 2 {
		return layout.Dimensions{Size: size}
	}
	pointer.CursorPointer.Add(gtx.Ops)
	top, bottom := float32(gtx.Sp(railTop)), float32(size.Y-gtx.Dp(8))
	mid := (top + bottom) / 2
	draw.Fill(gtx.Ops, image.Rect(r.pad, int(mid)-gtx.Dp(1), size.X-r.pad, int(mid)+gtx.Dp(1)), th.Track)
	if from, to, ok := room.host.Session().Show().Repeat(i); ok {
		x0, x1 := int(r.xOf(st.Along(from))), int(r.xOf(st.Along(to)))+1
		draw.Fill(gtx.Ops, image.Rect(x0, int(top), x1, int(bottom)), draw.Alpha(th.Accent, 0.22))
		w := max(gtx.Dp(2), 1)
		draw.Fill(gtx.Ops, image.Rect(x0-w, int(top), x0, int(bottom)), th.Accent)
		draw.Fill(gtx.Ops, image.Rect(x1, int(top), x1+w, int(bottom)), th.Accent)
	}
	for _, run := range f.Reader.CachedRuns() {
		first, last := st.Ends()
		if run[1] < first || run[0] > last {
			continue
		}
		x0, x1 := r.xOf(st.Along(max(run[0], first))), r.xOf(st.Along(min(run[1], last)))
		draw.Fill(gtx.Ops, image.Rect(int(x0), int(bottom)+gtx.Dp(3), int(x1)+1, int(bottom)+gtx.Dp(5)), th.Edge)
	}
	room.drawWave(gtx, i, mid, (bottom-top)/2)
	if st.StrikeHeard {
		x := r.xOf(st.Along(st.Film.FrameAt(st.Strike)))
		draw.Circle(gtx.Ops, f32.Pt(x, bottom+float32(gtx.Dp(4))), float32(gtx.Dp(3)), th.Text)
	}
	room.drawTicks(gtx, i, top, bottom)
	x := r.xOf(st.Along(st.Frame))
	half := float32(gtx.Dp(1))
	draw.Fill(gtx.Ops, image.Rect(int(x-half), 0, int(x+half)+1, size.Y), th.Accent)
	draw.Circle(gtx.Ops, f32.Pt(x, float32(size.Y-gtx.Dp(5))), float32(gtx.Dp(5)), th.Accent)
	return layout.Dimensions{Size: size}
}

// drawWave draws the level of the clip's sound, faintly.
func (room *Room) drawWave(gtx layout.Context, i int, mid, half float32) {
	wave := room.host.Session().Wave(i)
	r := &room.views[i].rail
	if len(wave) == 0 {
		return
	}
	peak := slices.Max(wave)
	if peak <= 0 {
		return
	}
	step := max(gtx.Dp(2), 1)
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	n := (r.width - 2*r.pad) / step
	for k := range n {
		from, to := k*len(wave)/n, max((k+1)*len(wave)/n, k*len(wave)/n+1)
		h := slices.Max(wave[from:to]) / peak * half
		if h < 0.5 {
			continue
		}
		x := float32(r.pad + k*step)
		pen.Line(f32.Pt(x, mid-h), f32.Pt(x, mid+h), float32(step)*0.6)
	}
	pen.Fill(draw.Alpha(room.host.Theme().Dim, 0.45))
}

// drawTicks marks the key positions with the number of their key: a line
// where one is set, a hollow bar and a ringed number where it is proposed.
func (room *Room) drawTicks(gtx layout.Context, i int, top, bottom float32) {
	th, b := room.host.Theme(), room.host.Session().Show()
	st, r := &b.Stages[i], &room.views[i].rail
	for _, t := range b.Ticks(i) {
		x := r.xOf(st.Along(t.Frame))
		c := th.Dim
		if t.Name == b.Position {
			c = th.Text
		}
		label := bench.Title(string(t.Name))[:1]
		if d := slices.Index(geometry.KeyPositions, t.Name); d >= 0 {
			label = strconv.Itoa(d + 1)
		}
		one := max(gtx.Dp(1), 1)
		if t.Proposed {
			half := gtx.Dp(3)
			draw.RoundFrame(gtx.Ops, image.Rect(int(x)-half, int(top)+one, int(x)+half+1, int(bottom)), float32(half), float32(one), c)
			if t.Unsure {
				label += "?"
			}
		} else {
			draw.Fill(gtx.Ops, image.Rect(int(x), int(top), int(x)+one, int(bottom)), c)
		}
		at, anchor := f32.Pt(x, top), float32(0.5)
		if cursor := r.xOf(st.Along(st.Frame)); max(x-cursor, cursor-x) < float32(gtx.Dp(5)) {
			at, anchor = f32.Pt(cursor+float32(gtx.Dp(4)), top), 0 // beside the cursor, not under it
		}
		th.TextAt(gtx, at, anchor, 1, draw.Small, font.Normal, c, label)
	}
}
