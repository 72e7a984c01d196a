package choose

import (
	"fmt"
	"image"
	"path/filepath"

	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/text"

	"turngauge/ui/draw"
)

// columns are where the parts of a row stand, in pixels from its left.
type columns struct {
	name, when, size, end int // when == size: dates are not shown
}

func (c *Chooser) columnsOf(gtx layout.Context, width int) columns {
	cols := columns{name: gtx.Sp(32), end: width - gtx.Sp(barWidth) - gtx.Sp(6)}
	if c.tall {
		cols.name = gtx.Sp(18 + thumbWidth)
	}
	cols.size = cols.end - gtx.Sp(sizeWidth)
	cols.when = cols.size
	if width-cols.name >= gtx.Sp(datesFrom-32) {
		cols.when -= gtx.Sp(whenWidth)
	}
	return cols
}

// layoutList draws the headings and the rows.
func (c *Chooser) layoutList(gtx layout.Context, th *draw.Theme, r image.Rectangle) {
	cols := c.columnsOf(gtx, r.Dx())
	head := gtx.Sp(draw.Compact)
	heading := func(by Order, label, name string, x int) {
		within(gtx, image.Rect(r.Min.X+x, r.Min.Y, r.Max.X, r.Min.Y+head), func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &c.orders[by], draw.ButtonStyle{
				Label: label, Name: name, Kind: draw.Quiet, Compact: true, Toggle: true, On: c.order == by,
			})
		})
	}
	heading(ByName, "Name", "Sort by name", cols.name-gtx.Sp(8))
	if cols.when < cols.size {
		heading(ByNewest, "Changed", "Newest first", cols.when-gtx.Sp(8))
	}
	word, _ := th.TextSize(gtx, draw.Small, font.Medium, "Size")
	heading(ByLargest, "Size", "Largest first", cols.end-word.X-gtx.Sp(8))

	r.Min.Y += head + gtx.Dp(draw.Gap)
	if r.Dy() <= 0 {
		return
	}
	off := op.Offset(r.Min).Push(gtx.Ops)
	defer off.Pop()
	size := r.Size()
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
	area := clip.Rect{Max: size}.Push(gtx.Ops)
	semantic.LabelOp("Files").Add(gtx.Ops)
	// A label does not show on the very area of a handler that takes keys only.
	keys := clip.Rect{Max: size}.Push(gtx.Ops)
	event.Op(gtx.Ops, c.listTag())
	gtx.Constraints = layout.Exact(size)
	if len(c.list.Entries) == 0 {
		c.layoutEmpty(gtx, th)
	} else {
		c.layoutRows(gtx, th, cols)
	}
	keys.Pop()
	area.Pop()
	if gtx.Focused(c.listTag()) {
		th.FocusRing(gtx, image.Rectangle{Max: size}.Inset(gtx.Dp(2)))
	}
}

// layoutEmpty says why there is nothing to choose.
func (c *Chooser) layoutEmpty(gtx layout.Context, th *draw.Theme) {
	words := ""
	switch {
	case c.slow():
		// The footer says so.
	case c.list.Dir == "" && c.reading == nil:
		words = "Go to a folder by its path, or by one of the places."
	case c.list.Dir == "":
	case c.folder:
		words = "This folder holds no other folder."
	case c.list.Hidden > 0:
		words = "Nothing of this kind is in this folder."
	default:
		words = "This folder is empty."
	}
	gtx.Constraints.Min.Y = min(gtx.Constraints.Max.Y, gtx.Sp(4*rowHeight))
	gtx.Constraints.Max.Y = gtx.Constraints.Min.Y
	th.LabelAlign(gtx, text.Middle, draw.Body, font.Normal, th.Dim, words)
}

func (c *Chooser) layoutRows(gtx layout.Context, th *draw.Theme, cols columns) {
	rowH, size, n := gtx.Sp(rowHeight), gtx.Constraints.Max, len(c.list.Entries)
	if c.tall {
		rowH = gtx.Sp(tallRow)
	}
	c.viewRows = size.Y / rowH
	total := rowH * n
	top := c.scroll.Position.First*rowH + c.scroll.Position.Offset
	if c.reveal && c.sel.cursor >= 0 {
		c.reveal = false
		top = min(top, c.sel.cursor*rowH)
		top = max(top, (c.sel.cursor+1)*rowH-size.Y)
	}
	bar := gtx.Sp(barWidth)
	if total > size.Y {
		g := gtx
		g.Constraints = layout.Exact(image.Pt(bar, size.Y))
		c.bar.Update(g, layout.Vertical, float32(top)/float32(total), float32(top+size.Y)/float32(total))
		top += int(c.bar.ScrollDistance() * float32(total))
	}
	top = max(min(top, total-size.Y), 0)
	c.scroll.Position.First, c.scroll.Position.Offset = top/rowH, top%rowH
	c.scroll.Layout(gtx, n, func(gtx layout.Context, i int) layout.Dimensions {
		return c.layoutRow(gtx, th, i, image.Pt(size.X, rowH), cols)
	})
	if total > size.Y {
		top = c.scroll.Position.First*rowH + c.scroll.Position.Offset
		c.layoutBar(gtx, th, bar, float32(top)/float32(total), float32(top+size.Y)/float32(total))
	}
}

