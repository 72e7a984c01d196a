package ui

import (
	"fmt"
	"image"
	"math"
	"strconv"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

const (
	stageHeader unit.Sp = 30
)

// stageView is one stage in the window: where it is, and what the pointer does
// there.
type stageView struct {
	size               image.Point // of the picture area, when last laid out
	pointer            f32.Point
	inside             bool
	of                 *bench.Show // that the pointer holds something of
	grip               kit.Grip
	filled             bool // the last choice was to fill, not to fit
	rail               railView
	picture, magnified stagePicture
}

func (v *stageView) stageSize() bench.Size {
	return bench.Size{W: float64(v.size.X), H: float64(v.size.Y)}
}

func screenPt(p f32.Point) bench.ScreenPt {
	return bench.ScreenPt{X: float64(p.X), Y: float64(p.Y)}
}

// updateStage turns the pointer's events on a stage into what the coach does.
func (a *App) updateStage(gtx layout.Context, i int) {
	v := &a.stages[i]
	b := a.desk.Bench
	if v.of != a.desk.Show() { // what was held is not shown any more
		v.of, v.grip.Held = a.desk.Show(), false
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
		if a.desk.Comparing != nil {
			a.handleCompared(gtx, i, e)
			continue
		}
		if a.explain.Pointer(gtx, i, e, &v.grip) {
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
			gtx.Execute(key.FocusCmd{Tag: a})
			if e.Buttons&(pointer.ButtonSecondary|pointer.ButtonTertiary) != 0 {
				b.Grab(i, screenPt(e.Position))
				continue
			}
			a.notices.Tell(b.Press(i, screenPt(e.Position), v.stageSize(), float64(gtx.Dp(kit.GrabRadius))))
		case pointer.Drag:
			if v.grip.Holds(e) {
				a.notices.Tell(b.Drag(screenPt(e.Position)))
			}
		case pointer.Release:
			if v.grip.Holds(e) {
				v.grip.Held = false
				a.notices.Tell(b.Release())
			}
		case pointer.Cancel:
			v.grip.Held = false
			b.Cancel()
		case pointer.Scroll:
			b.Zoom(i, screenPt(e.Position), math.Exp(-0.008*float64(e.Scroll.Y)), v.stageSize())
		}
	}
}

// layoutStage draws one stage: its heading, and the picture with its marks.
func (a *App) layoutStage(gtx layout.Context, i int) layout.Dimensions {
	size := gtx.Constraints.Max
	h := gtx.Sp(stageHeader)
	a.layoutStageHeader(gtx, i, image.Pt(size.X, h))
	off := op.Offset(image.Pt(0, h)).Push(gtx.Ops)
	a.layoutPicture(gtx, i, image.Pt(size.X, max(size.Y-h, 1)))
	off.Pop()
	return layout.Dimensions{Size: size}
}

func (a *App) layoutStageHeader(gtx layout.Context, i int, size image.Point) {
	th, b := a.theme, a.desk.Show()
	st := &b.Stages[i]
	active := b.Active == i
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	ink := th.Dim
	if active {
		ink = th.Text
		draw.Fill(gtx.Ops, image.Rect(0, 0, size.X, gtx.Dp(2)), th.Accent)
	}
	pad, mid := float32(gtx.Dp(draw.Pad)), float32(size.Y)/2
	title := bench.Title(st.View.String())
	if a.desk.Comparing != nil {
		title = "This swing, " + st.View.String()
		if i == 1 {
			title = a.desk.Other.Title(a.desk.Bench.Lesson()) + ", " + st.View.String()
		}
	}
	r := th.TextAt(gtx, f32.Pt(pad, mid), 0, 0.5, draw.Body, font.SemiBold, ink, title)
	if name, ok := b.PositionAt(i); ok {
		r = th.TextAt(gtx, f32.Pt(float32(r.Max.X)+pad, mid), 0, 0.5, draw.Body, font.Normal, th.Accent, bench.Title(string(name)))
	}
	if f := a.desk.Film(i); f != nil {
		text := fmt.Sprintf("frame %d of %d   %.3f s", st.Frame+1, st.Frames(), f.Seconds(st.Frame))
		room := size.X - r.Max.X - int(2*pad)
		if w, _ := th.TextSize(gtx, draw.Small, font.Normal, text); w.X > room {
			text = strconv.Itoa(st.Frame + 1)
		}
		th.TextAt(gtx, f32.Pt(float32(size.X)-pad, mid), 1, 0.5, draw.Small, font.Normal, th.Dim, text)
	}
}

func (a *App) layoutPicture(gtx layout.Context, i int, size image.Point) {
	th, b, v := a.theme, a.desk.Bench, &a.stages[i]
	st := &a.desk.Show().Stages[i]
	if v.size != size {
		v.size = size
		a.work.Wake() // the picture was made for the size before
	}
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp(bench.Title(st.View.String()) + " picture").Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Surround)
	f := a.desk.Film(i)
	if f == nil {
		a.layoutEmptyStage(gtx, i, size)
		return
	}
	event.Op(gtx.Ops, v)
	if _, armed := b.Armed(); (armed || b.StickArmed()) && v.inside && a.desk.Comparing == nil && !a.explain.On() {
		pointer.CursorCrosshair.Add(gtx.Ops)
	}
	late := v.picture.has && v.picture.index != st.Frame
	v.picture.draw(gtx.Ops)
	if late {
		draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Scrim)
		th.TextOnPicture(gtx, f32.Pt(float32(size.X)/2, float32(size.Y)-float32(gtx.Dp(16))), 0.5, 1, draw.Small, font.Normal, th.PlateText,
			fmt.Sprintf("showing frame %d while frame %d is on its way", v.picture.index+1, st.Frame+1))
	}
	if f.Err != "" {
		th.TextOnPicture(gtx, f32.Pt(float32(size.X)/2, float32(size.Y)/2), 0.5, 0.5, draw.Body, font.Normal, th.PlateText, f.Err)
	}
	if a.desk.Comparing != nil {
		a.layoutMarks(gtx, i)
		return
	}
	if a.explain.On() {
		a.explain.Paint(gtx, i, v.inside)
		return
	}
	a.layoutSticks(gtx, i)
	a.layoutMarks(gtx, i)
	a.layoutTracked(gtx, i)
	a.layoutMagnifier(gtx, i)
}

