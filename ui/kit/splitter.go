package kit

import (
	"image"

	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/draw"
)

// SplitterWidth is how wide a splitter is that can be taken hold of.
const SplitterWidth unit.Dp = 7

// Splitter is an edge between two parts of the window that can be dragged.
type Splitter struct {
	held  bool
	id    pointer.ID
	bar   image.Rectangle // where it was laid out
	whole image.Rectangle // what it divides
}

// Update returns where along what it divides the splitter has been dragged to.
func (s *Splitter) Update(gtx layout.Context) (share float32, moved bool) {
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: s, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel})
		if !ok {
			return share, moved
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		switch e.Kind {
		case pointer.Press:
			s.held, s.id = true, e.PointerID
		case pointer.Drag:
			if s.held && e.PointerID == s.id && s.whole.Dx() > 0 {
				// The event's place is from the bar's own corner.
				x := float32(s.bar.Min.X) + e.Position.X
				share, moved = (x-float32(s.whole.Min.X))/float32(s.whole.Dx()), true
			}
		case pointer.Release, pointer.Cancel:
			s.held = false
		}
	}
}

// Layout draws the splitter as a bar between the parts of a whole.
func (s *Splitter) Layout(gtx layout.Context, th *draw.Theme, bar, whole image.Rectangle) {
	s.bar, s.whole = bar, whole
	defer op.Offset(bar.Min).Push(gtx.Ops).Pop()
	defer clip.Rect(image.Rectangle{Max: bar.Size()}).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, s)
	pointer.CursorColResize.Add(gtx.Ops)
	c := th.Line
	if s.held {
		c = th.Accent
	}
	w := max(gtx.Dp(1), 1)
	draw.Fill(gtx.Ops, image.Rect((bar.Dx()-w)/2, 0, (bar.Dx()-w)/2+w, bar.Dy()), c)
}
