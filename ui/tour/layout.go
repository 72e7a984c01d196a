package tour

import (
	"fmt"
	"image"
	"path/filepath"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/demo"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Layout rings the panel of the step and draws the card beside it.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	t := &r.state
	if !t.on {
		return layout.Dimensions{}
	}
	th, size := r.host.Theme(), gtx.Constraints.Max
	s := r.steps()[t.step]
	if !t.done && s.tried != nil && s.tried(t.start, r.moment()) {
		gtx.Execute(op.InvalidateCmd{}) // a row that is pointed at is known once the sheet was drawn
	}
	ring := r.panels[s.panel].Inset(gtx.Dp(2))
	draw.RoundFrame(gtx.Ops, ring, float32(gtx.Dp(draw.Radius)), float32(gtx.Dp(3)), th.Accent)

	pad := gtx.Dp(16)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(min(gtx.Sp(width), size.X-4*pad), size.Y)}
	m := op.Record(gtx.Ops)
	d := r.layoutText(g, &s)
	inside := m.Stop()
	card := d.Size.Add(image.Pt(2*pad, 2*pad))
	defer op.Offset(r.place(s.panel, card, size, gtx.Dp(12))).Push(gtx.Ops).Pop()
	th.Card(gtx, image.Rectangle{Max: card})
	draw.RoundFrame(gtx.Ops, image.Rectangle{Max: card}, float32(gtx.Dp(draw.Radius)), float32(gtx.Dp(1)), th.Accent)
	defer clip.Rect(image.Rectangle{Max: card}).Push(gtx.Ops).Pop()
	kit.Named(gtx, image.Rectangle{Max: card}, "Tour")
	event.Op(gtx.Ops, &t.area)
	pointer.CursorDefault.Add(gtx.Ops)
	defer op.Offset(image.Pt(pad, pad)).Push(gtx.Ops).Pop()
	inside.Add(gtx.Ops)
	return layout.Dimensions{Size: size}
}

// place returns the corner of the card: beside the panel it tells of, not over
// it, and inside the window.
func (r *Room) place(p Panel, card, window image.Point, gap int) image.Point {
	told := r.panels[p]
	at := image.Pt(told.Min.X, told.Min.Y-card.Y-gap)
	switch p {
	case Stages: // over the sheet, which is of no use yet
		at = image.Pt(r.panels[Sheet].Min.X-gap, told.Min.Y+gap)
	case Sheet, Plan:
		at = image.Pt(told.Min.X-card.X-gap, told.Min.Y+(told.Dy()-card.Y)/2)
	case Guide: // over the sheet: the pictures are wanted
		at = image.Pt(r.panels[Sheet].Min.X-gap, r.panels[Sheet].Max.Y-card.Y)
	}
	at.X = min(max(at.X, gap), window.X-card.X-gap)
	at.Y = min(max(at.Y, gap), window.Y-card.Y-gap)
	return at
}

func (r *Room) layoutText(gtx layout.Context, s *step) layout.Dimensions {
	th, t := r.host.Theme(), &r.state
	steps := len(r.steps())
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(8)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Small, font.Medium, th.Dim, fmt.Sprintf("Step %d of %d", t.step+1, steps))
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Title, font.SemiBold, th.Text, s.title)
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, s.text)
	})
	if s.try != "" {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			side := gtx.Sp(18)
			x := side + gtx.Dp(6)
			g := gtx
			g.Constraints.Max.X = max(gtx.Constraints.Max.X-x, 1)
			off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
			d := th.Paragraph(g, draw.Body, font.Medium, th.Accent, "Try it: "+s.try+".")
			off.Pop()
			if t.done {
				th.Icon(gtx.Ops, draw.IconCheck, image.Pt(0, gtx.Sp(1)), side, th.Accent)
			} else {
				draw.Ring(gtx.Ops, f32.Pt(float32(side)/2, float32(side)/2+float32(gtx.Sp(1))), float32(side)/3, float32(gtx.Dp(2)), th.Accent)
			}
			return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, d.Size.Y)}
		})
	}
	button := func(b *draw.Button, st draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, st) }
	}
	last := t.step == steps-1
	if last && filepath.Dir(r.host.Session().Path) == r.dirs.Demo() && filepath.Base(r.host.Session().Path) != demo.MarkedFile {
		col.Add(button(&t.marked, draw.ButtonStyle{Label: "See this swing fully marked"}))
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		parts := []layout.Widget{nil, nil, nil}
		if !last {
			parts[0] = button(&t.skip, draw.ButtonStyle{Label: "Skip the tour", Kind: draw.Quiet})
		}
		if t.step > 0 {
			parts[1] = button(&t.back, draw.ButtonStyle{Label: "Back"})
		}
		label := "Next"
		if last {
			label = "Done"
		}
		parts[2] = button(&t.next, draw.ButtonStyle{Label: label, Kind: draw.Primary})
		return kit.EndRow(gtx, parts...)
	})
	return col.Done()
}