// layoutBar draws the scroll bar at the right, showing the part of the list from start to end.
func (c *Chooser) layoutBar(gtx layout.Context, th *draw.Theme, width int, start, end float32) {
	size := gtx.Constraints.Max
	off := op.Offset(image.Pt(size.X-width, 0)).Push(gtx.Ops)
	track := clip.Rect{Max: image.Pt(width, size.Y)}.Push(gtx.Ops)
	c.bar.AddTrack(gtx.Ops)
	c.bar.AddDrag(gtx.Ops)
	y0, y1 := int(start*float32(size.Y)), int(end*float32(size.Y))
	y1 = min(max(y1, y0+gtx.Sp(18)), size.Y)
	thumb := image.Rect(gtx.Dp(3), y0, width-gtx.Dp(3), y1)
	ink := th.Edge
	if c.bar.IndicatorHovered() || c.bar.Dragging() {
		ink = th.Dim
	}
	draw.RoundRect(gtx.Ops, thumb, thumb.Dx()/2, ink)
	grip := clip.Rect(image.Rect(0, y0, width, y1)).Push(gtx.Ops)
	c.bar.AddIndicator(gtx.Ops)
	grip.Pop()
	track.Pop()
	off.Pop()
}

func (c *Chooser) layoutRow(gtx layout.Context, th *draw.Theme, i int, sz image.Point, cols columns) layout.Dimensions {
	e, click := c.list.Entries[i], &c.rows[i]
	area := clip.Rect{Max: sz}.Push(gtx.Ops)
	defer area.Pop()
	semantic.Button.Add(gtx.Ops)
	semantic.LabelOp(e.Name).Add(gtx.Ops)
	semantic.SelectedOp(c.sel.on[i]).Add(gtx.Ops)
	click.Add(gtx.Ops)

	inner := image.Rect(gtx.Dp(2), gtx.Dp(1), cols.end+gtx.Sp(4), sz.Y-gtx.Dp(1))
	switch {
	case c.sel.on[i]:
		draw.RoundRect(gtx.Ops, inner, gtx.Dp(4), th.AccentLow)
	case click.Hovered():
		draw.RoundRect(gtx.Ops, inner, gtx.Dp(4), th.Hover)
	}
	if i == c.sel.cursor && gtx.Focused(c.listTag()) {
		draw.RoundFrame(gtx.Ops, inner, float32(gtx.Dp(4)), float32(max(gtx.Dp(1), 1)), th.Accent)
	}
	c.layoutSign(gtx, th, e, sz.Y)
	cell := func(from, to int, align text.Alignment, side bool, s string) {
		within(gtx, image.Rect(from, 0, to, sz.Y), func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min = gtx.Constraints.Max
			ink, sp := th.Text, draw.Body
			if side {
				ink, sp = th.Dim, draw.Small
			}
			return th.LabelAlign(gtx, align, sp, font.Normal, ink, s)
		})
	}
	gap := gtx.Sp(8)
	cell(cols.name, cols.when-gap, text.Start, false, e.Name)
	when := whenText(e.Changed, gtx.Now)
	if cols.when < cols.size {
		cell(cols.when, cols.size, text.Start, true, when)
	}
	if e.Folder {
		semantic.DescriptionOp("Folder, " + when).Add(gtx.Ops)
	} else {
		s := sizeText(e.Size)
		semantic.DescriptionOp(s + ", " + when).Add(gtx.Ops)
		cell(cols.size, cols.end, text.End, true, s)
	}
	return layout.Dimensions{Size: sz}
}

// layoutSign draws what is in an entry, or a sign of its kind, at the left of its row.
func (c *Chooser) layoutSign(gtx layout.Context, th *draw.Theme, e Entry, rowH int) {
	icon, room := gtx.Sp(18), gtx.Sp(18)
	if c.tall {
		room = gtx.Sp(thumbWidth)
		if !e.Folder && matches(pictured, e.Name) {
			size := image.Pt(room, rowH-gtx.Dp(8))
			defer op.Offset(image.Pt(gtx.Sp(8), gtx.Dp(4))).Push(gtx.Ops).Pop()
			c.Thumbnails.Layout(gtx, th, filepath.Join(c.list.Dir, e.Name), fmt.Sprint(e.Size, e.Changed.UnixNano()), size)
			return
		}
		if e.Folder {
			icon = gtx.Sp(24)
		}
	}
	th.Icon(gtx.Ops, c.iconOf(e), image.Pt(gtx.Sp(8)+(room-icon)/2, (rowH-icon)/2), icon, th.Dim)
}

func (c *Chooser) iconOf(e Entry) draw.Icon {
	switch {
	case e.Folder:
		return draw.IconOpen
	case matches([]Kind{Clips}, e.Name):
		return draw.IconPicture
	case matches([]Kind{Lessons}, e.Name):
		return draw.IconStudent
	}
	return draw.NoIcon
}
