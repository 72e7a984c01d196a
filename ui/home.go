package ui

import (
	"context"
	"fmt"
	"image"
	"path/filepath"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations/words"
	"turngauge/ui/demo"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
)

// homeView is the first window: what to begin with, and the recent lessons.
type homeView struct {
	demo, fresh, open draw.Button
	recents           []profile.Recent
	rows              []draw.Button
	making            *making
	cancel            draw.Button
}

// making is the demo lesson being made.
type making struct {
	done, total int
	cancel      context.CancelFunc
}

// refresh reads the list of recent lessons again.
func (h *homeView) refresh(a *App) {
	h.recents = a.dirs.Recents()
	h.rows = make([]draw.Button, len(h.recents))
}

func (a *App) updateHome(gtx layout.Context) {
	h := &a.home
	if h.making != nil {
		if h.cancel.Clicked(gtx) {
			h.making.cancel()
		}
		return
	}
	if a.library.Shown() {
		if a.library.Update(gtx); a.desk != nil {
			return
		}
	}
	if h.demo.Clicked(gtx) {
		a.openDemo()
	}
	if h.fresh.Clicked(gtx) {
		a.student.Begin(nil)
	}
	if h.open.Clicked(gtx) {
		a.Run("open")
	}
	for i := range h.rows {
		if h.rows[i].Clicked(gtx) {
			a.openLesson(h.recents[i].Path)
			return
		}
	}
}

// openDemo makes the demo lesson if it is not there yet, with progress, and
// opens it.
func (a *App) openDemo() {
	ctx, cancel := context.WithCancel(context.Background())
	m := &making{cancel: cancel, total: 1}
	a.home.making = m
	dir := a.dirs.Demo()
	a.work.Go("Making the demo lesson", func() {
		defer cancel()
		path, err := demo.Create(ctx, dir, func(done, total int) {
			a.work.Post(func() { m.done, m.total = done, total })
		})
		a.work.Post(func() {
			a.home.making = nil
			switch {
			case ctx.Err() == context.Canceled && err != nil:
				a.notices.Tell("The demo lesson was not made.")
			case err != nil:
				a.notices.Alert(err.Error())
			default:
				a.openLesson(path)
				a.tourOfDemo()
			}
		})
	}, func() { a.home.making = nil })
}

func (a *App) layoutHome(gtx layout.Context) {
	th, h := a.theme, &a.home
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Surround)
	w := min(size.X-gtx.Dp(48), gtx.Sp(760))
	shelf := a.library.Shown() && h.making == nil
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
			b := a.layoutBeginnings(gtx)
			buttons := m.Stop()
			h := max(d.Size.Y, b.Size.Y)
			at := image.Pt(w-b.Size.X, (h-b.Size.Y)/2)
			a.tracer.region("open the demo lesson", image.Rect(x+at.X, y+at.Y, x+at.X+gtx.Sp(180), y+at.Y+gtx.Sp(draw.Control)))
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
		if h.making != nil {
			put(gtx.Dp(20), a.layoutMaking)
			break
		}
		a.tracer.region("open the demo lesson", image.Rect(x, y, x+gtx.Sp(180), y+gtx.Sp(draw.Control)))
		put(gtx.Dp(20), a.layoutBeginnings)
	}
	foot := size.Y - gtx.Sp(48)
	if shelf {
		// The drop place shrinks to what says so, and the library takes the rest.
		put(gtx.Dp(14), a.layoutDropPlace)
		kit.At(gtx, image.Rect(x, y, x+w, foot), a.library.Panel)
		th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(size.Y-gtx.Dp(18))), 0.5, 1, draw.Small, font.Normal, th.Dim, kit.Caution)
		return
	}
	put(gtx.Dp(24), a.layoutDropPlace)
	if len(h.recents) > 0 {
		put(gtx.Dp(6), func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Small, font.SemiBold, th.Dim, "Recent lessons")
		})
		for i := range h.recents {
			if y+gtx.Sp(52) > foot {
				break
			}
			put(gtx.Dp(4), func(gtx layout.Context) layout.Dimensions { return a.layoutRecent(gtx, i) })
		}
		y += gtx.Dp(20)
	}
	put(0, func(gtx layout.Context) layout.Dimensions { return a.layoutTeach(gtx, size.Y-gtx.Sp(48)-y) })
	th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(size.Y-gtx.Dp(18))), 0.5, 1, draw.Small, font.Normal, th.Dim, kit.Caution)
}

// layoutBeginnings draws the buttons to begin with.
func (a *App) layoutBeginnings(gtx layout.Context) layout.Dimensions {
	th, h := a.theme, &a.home
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	kind := draw.Primary
	if a.library.Shown() {
		kind = draw.Plain // then the chosen lesson is the one thing to open
	}
	return draw.Row(gtx, 8,
		button(&h.demo, draw.ButtonStyle{Label: "Open the demo lesson", Kind: kind, Icon: draw.IconPlay}),
		button(&h.fresh, draw.ButtonStyle{Label: "New student", Icon: draw.IconStudent}),
		button(&h.open, draw.ButtonStyle{Label: "Open …", Icon: draw.IconOpen, Tip: "A lesson or clips", Keys: a.Shortcut("open"), TipSide: draw.TipBelowEnd}))
}

func (a *App) layoutMaking(gtx layout.Context) layout.Dimensions {
	m := a.home.making
	part := float32(m.done) / float32(max(m.total, 1))
	return kit.Progress(gtx, a.theme, fmt.Sprintf("Filming the demo swing, once only: %.0f %%", 100*part), part, &a.home.cancel)
}

// layoutDropPlace says that files can be dropped on the window.
func (a *App) layoutDropPlace(gtx layout.Context) layout.Dimensions {
	th := a.theme
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(110))
	if a.library.Shown() {
		size.Y = gtx.Sp(56)
	}
	edge := th.Dim
	if a.dropOver {
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

func (a *App) layoutRecent(gtx layout.Context, i int) layout.Dimensions {
	r := a.home.recents[i]
	name := r.Student
	if name == "" {
		name = filepath.Base(r.Path)
	}
	return kit.RowButton(gtx, a.theme, &a.home.rows[i], "Open the lesson of "+name, name, kit.Joined(r.Title, r.Date), words.Ago(gtx.Now, r.Opened))
}
