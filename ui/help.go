package ui

import (
	"image"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/ui/draw"
)

func (a *App) toggleHelp() { a.help = !a.help }

// layoutHelp lists every key, from the same table that the keys come from.
func (a *App) layoutHelp(gtx layout.Context) {
	th := a.theme
	a.layoutModal(gtx, "Keys", 980, func(gtx layout.Context) layout.Dimensions {
		const columns = 2
		gap := gtx.Dp(28)
		w := (gtx.Constraints.Max.X - (columns-1)*gap) / columns
		rowH := gtx.Sp(22)
		keyW := gtx.Sp(104)
		// Groups are set one after another; the second column begins with the
		// first group that starts past half of the rows.
		total := 0
		for _, g := range commandGroups {
			total += a.groupRows(g) + 2
		}
		x, y, deepest, used := 0, 0, 0, 0
		for _, group := range commandGroups {
			if x == 0 && used > 0 && used+a.groupRows(group)/2 > total/2 {
				x, y = w+gap, 0
			}
			used += a.groupRows(group) + 2
			th.TextAt(gtx, f32.Pt(float32(x), float32(y)), 0, 0, draw.Small, font.SemiBold, th.Accent, group)
			y += rowH
			for _, c := range a.table {
				if c.group != group || c.hidden {
					continue
				}
				keys := make([]string, len(c.keys))
				for i, k := range c.keys {
					keys[i] = k.String()
				}
				label := strings.Join(keys[:1], "")
				off := op.Offset(image.Pt(x, y)).Push(gtx.Ops)
				g := gtx
				g.Constraints = layout.Constraints{Max: image.Pt(keyW, rowH)}
				th.Label(g, draw.Small, font.Medium, th.Text, label)
				off.Pop()
				off = op.Offset(image.Pt(x+keyW+gtx.Dp(8), y)).Push(gtx.Ops)
				g.Constraints = layout.Constraints{Max: image.Pt(w-keyW-gtx.Dp(8), rowH)}
				th.Label(g, draw.Small, font.Normal, th.Dim, c.help)
				off.Pop()
				y += rowH
			}
			y += rowH / 2
			deepest = max(deepest, y)
		}
		y = deepest
		for _, line := range []string{
			"On a picture: click places or takes hold, drag moves, the right button drags the picture, the wheel zooms about the pointer.",
			Caution,
		} {
			off := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
			g := gtx
			g.Constraints = layout.Constraints{Max: gtx.Constraints.Max}
			d := th.Paragraph(g, draw.Small, font.Normal, th.Dim, line)
			off.Pop()
			y += d.Size.Y + gtx.Dp(6)
		}
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, y)}
	})
}

func (a *App) groupRows(group string) int {
	n := 0
	for _, c := range a.table {
		if c.group == group && !c.hidden {
			n++
		}
	}
	return n
}
