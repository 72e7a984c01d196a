package kit

import (
	"image"
	"image/color"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/gesture"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/draw"
)

// The height of a row of a List, and of one with a picture.
const (
	listRow    unit.Sp = 46
	pictureRow unit.Sp = 64
)

// List is a list of equal rows that are chosen with the pointer and, by who has
// it, with the keyboard.
type List struct {
	list    layout.List
	clicks  []gesture.Click
	reveal  int // row to be scrolled into view, -1 for none
	visible int
	// Held are the modifier keys of the click that Clicked returned last.
	Held key.Modifiers
	// Pictured says that the rows have pictures.
	Pictured bool
}

// Reveal scrolls a row into view when the list is next laid out.
func (l *List) Reveal(row int) { l.reveal = row }

// Page is how many rows a page key goes.
func (l *List) Page() int { return max(l.visible-1, 1) }

// Clicked returns which of the first n rows was clicked, and how often in a row.
// It is to be asked until ok is false.
func (l *List) Clicked(gtx layout.Context, n int) (row, times int, ok bool) {
	for i := range l.clicks[:min(len(l.clicks), n)] {
		var times int
		if times, l.Held = clicks(gtx, &l.clicks[i]); times > 0 {
			return i, times, true
		}
	}
	return 0, 0, false
}

// clicks returns how often in a row something was clicked, 0 for not at all, and what was held.
func clicks(gtx layout.Context, c *gesture.Click) (n int, held key.Modifiers) {
	for {
		e, ok := c.Update(gtx.Source)
		if !ok {
			return n, held
		}
		if e.Kind == gesture.KindClick {
			n, held = e.NumClicks, e.Modifiers
		}
	}
}

// Layout lays n rows out in the whole of gtx.
func (l *List) Layout(gtx layout.Context, th *draw.Theme, n int, row func(gtx layout.Context, i int) ListRow) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	h := gtx.Sp(listRow)
	if l.Pictured {
		h = gtx.Sp(pictureRow)
	}
	for len(l.clicks) < n {
		l.clicks = append(l.clicks, gesture.Click{})
	}
	l.list.Axis = layout.Vertical
	l.visible = size.Y / h
	if i := l.reveal; i >= 0 && l.list.Position.Count > 0 {
		switch first := l.list.Position.First; {
		case i < first || i == first && l.list.Position.Offset > 0:
			l.list.ScrollTo(i)
		case (i+1)*h > first*h+l.list.Position.Offset+size.Y:
			l.list.Position.First, l.list.Position.Offset = 0, (i+1)*h-size.Y
		}
		l.reveal = -1
	}
	gtx.Constraints = layout.Exact(size)
	d := l.list.Layout(gtx, n, func(gtx layout.Context, i int) layout.Dimensions {
		s := image.Pt(size.X, h)
		r := row(gtx, i)
		r.layout(gtx, th, &l.clicks[i], s)
		return layout.Dimensions{Size: s}
	})
	if whole := n * h; whole > size.Y {
		w := gtx.Dp(4)
		from := (l.list.Position.First*h + l.list.Position.Offset) * size.Y / whole
		draw.RoundRect(gtx.Ops, image.Rect(size.X-w-gtx.Dp(2), from, size.X-gtx.Dp(2), from+size.Y*size.Y/whole), w/2, th.Edge)
	}
	return d
}

// ListRow is what stands in a row: a title and a line under it, a note at the
// right and one under that.
type ListRow struct {
	Label                         string // what it is called by
	On                            bool
	Ringed                        bool // the keyboard is at it
	Title, Under, Note, NoteUnder string
	NoteInk, UnderInk             color.NRGBA // of the notes
	// Picture draws what stands at the left of the row; nil where there is none.
	Picture func(gtx layout.Context, size image.Point)
}

func (t *ListRow) layout(gtx layout.Context, th *draw.Theme, c *gesture.Click, size image.Point) {
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	c.Add(gtx.Ops)
	semantic.Button.Add(gtx.Ops)
	semantic.LabelOp(t.Label).Add(gtx.Ops)
	semantic.SelectedOp(t.On).Add(gtx.Ops)
	pointer.CursorPointer.Add(gtx.Ops)
	in := image.Rectangle{Max: size}.Inset(gtx.Dp(2))
	switch {
	case t.On:
		draw.RoundRect(gtx.Ops, in, gtx.Dp(draw.Radius), th.AccentLow)
		draw.Fill(gtx.Ops, image.Rect(in.Min.X, in.Min.Y+gtx.Dp(6), in.Min.X+gtx.Dp(3), in.Max.Y-gtx.Dp(6)), th.Accent)
	case c.Hovered():
		draw.RoundRect(gtx.Ops, in, gtx.Dp(draw.Radius), th.Hover)
	}
	pad := gtx.Dp(draw.Pad)
	right := size.X - pad
	width := 0
	if t.Note != "" {
		r := th.TextAt(gtx, f32.Pt(float32(right), float32(size.Y)*0.32), 1, 0.5, draw.Small, font.Medium, t.NoteInk, t.Note)
		width = r.Dx()
	}
	if t.NoteUnder != "" {
		r := th.TextAt(gtx, f32.Pt(float32(right), float32(size.Y)*0.7), 1, 0.5, draw.Small, font.Normal, t.UnderInk, t.NoteUnder)
		width = max(width, r.Dx())
	}
	left := pad
	if t.Picture != nil {
		s := image.Pt((size.Y-gtx.Dp(10))*3/4, size.Y-gtx.Dp(10))
		off := op.Offset(image.Pt(pad, gtx.Dp(5))).Push(gtx.Ops)
		t.Picture(gtx, s)
		off.Pop()
		left += s.X + gtx.Dp(10)
	}
	room := Constrained(gtx, right-left-width-pad)
	line := func(y float32, size unit.Sp, w font.Weight, ink color.NRGBA, text string) {
		d, _ := th.TextSize(gtx, size, w, text)
		off := op.Offset(image.Pt(left, int(y)-d.Y/2)).Push(gtx.Ops)
		th.Label(room, size, w, ink, text)
		off.Pop()
	}
	if t.Under == "" {
		line(float32(size.Y)*0.5, draw.Body, font.Medium, th.Text, t.Title)
	} else {
		line(float32(size.Y)*0.32, draw.Body, font.Medium, th.Text, t.Title)
		line(float32(size.Y)*0.7, draw.Small, font.Normal, th.Dim, t.Under)
	}
	area.Pop()
	if t.Ringed {
		th.FocusRing(gtx, image.Rectangle{Max: size}.Inset(gtx.Dp(4)))
	}
}
