package panel

import (
	"fmt"
	"image"
	"image/color"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/visit"
)

// columns are the views.
var columns = [...]geometry.View{geometry.FaceOn, geometry.DownTheLine}

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	return r.card.Layout(gtx, th, "The swings of this visit", 680, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(12)}
		if r.found == nil {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				text := fmt.Sprintf("Looking for swings in %s …", words.Count(len(r.paths), "clip", "clips"))
				return kit.Progress(gtx, th, text, r.part, &r.halt)
			})
			return col.Done()
		}
		for _, n := range r.found.Notes {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Small, font.Normal, th.Outside, n)
			})
		}
		if len(r.rows) == 0 {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, "No swing is found. If no ball was struck, look for practice swings.")
			})
		} else {
			for _, s := range r.standing {
				col.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Paragraph(gtx, draw.Small, font.Normal, th.Text, s)
				})
			}
			col.Add(func(gtx layout.Context) layout.Dimensions {
				text := "Each row is one swing, seen from both sides. If a picture belongs elsewhere, drag it there, or press it and then its place; with the keyboard, Ctrl and an arrow take it along. Ctrl+Z takes that back."
				if r.holding {
					text = "Press the place where this picture belongs: what is there changes places with it. In the last line it becomes a swing of its own. Esc lets go."
				}
				return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
			})
		}
		for i := range r.rows {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				d := r.layoutRow(gtx, i)
				r.pitch.Y = d.Size.Y + col.Gap
				return d
			})
		}
		if len(r.rows) > 0 {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				can := r.holding && !r.alone(r.held) || r.drag.on && !r.alone(r.drag.from)
				return th.Button(gtx, &r.own, draw.ButtonStyle{Label: "A picture put here becomes a swing of its own", Fill: true, Disabled: !can})
			})
		}
		col.Add(r.layoutButtons)
		return col.Done()
	})
}

func (r *Room) layoutButtons(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	n := r.chosen()
	add := "Add " + words.Count(n, "swing", "swings")
	if n == 0 {
		add = "No swing is chosen"
	}
	return kit.EndRow(gtx,
		button(&r.search, draw.ButtonStyle{
			Label: "Practice swings too", Toggle: true, On: r.practice,
			Tip: "Looks through every picture for swings without a ball",
		}),
		button(&r.swap, draw.ButtonStyle{Label: "Swap the views", Disabled: len(r.rows) == 0}),
		button(&r.cancel, draw.ButtonStyle{Label: "Cancel"}),
		button(&r.add, draw.ButtonStyle{Label: add, Kind: draw.Primary, Disabled: n == 0}))
}

// rowTall is the height of a row, and numberWide the width of its number and tick.
const rowTall, numberWide = 88, 96

// layoutRow draws a swing: whether it is to be taken in, and what is seen of it.
func (r *Room) layoutRow(gtx layout.Context, i int) layout.Dimensions {
	th, row := r.host.Theme(), &r.found.Rows[i]
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(rowTall))
	left := gtx.Sp(numberWide)
	icon := draw.IconTicked
	if row.Leave {
		icon = draw.IconBox
	}
	name := fmt.Sprintf("Swing %d", i+1)
	kit.At(gtx, image.Rect(0, (size.Y-gtx.Sp(draw.Control))/2, left, size.Y), func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &r.rows[i].tick, draw.ButtonStyle{
			Label: fmt.Sprint(i + 1), Icon: icon, Kind: draw.Quiet, Toggle: true, On: !row.Leave, Name: "Take in " + name,
		})
	})
	wide := (size.X - left) / len(columns)
	r.pitch.X = wide
	for k := range columns {
		x := left + k*wide
		kit.At(gtx, image.Rect(x, 0, x+wide-gtx.Dp(8), size.Y), func(gtx layout.Context) layout.Dimensions {
			return r.layoutCell(gtx, visit.Place{Row: i, View: k}, name)
		})
	}
	return layout.Dimensions{Size: size}
}

// layoutCell draws one swing from one view.
func (r *Room) layoutCell(gtx layout.Context, p visit.Place, name string) layout.Dimensions {
	th, row, b := r.host.Theme(), &r.found.Rows[p.Row], &r.rows[p.Row].cells[p.View]
	size := gtx.Constraints.Max
	gtx.Constraints = layout.Exact(size)
	first, more := columns[p.View].String(), "not filmed from here"
	shot := row.Shots[p.View]
	if shot.Film != nil {
		more = fmt.Sprintf("%s, at %s", shot.Film.Name(), clock(shot.Of().Strike))
	}
	if row.Practice {
		first += ", practice swing"
	}
	to := r.target(gtx)
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	b.layoutDrag(gtx)
	b.Clickable.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		semantic.LabelOp(fmt.Sprintf("%s, %s: %s", name, first, more)).Add(gtx.Ops)
		held := r.holding && r.held == p || to != nil && *to == p
		semantic.SelectedOp(held).Add(gtx.Ops)
		ground := th.Panel
		switch {
		case held:
			ground = th.AccentLow
		case b.Hovered():
			ground = th.Hover
		}
		defer clip.UniformRRect(image.Rectangle{Max: size}, gtx.Dp(draw.Radius)).Push(gtx.Ops).Pop()
		draw.Fill(gtx.Ops, image.Rectangle{Max: size}, ground)
		pointer.CursorPointer.Add(gtx.Ops)
		pad := gtx.Dp(6)
		tall := size.Y - 2*pad
		picture := pictureIn(tall)
		off := op.Offset(image.Pt(pad, pad)).Push(gtx.Ops)
		draw.Fill(gtx.Ops, image.Rectangle{Max: picture}, th.Surround)
		if shot.Film != nil && shot.Film.Pictures[shot.Swing] != nil {
			draw.Image(gtx.Ops, r.rows[p.Row].pictures[p.View], picture)
		}
		off.Pop()
		x := float32(picture.X + 2*pad)
		ink, dim := th.Text, th.Dim
		if row.Leave || shot.Film == nil {
			ink = th.Dim
		}
		line := func(y float32, weight font.Weight, c color.NRGBA, text string) {
			th.TextAt(gtx, f32.Pt(x, y), 0, 0.5, draw.Small, weight, c, text)
		}
		mid := float32(size.Y) / 2
		line(mid-float32(gtx.Sp(10)), font.Medium, ink, first)
		line(mid+float32(gtx.Sp(10)), font.Normal, dim, more)
		return layout.Dimensions{Size: size}
	})
	area.Pop()
	r.layoutDragged(gtx, p, size)
	if gtx.Focused(&b.Clickable) {
		th.FocusRing(gtx, image.Rectangle{Max: size})
	}
	return layout.Dimensions{Size: size}
}

// pictureIn is the size of a picture of a height.
func pictureIn(tall int) image.Point {
	return image.Pt(tall*visit.PictureSize.X/visit.PictureSize.Y, tall)
}

// clock writes a time along a take.
func clock(seconds float64) string {
	return fmt.Sprintf("%d:%04.1f", int(seconds)/60, seconds-float64(int(seconds)/60*60))
}
