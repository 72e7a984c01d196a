package bench

import (
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
)

type dragKind uint8

const (
	noDrag dragKind = iota
	dragMark
	dragPicture
	dragStick
)

// drag is a movement of the hand with the button held. It is computed from
// where it began, never by adding up steps.
type drag struct {
	kind  dragKind
	stage int
	from  ScreenPt
	at    PicturePt // of the mark or the stick's end when the drag began
	port  Viewport  // when the drag began
	size  Size      // of the stage
	moved bool
	// either: the press fell on a mark while another point is asked for. A
	// drag moves that mark; a mere click places the point beside it.
	either bool
}

// slop is how far the hand may tremble in a mere click, window pixels.
const slop = 3

// Press takes hold of what is under the pointer: a mark within radius window
// pixels, else a place for the armed point, else the picture itself.
func (b *Bench) Press(stage int, at ScreenPt, size Size, radius float64) Note {
	st := &b.Stages[stage]
	if st.Film == nil {
		return ""
	}
	b.Activate(stage)
	b.gesture++
	b.drag = drag{kind: dragPicture, stage: stage, from: at, port: st.Port, size: size}
	b.hasStick = false
	if b.golferArmed {
		return b.pointAtGolfer(stage, st.Port.ToPicture(at, size))
	}
	if b.stickArmed {
		return b.beginStick(stage, st.Port.ToPicture(at, size))
	}
	if p, ok := b.Nearest(stage, at, size, radius); ok {
		position, _ := b.PositionAt(stage)
		m, _ := b.mark(stage, position, p)
		b.drag.kind, b.drag.at = dragMark, PicturePt(m.At)
		b.drag.either = b.hasArmed && p != b.armed
		b.selected, b.hasSelected = Selection{stage, position, p}, true
		return ""
	}
	if e, ok := b.nearestStick(stage, at, size, radius); ok {
		b.holdStick(e, PicturePt(b.Sticks(stage)[e.Line].Ends[e.End]))
		b.hasArmed = false
		return ""
	}
	if !b.hasArmed {
		b.hasSelected = false
		return ""
	}
	return b.place(stage, st.Port.ToPicture(at, size))
}

// place puts the armed point on a stage and keeps hold of it.
func (b *Bench) place(stage int, at PicturePt) Note {
	position, ok := b.PositionAt(stage)
	if !ok {
		b.drag.kind = dragPicture
		return "This frame is no key position, so nothing is marked on it. Press 1 to 7 to make it one, or Page Up and Page Down to find those you set."
	}
	st := &b.Stages[stage]
	if at.X < 0 || at.Y < 0 || at.X > st.Picture.W || at.Y > st.Picture.H {
		return ""
	}
	note := b.setMark(Selection{stage, position, b.armed}, annotations.Mark{
		Clip: st.Clip, Position: position, Point: b.armed, At: geometry.ImagePt(at),
	})
	if note != "" {
		return note
	}
	b.drag.kind, b.drag.at = dragMark, at
	return ""
}

// setMark writes a mark as part of the present gesture and selects it.
func (b *Bench) setMark(s Selection, m annotations.Mark) Note {
	if b.blind.on {
		return b.setBlind(s, m.At)
	}
	if err := b.editor.Apply(annotations.SetMark{Swing: b.swing, Mark: m, Gesture: b.gesture}); err != nil {
		return Note(err.Error())
	}
	b.selected, b.hasSelected = s, true
	return ""
}

// Drag moves what Press took hold of.
func (b *Bench) Drag(at ScreenPt) Note {
	d := &b.drag
	dx, dy := at.X-d.from.X, at.Y-d.from.Y
	if d.either && math.Hypot(dx, dy) > slop {
		d.either = false
		b.hasArmed = false
	}
	if d.either {
		return ""
	}
	if dx != 0 || dy != 0 {
		d.moved = true
	}
	st := &b.Stages[d.stage]
	switch d.kind {
	case dragPicture:
		st.Port = d.port.Pan(dx, dy).Keep(st.Picture)
	case dragStick:
		return b.dragStickTo(PicturePt{d.at.X + dx/st.Port.Scale, d.at.Y + dy/st.Port.Scale})
	case dragMark:
		m, ok := b.SelectedMark()
		if !ok {
			b.drag = drag{}
			return ""
		}
		m.At = b.inside(d.stage, PicturePt{d.at.X + dx/st.Port.Scale, d.at.Y + dy/st.Port.Scale})
		return b.setMark(b.selected, byHand(m, st.View))
	}
	return ""
}

func (b *Bench) inside(stage int, p PicturePt) geometry.ImagePt {
	size := b.Stages[stage].Picture
	return geometry.ImagePt{
		X: math.Min(math.Max(p.X, 0), size.W),
		Y: math.Min(math.Max(p.Y, 0), size.H),
	}
}

// Release ends a press. A guided pass goes on to the next point once the armed
// one has been put down.
func (b *Bench) Release() Note {
	d := b.drag
	b.drag = drag{}
	b.gesture++
	if d.kind == dragStick {
		return b.endStick()
	}
	if d.either {
		st := &b.Stages[d.stage]
		b.drag = drag{stage: d.stage}
		if note := b.place(d.stage, st.Port.ToPicture(d.from, d.size)); note != "" {
			return note
		}
		d = b.drag
		b.drag = drag{}
		b.gesture++
	}
	if d.kind != dragMark || !b.hasSelected {
		return ""
	}
	if b.hasArmed && b.armed == b.selected.Point {
		stage := b.selected.Stage
		if m, ok := b.SelectedMark(); ok && !d.moved && m.LowConfidence(b.Stages[stage].View) {
			// A click on it: it lies where the hand would put it.
			if note := b.setMark(b.selected, byHand(m, b.Stages[stage].View)); note != "" {
				return note
			}
			b.gesture++
		}
		if !b.guided || !b.armAfter(b.armed) {
			b.hasArmed = false
		}
		// Keep hold of the mark just placed, so that arrows nudge it.
		if b.Active != stage {
			b.hasSelected = false
		}
	}
	return b.offerTeaching()
}

// Cancel ends a press that the system took away; a mark goes back to where it
// was.
func (b *Bench) Cancel() {
	if (b.drag.kind == dragMark || b.drag.kind == dragStick) && b.drag.moved {
		b.Drag(b.drag.from)
	}
	b.drag = drag{}
	b.gesture++
}

// Dragging reports whether a mark or the end of a stick is in the coach's hand,
// and on which stage.
func (b *Bench) Dragging() (stage int, ok bool) {
	return b.drag.stage, b.drag.kind == dragMark || b.drag.kind == dragStick
}

// Grab takes hold of the picture itself, whatever is under the pointer.
func (b *Bench) Grab(stage int, at ScreenPt) {
	b.Activate(stage)
	b.drag = drag{kind: dragPicture, stage: stage, from: at, port: b.Stages[stage].Port}
}

// Zoom magnifies a stage's picture about a place on it.
func (s *Show) Zoom(stage int, at ScreenPt, factor float64, size Size) {
	st := &s.Stages[stage]
	st.Port = st.Port.ZoomAbout(at, factor, size).Keep(st.Picture)
}
