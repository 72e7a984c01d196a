package stage

import (
	"fmt"
	"image"
	"image/color"
	"strconv"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// layoutStage draws one stage: its heading, and the picture with its marks.
func (room *Room) layoutStage(gtx layout.Context, i int) layout.Dimensions {
	size := gtx.Constraints.Max
	h := gtx.Sp(stageHeader)
	room.layoutStageHeader(gtx, i, image.Pt(size.X, h))
	off := op.Offset(image.Pt(0, h)).Push(gtx.Ops)
	room.layoutPicture(gtx, i, image.Pt(size.X, max(size.Y-h, 1)))
	off.Pop()
	return layout.Dimensions{Size: size}
}

func (room *Room) layoutStageHeader(gtx layout.Context, i int, size image.Point) {
	th, b := room.host.Theme(), room.host.Session().Show()
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
	if c := room.host.Session().Bench.Swing().Clip(st.Clip); c != nil && c.Mirrored {
		title += ", mirror image"
	}
	if room.host.Session().Comparing != nil {
		title = "This swing, " + st.View.String()
		if _, _, laid := room.doors.Over.Laid(); laid {
			title += ", under " + room.host.Session().Other.Title(room.host.Session().Bench.Lesson())
		} else if i == 1 {
			title = room.host.Session().Other.Title(room.host.Session().Bench.Lesson()) + ", " + st.View.String()
		}
	}
	position, set := b.PositionAt(i)
	r := room.layoutTitle(gtx, title, bench.Title(string(position))+strconv.Itoa(st.Frame+1), ink, size)
	if set {
		r = th.TextAt(gtx, f32.Pt(float32(r.Max.X)+pad, mid), 0, 0.5, draw.Body, font.Normal, th.Accent, bench.Title(string(position)))
	}
	if room.host.Can("swap views") && (i == 0 || len(room.Shown()) == 1) {
		side := gtx.Sp(draw.Compact)
		off := op.Offset(image.Pt(size.X-side, (size.Y-side)/2)).Push(gtx.Ops)
		g := gtx
		g.Constraints = layout.Exact(image.Pt(side, side))
		th.Button(g, &room.views[i].swap, draw.ButtonStyle{Icon: draw.IconSwap, Kind: draw.Quiet, Compact: true, Name: "Swap the views",
			Tip: "Swap the views", Keys: room.host.Shortcut("swap views"), TipSide: draw.TipBelow})
		off.Pop()
		size.X -= side
	}
	if f := room.host.Session().Film(i); f != nil {
		text := fmt.Sprintf("frame %d of %d   %.3f s", st.Frame+1, st.Frames(), f.Seconds(st.Frame))
		free := size.X - r.Max.X - int(2*pad)
		if w, _ := th.TextSize(gtx, draw.Small, font.Normal, text); w.X > free {
			text = strconv.Itoa(st.Frame + 1)
		}
		end := th.TextAt(gtx, f32.Pt(float32(size.X)-pad, mid), 1, 0.5, draw.Small, font.Normal, th.Dim, text)
		if _, lone := room.lone(); lone {
			text := "No " + b.Stages[1-i].View.String() + " clip yet: drop one here, or press " + room.host.Shortcut("open")
			if w, _ := th.TextSize(gtx, draw.Small, font.Normal, text); w.X < end.Min.X-r.Max.X-int(4*pad) {
				th.TextAt(gtx, f32.Pt(float32(r.Max.X)+2*pad, mid), 0, 0.5, draw.Small, font.Normal, th.Dim, text)
			}
		}
	}
}

// layoutTitle writes what a stage shows at the left of its heading, cut where there would
// be no room for the rest and a button.
func (room *Room) layoutTitle(gtx layout.Context, title, rest string, ink color.NRGBA, size image.Point) image.Rectangle {
	th, pad := room.host.Theme(), gtx.Dp(draw.Pad)
	behind, _ := th.TextSize(gtx, draw.Body, font.Normal, rest)
	free := max(size.X-behind.X-5*pad-gtx.Sp(draw.Compact), gtx.Sp(60))
	if whole, _ := th.TextSize(gtx, draw.Body, font.SemiBold, title); whole.X <= free {
		return th.TextAt(gtx, f32.Pt(float32(pad), float32(size.Y)/2), 0, 0.5, draw.Body, font.SemiBold, ink, title)
	}
	gtx.Constraints = layout.Constraints{Max: image.Pt(free, size.Y)}
	m := op.Record(gtx.Ops)
	d := th.Label(gtx, draw.Body, font.SemiBold, ink, title)
	text := m.Stop()
	at := image.Pt(pad, (size.Y-d.Size.Y)/2)
	defer op.Offset(at).Push(gtx.Ops).Pop()
	text.Add(gtx.Ops)
	return image.Rectangle{Min: at, Max: at.Add(d.Size)}
}

func (room *Room) layoutPicture(gtx layout.Context, i int, size image.Point) {
	th, b, v := room.host.Theme(), room.host.Session().Bench, &room.views[i]
	st := &room.host.Session().Show().Stages[i]
	if v.size != size {
		v.size = size
		room.doors.Again() // the picture was made for the size before
	}
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp(bench.Title(st.View.String()) + " picture").Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Surround)
	f := room.host.Session().Film(i)
	if f == nil {
		room.layoutEmptyStage(gtx, i, size)
		return
	}
	event.Op(gtx.Ops, v)
	if _, armed := b.Armed(); (armed || b.StickArmed() || b.GolferArmed()) && v.inside && room.host.Session().Comparing == nil && !room.doors.Explain.On() {
		pointer.CursorCrosshair.Add(gtx.Ops)
	}
	late := v.picture.has && v.picture.index != st.Frame
	v.picture.draw(gtx.Ops)
	over, share, laid := room.doors.Over.Laid()
	if laid {
		room.layoutOver(gtx, over, share, size)
		defer room.doors.Over.Layout(gtx, size)
	}
	if late {
		draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Scrim)
		th.TextOnPicture(gtx, f32.Pt(float32(size.X)/2, float32(size.Y)-float32(gtx.Dp(16))), 0.5, 1, draw.Small, font.Normal, th.PlateText,
			fmt.Sprintf("showing frame %d while frame %d is on its way", v.picture.index+1, st.Frame+1))
	}
	if f.Err != "" {
		th.TextOnPicture(gtx, f32.Pt(float32(size.X)/2, float32(size.Y)/2), 0.5, 0.5, draw.Body, font.Normal, th.PlateText, f.Err)
	}
	if room.doors.Explain.On() {
		room.doors.Explain.Paint(gtx, i, v.inside)
		return
	}
	if room.host.Session().Comparing != nil {
		room.layoutMarks(gtx, i)
		return
	}
	room.layoutSticks(gtx, i)
	room.layoutMarks(gtx, i)
	room.layoutTracked(gtx, i)
	room.layoutMagnifier(gtx, i)
}

// layoutEmptyStage says what is missing on a stage and what to do.
func (room *Room) layoutEmptyStage(gtx layout.Context, i int, size image.Point) {
	th := room.host.Theme()
	st := &room.host.Session().Show().Stages[i]
	text := room.host.Session().Trouble(i)
	switch {
	case text != "":
	case st.Clip == "" && room.host.Session().Comparing != nil:
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
func (room *Room) presentStage(i int) {
	v, f := &room.views[i], room.host.Session().Film(i)
	st := &room.host.Session().Show().Stages[i]
	if f == nil || v.size.X < 1 || v.size.Y < 1 {
		return
	}
	room.fit(i)
	f.Want(st.Frame)
	fr := f.Frame(st.Frame)
	if fr != nil {
		defer fr.Release()
	}
	if err := v.picture.update(f, fr, st.Port.Visible(st.Picture, v.stageSize())); err != nil {
		f.Err = err.Error()
	}
}
