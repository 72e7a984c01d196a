package ui

import (
	"image"
	"sort"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/manual"
	"turngauge/ui/sheet"
	"turngauge/ui/shelf"
	"turngauge/ui/shelf/progress"
)

// helpCard is the help under F1: the keys, and the pages of the manual.
type helpCard struct {
	open  bool
	page  int // 0 is the keys
	pages draw.Segmented
}

func (a *App) toggleHelp() { a.help.open = !a.help.open }

func (a *App) updateHelp(gtx layout.Context) {
	if i, ok := a.help.pages.Update(gtx); ok {
		a.help.page = i
	}
	if a.buttonOf("tour").Clicked(gtx) {
		a.Run("tour")
	}
}

// helpGroup is a heading of the help with its lines: keys, and what they do.
type helpGroup struct {
	title string
	lines [][2]string
}

// helpGroups are the commands of the table, and the keys of the parts of the
// window that have some of their own.
func (a *App) helpGroups() []helpGroup {
	var out []helpGroup
	for _, group := range kit.Groups {
		g := helpGroup{title: group}
		for _, c := range a.commands.list {
			if c.Group == group && !c.Hidden {
				g.lines = append(g.lines, [2]string{c.Keys[0].String(), c.Help})
			}
		}
		out = append(out, g)
	}
	return append(out,
		helpGroup{"With the mouse on a picture", [][2]string{
			{"click", "Place the asked point, or take hold of a mark"},
			{"drag", "Move what is in hand, else the picture"},
			{"right button", "Drag the picture, whatever is under it"},
			{"wheel", "Zoom about the pointer"},
		}},
		helpGroup{"On the sheet, after a click on it or Tab", sheet.Keys[:]},
		helpGroup{"In the library, while the search has the keyboard", shelf.KeysHelp},
		helpGroup{"On the list of measures of the progress", progress.KeysHelp},
		helpGroup{"In the panel that opens files", choose.Keys[:]},
		helpGroup{"On cards and buttons", [][2]string{
			{"Tab, Shift+Tab", "The next control, or the one before; it is ringed"},
			{"Space, Enter", "Press the ringed control"},
			{"Page Up, Page Down", "Scroll a card that is taller than the window"},
		}},
	)
}

const (
	helpColumn  unit.Sp = 350 // a column of the help is at least so wide
	helpKeys    unit.Sp = 118 // of which the keys take so much
	helpMost            = 4   // columns
	helpColumnG unit.Dp = 28  // between columns
)

// helpPages names the pages.
var helpPages = append([]string{"Keys"}, manual.Titles[:]...)

// layoutHelp shows the page that is open: of the keys every one, from the same
// table that the keys come from, in as many columns as there is room for.
func (a *App) layoutHelp(gtx layout.Context) {
	th, h := a.theme, &a.help
	gap := gtx.Dp(helpColumnG)
	columns := min(max((gtx.Constraints.Max.X-3*gtx.Dp(22)+gap)/(gtx.Sp(helpColumn)+gap), 1), helpMost)
	// A modal's width is in sp.
	width := unit.Sp(float32(columns*(gtx.Sp(helpColumn)+gap)-gap) / gtx.Metric.PxPerSp)
	if h.page > 0 {
		width = manual.Width(h.page - 1)
	}
	a.card.Layout(gtx, a.theme, helpPages[h.page], width, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return draw.Row(gtx, 12, func(gtx layout.Context) layout.Dimensions {
				return th.Segmented(gtx, &h.pages, "Page of the help", h.page, helpPages...)
			}, func(gtx layout.Context) layout.Dimensions {
				return a.commandButton(gtx, "tour", draw.ButtonStyle{Label: "Take the tour"})
			})
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			if h.page > 0 {
				return manual.Layout(gtx, th, h.page-1)
			}
			return a.helpColumns(gtx, columns, gap)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, kit.Caution)
		})
		return col.Done()
	})
}

// helpColumns sets the groups one after another, in columns of about the same
// height.
func (a *App) helpColumns(gtx layout.Context, columns, gap int) layout.Dimensions {
	w := (gtx.Constraints.Max.X - (columns-1)*gap) / columns
	groups := a.helpGroups()
	calls, heights := make([]op.CallOp, len(groups)), make([]int, len(groups))
	for i := range groups {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w, gtx.Constraints.Max.Y)}
		m := op.Record(gtx.Ops)
		heights[i] = a.helpGroup(g, &groups[i]).Size.Y + gtx.Sp(14)
		calls[i] = m.Stop()
	}
	most := shortest(heights, columns)
	column, y, deepest := 0, 0, 0
	for i := range groups {
		if y > 0 && y+heights[i] > most {
			column, y = column+1, 0
		}
		off := op.Offset(image.Pt(column*(w+gap), y)).Push(gtx.Ops)
		calls[i].Add(gtx.Ops)
		off.Pop()
		y += heights[i]
		deepest = max(deepest, y)
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, deepest)}
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

func (a *App) helpGroup(gtx layout.Context, g *helpGroup) layout.Dimensions {
	th := a.theme
	keyW := gtx.Sp(helpKeys)
	put := func(x, y, w int, what layout.Widget) int {
		defer op.Offset(image.Pt(x, y)).Push(gtx.Ops).Pop()
		return what(kit.Constrained(gtx, w)).Size.Y
	}
	y := put(0, 0, gtx.Constraints.Max.X, func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Small, font.SemiBold, th.Accent, g.title)
	}) + gtx.Sp(4)
	for _, l := range g.lines {
		h := put(0, y, keyW-gtx.Sp(8), func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Medium, th.Text, l[0])
		})
		h = max(h, put(keyW, y, gtx.Constraints.Max.X-keyW, func(gtx layout.Context) layout.Dimensions {
			d := th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, l[1])
			kit.Named(gtx, image.Rectangle{Max: d.Size}, l[1])
			return d
		}))
		y += h + gtx.Sp(3)
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, y)}
}
