package help

import (
	"image"
	"sort"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/manual"
)

// Layout shows the page that is open: of the keys every one, from the same
// table that the keys come from, in as many columns as there is room for.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	gap := gtx.Dp(columnGap)
	columns := min(max((gtx.Constraints.Max.X-3*gtx.Dp(22)+gap)/(gtx.Sp(columnWidth)+gap), 1), mostColumns)
	// A modal's width is in sp.
	width := unit.Sp(float32(columns*(gtx.Sp(columnWidth)+gap)-gap) / gtx.Metric.PxPerSp)
	room := r.card.Room(gtx) // the card keeps its size from page to page
	title := pages[r.page]
	if q := r.question(); q != "" {
		title = "Look it up"
	}
	return r.card.Layout(gtx, th, title, width, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return r.layoutHead(gtx)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			if q := r.question(); q != "" {
				return manual.Found(gtx, th, q)
			}
			if r.page > 0 {
				gtx.Constraints.Max.X = min(gtx.Constraints.Max.X, gtx.Sp(manual.Width(r.page-1)))
				return manual.Layout(gtx, th, r.page-1)
			}
			return r.layoutColumns(gtx, columns, gap)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, kit.Caution)
		})
		d := col.Done()
		d.Size.Y = max(d.Size.Y, room)
		return d
	})
}

// layoutHead sets what is looked up beside the names of the pages, or below them where
// there is no room.
func (r *Room) layoutHead(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	page := r.page
	if r.question() != "" {
		page = -1
	}
	tabs := func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, 12, func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &r.tabs, "Page of the help", page, pages...)
		}, r.layoutTourButton)
	}
	field := func(gtx layout.Context) layout.Dimensions {
		return th.Field(gtx, &r.asked, draw.FieldStyle{Name: "Look it up", Hint: "Look it up: hips, knees, tempo, path …"})
	}
	d := tabs(gtx)
	if left := gtx.Constraints.Max.X - d.Size.X - gtx.Dp(12); left >= gtx.Sp(fieldWidth) {
		off := op.Offset(image.Pt(d.Size.X+gtx.Dp(12), 0)).Push(gtx.Ops)
		f := field(kit.Constrained(gtx, left))
		off.Pop()
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, max(d.Size.Y, f.Size.Y))}
	}
	y := d.Size.Y + gtx.Dp(10)
	defer op.Offset(image.Pt(0, y)).Push(gtx.Ops).Pop()
	f := field(gtx)
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, y+f.Size.Y)}
}

func (r *Room) layoutTourButton(gtx layout.Context) layout.Dimensions {
	style := draw.ButtonStyle{Label: "Take the tour", Keys: r.host.Shortcut("tour"), Disabled: !r.host.Can("tour")}
	for _, c := range r.commands() {
		if c.ID == "tour" {
			style.Name, style.Tip = c.Help, c.Help
		}
	}
	return r.host.Theme().Button(gtx, &r.tour, style)
}

// layoutColumns sets the groups one after another, in columns of about the same
// height.
func (r *Room) layoutColumns(gtx layout.Context, columns, gap int) layout.Dimensions {
	w := (gtx.Constraints.Max.X - (columns-1)*gap) / columns
	groups := divided(r.groups())
	calls, heights := make([]op.CallOp, len(groups)), make([]int, len(groups))
	record := func(group *Group) (op.CallOp, int) {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w, gtx.Constraints.Max.Y)}
		m := op.Record(gtx.Ops)
		h := r.layoutGroup(g, group).Size.Y
		return m.Stop(), h
	}
	for i := range groups {
		calls[i], heights[i] = record(&groups[i])
		if i+1 == len(groups) || groups[i+1].Title != "" {
			heights[i] += gtx.Sp(14)
		}
	}
	most := shortest(heights, columns)
	column, y, deepest := 0, 0, 0
	for i := range groups {
		if y > 0 && y+heights[i] > most {
			column, y = column+1, 0
			if groups[i].Title == "" { // a heading is needed here
				before := i - 1
				for groups[before].Title == "" {
					before--
				}
				again := Group{Title: groups[before].Title + ", further", Lines: groups[i].Lines}
				calls[i], heights[i] = record(&again)
				if i+1 == len(groups) || groups[i+1].Title != "" {
					heights[i] += gtx.Sp(14)
				}
			}
		}
		off := op.Offset(image.Pt(column*(w+gap), y)).Push(gtx.Ops)
		calls[i].Add(gtx.Ops)
		off.Pop()
		y += heights[i]
		deepest = max(deepest, y)
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, deepest)}
}

// mostLines is how many lines of a long group stand together.
const mostLines = 4

// divided divides long groups, so that a column may end within one: the later parts have
// no title.
func divided(groups []Group) (out []Group) {
	for _, g := range groups {
		for len(g.Lines) > mostLines*3/2 {
			out = append(out, Group{Title: g.Title, Lines: g.Lines[:mostLines]})
			g = Group{Lines: g.Lines[mostLines:]}
		}
		out = append(out, g)
	}
	return out
}

// shortest returns the least height of columns into which parts go in their
// order.
func shortest(heights []int, columns int) int {
	fits := func(most int) bool {
		n, y := 1, 0
		for _, h := range heights {
			if y > 0 && y+h > most {
				n, y = n+1, 0
			}
			y += h
		}
		return n <= columns
	}
	low, high := 0, 0
	for _, h := range heights {
		low, high = max(low, h), high+h
	}
	return low + sort.Search(high-low, func(extra int) bool { return fits(low + extra) })
}

func (r *Room) layoutGroup(gtx layout.Context, g *Group) layout.Dimensions {
	th := r.host.Theme()
	keyW := gtx.Sp(keysWidth)
	put := func(x, y, w int, what layout.Widget) int {
		defer op.Offset(image.Pt(x, y)).Push(gtx.Ops).Pop()
		return what(kit.Constrained(gtx, w)).Size.Y
	}
	y := 0
	if g.Title != "" {
		y = put(0, 0, gtx.Constraints.Max.X, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.SemiBold, th.Accent, g.Title)
		}) + gtx.Sp(4)
	}
	for _, l := range g.Lines {
		h := put(0, y, keyW-gtx.Sp(8), func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Medium, th.Text, l[0])
		})
		h = max(h, put(keyW, y, gtx.Constraints.Max.X-keyW, func(gtx layout.Context) layout.Dimensions {
			d := th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, l[1])
			kit.Named(gtx, image.Rectangle{Max: d.Size}, l[1])
			return d
		}))
		y += h + gtx.Sp(1)
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, y)}
}