// layoutEmptyStage says what is missing on a stage and what to do.
func (a *App) layoutEmptyStage(gtx layout.Context, i int, size image.Point) {
	th := a.theme
	st := &a.desk.Show().Stages[i]
	text := a.desk.Trouble(i)
	switch {
	case text != "":
	case st.Clip == "" && a.desk.Comparing != nil:
		text = fmt.Sprintf("This swing was not filmed %s.", st.View)
	case st.Clip == "":
		text = fmt.Sprintf("No %s clip yet. Drop one here, or press Ctrl+O.", st.View)
	default:
		text = "Opening the clip …"
	}
	w := min(size.X-gtx.Dp(40), gtx.Sp(420))
	if w <= 0 {
		return
	}
	m := op.Record(gtx.Ops)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(w, size.Y)}
	d := th.Paragraph(g, draw.Body, font.Normal, th.Dim, text)
	call := m.Stop()
	defer op.Offset(image.Pt((size.X-d.Size.X)/2, (size.Y-d.Size.Y)/2)).Push(gtx.Ops).Pop()
	defer clip.Rect(image.Rectangle{Max: d.Size}).Push(gtx.Ops).Pop()
	semantic.LabelOp(text).Add(gtx.Ops)
	call.Add(gtx.Ops)
}

// presentStage asks for the frame a stage is to show and renders what is there
// of it. It is the last step before laying out.
func (a *App) presentStage(i int) {
	v, f := &a.stages[i], a.desk.Film(i)
	st := &a.desk.Show().Stages[i]
	if f == nil || v.size.X < 1 || v.size.Y < 1 {
		return
	}
	if st.Port.Scale == 0 { // the clip is new on the stage
		v.filled = true
		st.Port = bench.Fill(st.Picture, v.stageSize())
	}
	f.Want(st.Frame)
	fr := f.Frame(st.Frame)
	if fr != nil {
		defer fr.Release()
	}
	if err := v.picture.update(f, fr, st.Port.Visible(st.Picture, v.stageSize())); err != nil {
		f.Err = err.Error()
	}
}

// stagesShown lists the stages that the window shows.
func (a *App) stagesShown() []int {
	if a.alone {
		return []int{a.desk.Show().Active}
	}
	return []int{0, 1}
}

// handleCompared turns the pointer's events on a compared picture into moving
// and magnifying it.
func (a *App) handleCompared(gtx layout.Context, i int, e pointer.Event) {
	v, c := &a.stages[i], a.desk.Comparing
	switch e.Kind {
	case pointer.Enter, pointer.Move:
		v.inside = true
	case pointer.Leave:
		v.inside = false
	case pointer.Press:
		v.grip = kit.Grip{Held: true, ID: e.PointerID}
		gtx.Execute(key.FocusCmd{Tag: a})
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
