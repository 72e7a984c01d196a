package stage

import (
	"math"

	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"turngauge/ui/kit"
)

// updateStage turns the pointer's events on a stage into what the coach does.
func (room *Room) updateStage(gtx layout.Context, i int) {
	v := &room.views[i]
	b := room.host.Session().Bench
	if v.of != room.host.Session().Show() { // what was held is not shown any more
		v.of, v.grip.Held = room.host.Session().Show(), false
	}
	for {
		ev, ok := gtx.Event(pointer.Filter{
			Target: v,
			Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel |
				pointer.Move | pointer.Enter | pointer.Leave | pointer.Scroll,
			ScrollY: pointer.ScrollRange{Min: -200, Max: 200},
		})
		if !ok {
			break
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		v.pointer = e.Position
		v.over = e.Kind != pointer.Leave && e.Kind != pointer.Cancel // which says nothing of where it is
		v.shift = v.over && e.Modifiers.Contain(key.ModShift)
		if room.doors.Explain.Pointer(gtx, i, e, &v.grip) {
			continue
		}
		if room.host.Session().Comparing != nil {
			room.handleCompared(gtx, i, e)
			continue
		}
		switch e.Kind {
		case pointer.Enter, pointer.Move:
			v.inside = true
		case pointer.Leave:
			v.inside = false
		case pointer.Press:
			if !v.grip.Take(e) {
				continue
			}
			kit.ReleaseKeys(gtx, room.host)
			if e.Buttons&(pointer.ButtonSecondary|pointer.ButtonTertiary) != 0 {
				b.Grab(i, screenPt(e.Position))
				continue
			}
			room.host.Tell(b.Press(i, screenPt(e.Position), v.stageSize(), float64(gtx.Dp(kit.GrabRadius))))
		case pointer.Drag:
			if v.grip.Holds(e) {
				room.host.Tell(b.Drag(screenPt(e.Position)))
			}
		case pointer.Release:
			if v.grip.Holds(e) {
				v.grip.Held = false
				room.host.Tell(b.Release())
			}
		case pointer.Cancel:
			v.grip.Held = false
			b.Cancel()
		case pointer.Scroll:
			b.Zoom(i, screenPt(e.Position), math.Exp(-0.008*float64(e.Scroll.Y)), v.stageSize())
		}
	}
}

// updateShift takes up that Shift was pressed or let go while the pointer rested.
func (room *Room) updateShift(gtx layout.Context) {
	for {
		ev, ok := gtx.Event(key.Filter{Name: key.NameShift, Optional: key.ModCtrl | key.ModShift | key.ModAlt | key.ModSuper})
		if !ok {
			return
		}
		e, ok := ev.(key.Event)
		for i := range room.views {
			room.views[i].shift = ok && e.State == key.Press && room.views[i].over
		}
	}
}

// handleCompared turns the pointer's events on a compared picture into moving
// and magnifying it.
func (room *Room) handleCompared(gtx layout.Context, i int, e pointer.Event) {
	v, c := &room.views[i], room.host.Session().Comparing
	switch e.Kind {
	case pointer.Enter, pointer.Move:
		v.inside = true
	case pointer.Leave:
		v.inside = false
	case pointer.Press:
		v.grip = kit.Grip{Held: true, ID: e.PointerID}
		kit.ReleaseKeys(gtx, room.host)
		c.Grab(i, screenPt(e.Position))
	case pointer.Drag:
		if v.grip.Holds(e) {
			c.Drag(screenPt(e.Position))
		}
	case pointer.Release, pointer.Cancel:
		v.grip.Held = false
		c.Release()
	case pointer.Scroll:
		c.Zoom(i, screenPt(e.Position), math.Exp(-0.008*float64(e.Scroll.Y)), v.stageSize())
	}
}
