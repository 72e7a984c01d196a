package panel

import (
	"slices"

	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
)

// Pointer turns the pointer's events on a stage into drawing, while explaining,
// and reports whether that is all there is to do about one. What it leaves moves
// and magnifies the picture, which grip holds then.
func (x *Room) Pointer(gtx layout.Context, stage int, e pointer.Event, grip *kit.Grip) bool {
	if !x.On() {
		return false
	}
	bd, size := x.drawings(), x.doors.Size(stage)
	at := bench.ScreenPt{X: float64(e.Position.X), Y: float64(e.Position.Y)}
	switch e.Kind {
	case pointer.Move:
		bd.Move(stage, at, size)
	case pointer.Press:
		if !grip.Take(e) {
			return true
		}
		kit.ReleaseKeys(gtx, x.host)
		if e.Buttons&(pointer.ButtonSecondary|pointer.ButtonTertiary) == 0 {
			noting := bd.Tool() == annotations.DrawnNote
			taken, note := bd.Press(stage, at, size, float64(gtx.Dp(kit.GrabRadius)), func(p bench.ScreenPt) string { return x.drawingAt(stage, p) })
			x.host.Tell(note)
			if taken {
				if noting {
					x.wantsText = true
					gtx.Execute(op.InvalidateCmd{})
				}
				return true
			}
		}
		if c := x.host.Session().Comparing; c != nil {
			c.Grab(stage, at)
		} else {
			x.host.Session().Bench.Grab(stage, at)
		}
		return true
	case pointer.Drag:
		if grip.Holds(e) && bd.Dragging() {
			x.host.Tell(bd.Drag(at, size))
			return true
		}
	case pointer.Release:
		if grip.Holds(e) && bd.Dragging() {
			grip.Held = false
			x.host.Tell(bd.Release(at, size))
			return true
		}
	case pointer.Cancel:
		bd.Cancel()
	}
	return false
}

// drawingAt returns the drawing whose text was last shown at a place of a
// stage, or "".
func (x *Room) drawingAt(stage int, at bench.ScreenPt) string {
	l := x.layouts[stage]
	if l == nil {
		return ""
	}
	for _, p := range slices.Backward(l.Plates) {
		if p.Drawing != "" && p.Contains(explain.Pt(at)) {
			return p.Drawing
		}
	}
	return ""
}
