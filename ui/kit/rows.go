package kit

import (
	"image"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/ui/draw"
)

// RowButton is a whole row of a list that can be clicked: a title, more about
// it, and a note at the right. label is what it is called by.
func RowButton(gtx layout.Context, th *draw.Theme, b *draw.Button, label, title, more, note string) layout.Dimensions {
	return PictureRow(gtx, th, b, label, title, more, note, nil)
}

// PictureRow is RowButton with a picture before the title, which it draws in a size; nil
// is none.
func PictureRow(gtx layout.Context, th *draw.Theme, b *draw.Button, label, title, more, note string, picture func(gtx layout.Context, size image.Point)) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(40))
	if picture != nil {
		size.Y = gtx.Sp(56)
	}
	gtx.Constraints = layout.Exact(size)
	b.Clickable.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		semantic.LabelOp(label).Add(gtx.Ops)
		ground := th.Panel
		if b.Hovered() {
			ground = th.Hover
		}
		draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), ground)
		pointer.CursorPointer.Add(gtx.Ops)
		mid, pad := float32(size.Y)/2, float32(gtx.Dp(draw.Pad))
		if picture != nil {
			gap := gtx.Dp(4)
			seen := image.Pt(gtx.Sp(40), size.Y-2*gap)
			off := op.Offset(image.Pt(gap, gap)).Push(gtx.Ops)
			picture(gtx, seen)
			off.Pop()
			pad += float32(seen.X + gap)
		}
		at := th.TextAt(gtx, f32.Pt(pad, mid), 0, 0.5, draw.Body, font.Medium, th.Text, title)
		th.TextAt(gtx, f32.Pt(float32(at.Max.X+gtx.Dp(draw.Pad)), mid), 0, 0.5, draw.Body, font.Normal, th.Dim, more)
		th.TextAt(gtx, f32.Pt(float32(size.X-gtx.Dp(draw.Pad)), mid), 1, 0.5, draw.Small, font.Normal, th.Dim, note)
		return layout.Dimensions{Size: size}
	})
	if gtx.Focused(&b.Clickable) {
		th.FocusRing(gtx, image.Rectangle{Max: size})
	}
	return layout.Dimensions{Size: size}
}

// FolderField is a field for the path of a folder, with a button to choose it.
func FolderField(gtx layout.Context, th *draw.Theme, f *draw.Field, browse *draw.Button, s draw.FieldStyle) layout.Dimensions {
	m := op.Record(gtx.Ops)
	b := th.Button(gtx, browse, draw.ButtonStyle{Icon: draw.IconOpen, Name: "Choose a folder", Tip: "Choose a folder", TipSide: draw.TipAboveEnd, Disabled: s.Disabled})
	button := m.Stop()
	w := gtx.Constraints.Max.X - b.Size.X - gtx.Dp(6)
	d := th.Field(Constrained(gtx, w), f, s)
	off := op.Offset(image.Pt(w+gtx.Dp(6), d.Size.Y-b.Size.Y)).Push(gtx.Ops) // beside the frame, not the label
	button.Add(gtx.Ops)
	off.Pop()
	d.Size.X = gtx.Constraints.Max.X
	return d
}

// Choice is a labelled row of which one item is on.
func Choice(th *draw.Theme, label string, s *draw.Segmented, on int, items ...string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		d := th.Label(gtx, draw.Small, font.Medium, th.Dim, label)
		y := d.Size.Y + gtx.Dp(draw.Gap)
		off := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
		e := th.Segmented(gtx, s, label, on, items...)
		off.Pop()
		return layout.Dimensions{Size: image.Pt(max(d.Size.X, e.Size.X), y+e.Size.Y)}
	}
}

// Progress shows how much of something is done, with a button to stop it.
func Progress(gtx layout.Context, th *draw.Theme, text string, part float32, cancel *draw.Button) layout.Dimensions {
	d := th.Label(gtx, draw.Body, font.Normal, th.Text, text)
	y := d.Size.Y + gtx.Dp(8)
	bar := image.Rect(0, y, gtx.Constraints.Max.X-gtx.Sp(110), y+gtx.Dp(8))
	draw.RoundRect(gtx.Ops, bar, gtx.Dp(4), th.Track)
	done := bar
	done.Max.X = bar.Min.X + int(part*float32(bar.Dx()))
	draw.RoundRect(gtx.Ops, done, gtx.Dp(4), th.Accent)
	off := op.Offset(image.Pt(bar.Max.X+gtx.Dp(16), y-gtx.Sp(draw.Control)/2+gtx.Dp(4))).Push(gtx.Ops)
	th.Button(gtx, cancel, draw.ButtonStyle{Label: "Cancel"})
	off.Pop()
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, y+gtx.Sp(draw.Control))}
}

// Doing says in small letters what is being done beside the coach's work, over a bar of how
// far it is, 0 to 1.
func Doing(gtx layout.Context, th *draw.Theme, text string, part float32) layout.Dimensions {
	d := th.Label(gtx, draw.Small, font.Normal, th.Dim, text)
	y := d.Size.Y + gtx.Dp(3)
	bar := image.Rect(0, y, d.Size.X, y+gtx.Dp(4))
	draw.RoundRect(gtx.Ops, bar, gtx.Dp(2), th.Track)
	bar.Max.X = int(part * float32(bar.Dx()))
	draw.RoundRect(gtx.Ops, bar, gtx.Dp(2), th.Accent)
	return layout.Dimensions{Size: image.Pt(d.Size.X, bar.Max.Y)}
}

// Joined joins what there is of some words with a dot between them.
func Joined(words ...string) string {
	var parts []string
	for _, s := range words {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, "  ·  ")
}

// Flow lays parts out one behind the other, on further lines where there is no room.
func Flow(gtx layout.Context, gap unit.Dp, parts ...layout.Widget) layout.Dimensions {
	gtx.Constraints.Min = image.Point{}
	between, width := gtx.Dp(gap), gtx.Constraints.Max.X
	type placed struct {
		call op.CallOp
		x, h int
	}
	var row []placed
	x, y, line, widest := 0, 0, 0, 0
	draw := func() { // each in the middle of the row's height
		for _, p := range row {
			off := op.Offset(image.Pt(p.x, y+(line-p.h)/2)).Push(gtx.Ops)
			p.call.Add(gtx.Ops)
			off.Pop()
		}
		row = row[:0]
	}
	for _, p := range parts {
		m := op.Record(gtx.Ops)
		d := p(gtx)
		call := m.Stop()
		if x > 0 && x+d.Size.X > width {
			draw()
			x, y, line = 0, y+line+between, 0
		}
		row = append(row, placed{call, x, d.Size.Y})
		widest = max(widest, x+d.Size.X)
		x += d.Size.X + between
		line = max(line, d.Size.Y)
	}
	draw()
	return layout.Dimensions{Size: image.Pt(widest, y+line)}
}
