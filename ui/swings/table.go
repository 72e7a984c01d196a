package swings

import (
	"image"
	"slices"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// order returns the swings in the order of the table.
func (r *Room) order() []int {
	out := make([]int, len(r.visit.results))
	for i := range out {
		out[i] = i
	}
	m := r.visit.measure(r.row)
	if m == nil || !r.sorted {
		return out
	}
	slices.SortStableFunc(out, func(a, b int) int {
		x, y := m.values[a], m.values[b]
		switch {
		case x == nil && y == nil:
			return 0
		case x == nil:
			return 1 // those without a number come last
		case y == nil:
			return -1
		case x.Value == y.Value:
			return 0
		case (x.Value < y.Value) != r.falling:
			return -1
		}
		return 1
	})
	return out
}

// layoutTable draws the swings as rows and measures as columns, as many as there is room
// for, the one that is looked at among them.
func (r *Room) layoutTable(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	size := gtx.Constraints.Max
	for len(r.rowClicks) < len(r.visit.rows) {
		r.rowClicks = append(r.rowClicks, draw.Button{})
	}
	bar := gtx.Sp(draw.Control) + gtx.Dp(10)
	kit.At(gtx, image.Rect(0, 0, size.X, bar), func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, 12, r.layoutPositions, func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Small, font.Normal, th.Dim, "Left and Right: measure. S sorts by it. Page keys: key position.")
		})
	})
	name, width := gtx.Sp(120), gtx.Sp(136)
	fits := max((size.X-name)/width, 1)
	width = max((size.X-name)/fits, width) // all of the room
	list := r.visit.rowsAt(r.at)
	at := max(slices.Index(list, r.row), 0)
	r.first = min(max(min(r.first, at), at-fits+1), max(len(list)-fits, 0))
	list = list[r.first:min(r.first+fits, len(list))]
	columns := make([]*measure, len(list))
	for c, i := range list {
		columns[c] = &r.visit.rows[i]
	}
	head, line := gtx.Sp(58), gtx.Sp(30)
	well := image.Rect(0, bar, size.X, size.Y)
	draw.RoundRect(gtx.Ops, well, gtx.Dp(draw.Radius), th.Well)
	defer clip.Rect(well).Push(gtx.Ops).Pop()
	for c, i := range list {
		r.layoutHeading(gtx, i, image.Rect(name+c*width, bar, name+(c+1)*width, bar+head))
	}
	y := bar + head
	draw.Fill(gtx.Ops, image.Rect(0, y, size.X, y+1), th.Line)
	for _, i := range r.order() {
		r.layoutLine(gtx, image.Rect(0, y, size.X, y+line), r.name(i), i == r.cursor, name, width, columns, func(m *measure) (text string) {
			if v := m.values[i]; v != nil {
				return words.Exact(m.unit, r.host.Settings().Imperial).Of(m.name, m.position).Written(&v.Measure)
			}
			return "—"
		})
		y += line
	}
	draw.Fill(gtx.Ops, image.Rect(0, y, size.X, y+1), th.Line)
	for k := range r.visit.kinds {
		if r.visit.kinds[k].series == nil {
			continue
		}
		what := "Mean"
		if t := r.visit.kinds[k].tried; t != "" {
			what = t
		} else if len(r.visit.kinds) > 1 {
			what = "Usual, mean"
		}
		r.layoutLine(gtx, image.Rect(0, y, size.X, y+line), what, false, name, width, columns, func(m *measure) string {
			if x := m.means[k]; x != nil {
				return words.Exact(m.unit, r.host.Settings().Imperial).Of(m.name, m.position).With(x.Value, (x.High95-x.Low95)/2)
			}
			return ""
		})
		y += line
		r.layoutLine(gtx, image.Rect(0, y, size.X, y+line), "  swing to swing", false, name, width, columns, func(m *measure) string {
			if m.means[k] == nil {
				return ""
			}
			return r.spreadWords(m, k)
		})
		y += line
	}
	return layout.Dimensions{Size: size}
}

