package home

import (
	"fmt"
	"image"
	"path/filepath"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Layout draws the first window.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Surround)
	w := min(size.X-gtx.Dp(48), gtx.Sp(760))
	shelf := r.library.Shown() && r.making == nil
	if shelf {
		w = min(size.X-gtx.Dp(48), gtx.Sp(1280))
	}
	x := (size.X - w) / 2
	y := max(size.Y/10, gtx.Dp(24))
	if shelf {
		y = gtx.Dp(18)
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(w, size.Y)}
	put := func(gap int, part layout.Widget) {
		off := op.Offset(image.Pt(x, y)).Push(gtx.Ops)
		d := part(g)
		off.Pop()
		y += d.Size.Y + gap
	}
	title := func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Banner, font.SemiBold, th.Text, "Turngauge")
	}
	switch {
	case shelf:
		put(gtx.Dp(12), func(gtx layout.Context) layout.Dimensions {
			d := title(gtx)
			m := op.Record(gtx.Ops)
			b := r.layoutBeginnings(gtx)
			buttons := m.Stop()
			h := max(d.Size.Y, b.Size.Y)
			at := image.Pt(w-b.Size.X, (h-b.Size.Y)/2)
			r.doors.Region("open the demo lesson", image.Rect(x+at.X, y+at.Y, x+at.X+gtx.Sp(180), y+at.Y+gtx.Sp(draw.Control)))
			off := op.Offset(at).Push(gtx.Ops)
			buttons.Add(gtx.Ops)
			off.Pop()
			return layout.Dimensions{Size: image.Pt(w, h)}
		})
	default:
		put(gtx.Dp(6), title)
		put(gtx.Dp(22), func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, "Measure a golfer's turn, sway and posture from two clips of one swing, and see how sure each number is.")
		})
		if r.making != nil {
			put(gtx.Dp(20), r.layoutMaking)
			break
		}
		r.doors.Region("open the demo lesson", image.Rect(x, y, x+gtx.Sp(180), y+gtx.Sp(draw.Control)))
		put(gtx.Dp(20), r.layoutBeginnings)
	}
	foot := size.Y - gtx.Sp(48)
	if shelf {
		// The drop place shrinks to what says so, and the library takes the rest.
		put(gtx.Dp(14), r.layoutDropPlace)
		kit.At(gtx, image.Rect(x, y, x+w, foot), r.library.Panel)
		th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(size.Y-gtx.Dp(18))), 0.5, 1, draw.Small, font.Normal, th.Dim, kit.Caution)
		return layout.Dimensions{Size: size}
	}
	put(gtx.Dp(24), r.layoutDropPlace)
	if len(r.recents) > 0 {
		put(gtx.Dp(6), func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Small, font.SemiBold, th.Dim, "Recent lessons")
		})
		for i := range r.recents {
			if y+gtx.Sp(52) > foot {
				break
			}
			put(gtx.Dp(4), func(gtx layout.Context) layout.Dimensions { return r.layoutRecent(gtx, i) })
		}
		y += gtx.Dp(20)
	}
	put(0, func(gtx layout.Context) layout.Dimensions { return r.layoutTeach(gtx, size.Y-gtx.Sp(48)-y) })
	th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(size.Y-gtx.Dp(18))), 0.5, 1, draw.Small, font.Normal, th.Dim, kit.Caution)
	return layout.Dimensions{Size: size}
}

// layoutBeginnings draws the buttons to begin with.
func (r *Room) layoutBeginnings(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	kind := draw.Primary
	if r.library.Shown() {
		kind = draw.Plain // then the chosen lesson is the one thing to open
	}
	return draw.Row(gtx, 8,
		button(&r.demo, draw.ButtonStyle{Label: "Open the demo lesson", Kind: kind, Icon: draw.IconPlay}),
		button(&r.fresh, draw.ButtonStyle{Label: "New student", Icon: draw.IconStudent}),
		button(&r.open, draw.ButtonStyle{Label: "Open …", Icon: draw.IconOpen, Tip: "A lesson or clips", Keys: r.host.Shortcut("open"), TipSide: draw.TipBelowEnd}))
}

func (r *Room) layoutMaking(gtx layout.Context) layout.Dimensions {
	m := r.making
	part := float32(m.done) / float32(max(m.total, 1))
	return kit.Progress(gtx, r.host.Theme(), fmt.Sprintf("Filming the demo swing, once only: %.0f %%", 100*part), part, &r.cancel)
}

// layoutDropPlace says that files can be dropped on the window.
func (r *Room) layoutDropPlace(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(110))
	if r.library.Shown() {
		size.Y = gtx.Sp(56)
	}
	edge := th.Dim
	if r.dropOver {
		edge = th.Accent
		draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.AccentLow)
	}
	c := [4]f32.Point{{}, {X: float32(size.X)}, {X: float32(size.X), Y: float32(size.Y)}, {Y: float32(size.Y)}}
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	for i := range c {
		pen.DashedLine(c[i], c[(i+1)%4], float32(gtx.Dp(1)), float32(gtx.Dp(6)), float32(gtx.Dp(5)))
	}
	pen.Fill(edge)
	mid := f32.Pt(float32(size.X)/2, float32(size.Y)/2)
	th.TextAt(gtx, mid, 0.5, 1, draw.Body, font.Medium, th.Text, "Drop your clips here")
	th.TextAt(gtx, mid.Add(f32.Pt(0, float32(gtx.Dp(6)))), 0.5, 0, draw.Small, font.Normal, th.Dim,
		"one filmed face-on, one down-the-line, of the same swing")
	return layout.Dimensions{Size: size}
}

func (r *Room) layoutRecent(gtx layout.Context, i int) layout.Dimensions {
	l := r.recents[i]
	name := l.Student
	if name == "" {
		name = filepath.Base(l.Path)
	}
	return kit.RowButton(gtx, r.host.Theme(), &r.rows[i], "Open the lesson of "+name, name, kit.Joined(l.Title, l.Date), words.Ago(gtx.Now, l.Opened))
}
