package stage

import (
	"image"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

const (
	magnifierSize unit.Dp = 148
	// magnification is how many window pixels one picture pixel takes in the
	// magnifier, per Dp; or twice the stage's own, if that is more.
	magnification = 4
)

// layoutMagnifier shows what is under the hand, enlarged, while a point is
// being placed or moved. It keeps clear of the pointer.
func (room *Room) layoutMagnifier(gtx layout.Context, i int) {
	b, v, f := room.host.Session().Bench, &room.views[i], room.host.Session().Films[i]
	st := &b.Stages[i]
	_, armed := b.Armed()
	dragged, dragging := b.Dragging()
	dragging = dragging && dragged == i
	_, marking := b.PositionAt(i)
	placing := armed && marking || b.StickArmed()
	if !dragging && !(placing && v.inside) {
		return
	}
	fr, _ := f.Reader.Frame(st.Frame)
	if fr == nil {
		return
	}
	defer fr.Release()
	centre := st.Port.ToPicture(screenPt(v.pointer), v.stageSize())
	if m, ok := b.SelectedMark(); ok && dragging {
		centre = bench.PicturePt(m.At)
	} else if e, ok := b.HeldStick(); ok && dragging && e.Line < len(b.Sticks(i)) {
		centre = bench.PicturePt(b.Sticks(i)[e.Line].Ends[e.End])
	}
	side := gtx.Dp(magnifierSize)
	scale := max(magnification*float64(gtx.Metric.PxPerDp), 2*st.Port.Scale)
	port := bench.Viewport{Centre: centre, Scale: scale}
	inner := bench.Size{W: float64(side), H: float64(side)}
	if err := v.magnified.update(f, fr, port.Visible(st.Picture, inner)); err != nil {
		return
	}

	at := magnifierPlace(v.pointer, v.size, side, gtx.Dp(28))
	defer op.Offset(at).Push(gtx.Ops).Pop()
	r := image.Rect(0, 0, side, side)
	area := clip.Ellipse(r).Push(gtx.Ops)
	draw.Fill(gtx.Ops, r, room.host.Theme().Surround)
	v.magnified.draw(gtx.Ops)
	area.Pop()
	c, half := f32.Pt(float32(side)/2, float32(side)/2), float32(side)/2
	// The cross leaves its middle open, so that the place itself is seen.
	gap := float32(gtx.Dp(5))
	for _, pass := range [...]struct {
		width float32
		dark  bool
	}{{float32(gtx.Dp(3)), true}, {float32(gtx.Dp(1)), false}} {
		var pen draw.Pen
		pen.Begin(gtx.Ops)
		for _, d := range [...]f32.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
			pen.Line(c.Add(d.Mul(gap)), c.Add(d.Mul(half)), pass.width)
		}
		pen.Ring(c, half-1, pass.width+1)
		if pass.dark {
			pen.Fill(draw.Alpha(room.host.Theme().Outline, 0.6))
		} else {
			pen.Fill(room.pictureAccent())
		}
	}
	draw.Circle(gtx.Ops, c, 1, room.pictureAccent())
}

// magnifierPlace returns the top-left corner of the magnifier: to the upper
// right of the pointer, or on whichever side there is room.
func magnifierPlace(at f32.Point, stage image.Point, side, gap int) image.Point {
	p := image.Pt(int(at.X)+gap, int(at.Y)-gap-side)
	if p.X+side > stage.X {
		p.X = int(at.X) - gap - side
	}
	if p.Y < 0 {
		p.Y = int(at.Y) + gap
	}
	return p
}