// layoutHeading draws the name of a measure over its column; a click sorts by it.
func (r *Room) layoutHeading(gtx layout.Context, row int, at image.Rectangle) {
	th, m := r.host.Theme(), &r.visit.rows[row]
	defer op.Offset(at.Min).Push(gtx.Ops).Pop()
	size := at.Size()
	gtx.Constraints = layout.Exact(size)
	name := words.Sentence(m.name) + ", " + string(m.position)
	r.rowClicks[row].Clickable.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		label(gtx, image.Rectangle{Max: size}, "Sort by "+name)
		return layout.Dimensions{Size: size}
	})
	ink := th.Dim
	if row == r.row {
		ink = th.Accent
		draw.Fill(gtx.Ops, image.Rect(gtx.Dp(4), size.Y-gtx.Dp(3), size.X-gtx.Dp(4), size.Y), th.Accent)
		if r.sorted {
			name += " ▲"
			if r.falling {
				name = name[:len(name)-len("▲")] + "▼"
			}
		}
	}
	g := kit.Constrained(gtx, size.X-gtx.Dp(10))
	g.Constraints.Min = image.Point{}
	defer op.Offset(image.Pt(gtx.Dp(5), gtx.Dp(4))).Push(gtx.Ops).Pop()
	defer clip.Rect(image.Rect(0, 0, size.X, size.Y-gtx.Dp(6))).Push(gtx.Ops).Pop()
	th.Paragraph(g, draw.Small, font.Medium, ink, name)
}

// layoutLine draws one line of the table.
func (r *Room) layoutLine(gtx layout.Context, at image.Rectangle, what string, on bool, name, width int, columns []*measure, text func(*measure) string) {
	th := r.host.Theme()
	if on {
		draw.Fill(gtx.Ops, at, th.AccentLow)
	}
	mid := float32(at.Min.Y+at.Max.Y) / 2
	said := what
	g := kit.Constrained(gtx, name-gtx.Dp(14))
	off := op.Offset(image.Pt(gtx.Dp(10), int(mid)-gtx.Sp(8))).Push(gtx.Ops)
	th.Label(g, draw.Small, font.Medium, th.Text, what)
	off.Pop()
	for c := range columns {
		s := text(columns[c])
		said += ", " + columns[c].name + " " + s
		g := kit.Constrained(gtx, width-gtx.Dp(8))
		off := op.Offset(image.Pt(name+c*width+gtx.Dp(5), int(mid)-gtx.Sp(8))).Push(gtx.Ops)
		th.Label(g, draw.Small, font.Normal, th.Text, s)
		off.Pop()
	}
	label(gtx, at, said)
}

// layoutPositions draws the choice of a key position.
func (r *Room) layoutPositions(gtx layout.Context) layout.Dimensions {
	names := make([]string, len(geometry.KeyPositions))
	on := -1
	for i, p := range geometry.KeyPositions {
		names[i] = string(p)
		if p == r.at {
			on = i
		}
	}
	return r.host.Theme().Segmented(gtx, &r.positions, "Key position", on, names...)
}

// legend names a swing beside the line it is drawn with, and returns where that ends.
func (r *Room) legend(gtx layout.Context, at f32.Point, i int, dashed bool) int {
	th := r.host.Theme()
	end := at.X + float32(gtx.Sp(34))
	ink := th.Lead
	if dashed {
		ink = th.Trail
		draw.DashedLine(gtx.Ops, at, f32.Pt(end, at.Y), float32(gtx.Dp(2)), float32(gtx.Dp(6)), float32(gtx.Dp(4)), ink)
	} else {
		draw.Line(gtx.Ops, at, f32.Pt(end, at.Y), float32(gtx.Dp(3)), ink)
	}
	text := r.name(i)
	if t := r.visit.results[i].Swing().Tried; t != "" {
		text += ", " + t
	}
	return th.TextAt(gtx, f32.Pt(end+float32(gtx.Dp(8)), at.Y), 0, 0.5, draw.Body, font.Medium, th.Text, text).Max.X
}
