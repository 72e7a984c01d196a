package swings

import (
	"fmt"
	"image"
	"image/color"
	"slices"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// layoutCard draws the card's inside: heading, the swings at the left, a view of them.
func (r *Room) layoutCard(gtx layout.Context, in image.Rectangle) {
	th := r.host.Theme()
	head := gtx.Sp(draw.Control)
	top := float32(in.Min.Y) + float32(head)/2
	th.TextAt(gtx, f32.Pt(float32(in.Min.X), top), 0, 0.5, draw.Title, font.SemiBold, th.Text, "Swings of this visit")
	closeW := gtx.Sp(90)
	kit.At(gtx, image.Rect(in.Max.X-closeW, in.Min.Y, in.Max.X, in.Min.Y+head), func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &r.close, draw.ButtonStyle{Label: "Close", Fill: true})
	})
	x := in.Min.X + gtx.Sp(190)
	kit.At(gtx, image.Rect(x, in.Min.Y, in.Max.X-closeW-gtx.Dp(12), in.Min.Y+head), func(gtx layout.Context) layout.Dimensions {
		return th.Segmented(gtx, &r.views, "What is shown of the swings", int(r.view), viewNames...)
	})
	y := in.Min.Y + head + gtx.Dp(14)
	left := min(gtx.Sp(264), in.Dx()/3)
	kit.At(gtx, image.Rect(in.Min.X, y, in.Min.X+left, in.Max.Y), r.layoutList)
	body := image.Rect(in.Min.X+left+gtx.Dp(18), y, in.Max.X, in.Max.Y)
	if len(r.visit.rows) == 0 {
		kit.At(gtx, body, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, r.empty())
		})
		return
	}
	kit.At(gtx, body, func(gtx layout.Context) layout.Dimensions {
		switch r.view {
		case numbers:
			return r.layoutTable(gtx)
		case figures:
			return r.layoutFigures(gtx)
		case tried:
			return r.layoutTried(gtx)
		}
		return r.layoutSpreads(gtx)
	})
}

func (r *Room) empty() string {
	if r.visit.waiting > 0 {
		return "Measuring " + words.Count(r.visit.waiting, "swing", "swings") + " …"
	}
	return "Nothing is measured in these swings yet. Set their key positions and mark them; here they are then looked at together."
}

// layoutList draws the swings.
func (r *Room) layoutList(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	size := gtx.Constraints.Max
	area := clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops)
	event.Op(gtx.Ops, &r.keys)
	area.Pop()
	focused := gtx.Focused(&r.keys)
	note := size.Y
	under := func(w layout.Widget) {
		m := op.Record(gtx.Ops)
		g := gtx
		g.Constraints = layout.Constraints{Max: size}
		d := w(g)
		call := m.Stop()
		note -= d.Size.Y
		off := op.Offset(image.Pt(0, note)).Push(gtx.Ops)
		call.Add(gtx.Ops)
		off.Pop()
		note -= gtx.Dp(8)
	}
	if text, part, on := r.host.Session().Progress(); on {
		under(func(gtx layout.Context) layout.Dimensions { return kit.Doing(gtx, th, text, part) })
	}
	if r.visit.waiting > 0 {
		under(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, r.empty())
		})
	}
	if r.visit.shared != "" {
		under(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, r.visit.shared)
		})
	}
	if !r.teaching.offer.Empty() {
		under(r.layoutTeaching)
	}
	g := gtx
	g.Constraints = layout.Exact(image.Pt(size.X, max(note, 0)))
	r.list.Layout(g, th, len(r.visit.results), func(_ layout.Context, i int) kit.ListRow {
		return r.swingRow(i, focused)
	})
	return layout.Dimensions{Size: size}
}

// name names a swing: by its number, and its label where that tells more.
func (r *Room) name(i int) string {
	l, id := r.host.Session().Bench.Lesson(), r.visit.results[i].Swing().ID
	return fmt.Sprintf("Swing %d", l.SwingIndex(id)+1)
}

// about says what is to be known of a swing.
func (r *Room) about(i int) (text string, ink color.NRGBA) {
	th, s := r.host.Theme(), r.visit.results[i].Swing()
	ink = th.Dim
	what := s.Tried
	if what == "" {
		what = "usual swing"
	}
	switch by := r.visit.oddity(i); {
	case len(by) > 0:
		a := by[0]
		n := words.Told(a.Measure.Unit, r.host.Settings().Imperial).Of(a.Measure.Name, a.Measure.Position)
		return "odd: " + kit.Joined(a.Measure.Name, string(a.Measure.Position)) + " " + n.Value(a.Value) + ", the others " + n.Value(a.Others), th.Outside
	case r.visit.typical(i):
		return "most typical  ·  " + what, th.Accent
	}
	return what, ink
}

func (r *Room) swingRow(i int, focused bool) kit.ListRow {
	x := r.visit.results[i]
	under, ink := r.about(i)
	row := kit.ListRow{Label: r.name(i) + ", " + under, Title: r.name(i), Under: under, UnderInk: ink, On: i == r.cursor, Ringed: focused && i == r.cursor}
	if m := r.visit.measure(r.row); m != nil && (r.view == spreads || r.view == numbers) && m.values[i] != nil {
		n := words.Exact(m.unit, r.host.Settings().Imperial).Of(m.name, m.position)
		row.Note = n.Value(m.values[i].Value)
	}
	switch {
	case len(x.Measures) == 0:
		row.Note = "not measured"
	case r.view == figures && i == r.second && i != r.cursor:
		row.Note = "dashed"
	case r.view == figures && i == r.cursor:
		row.Note = "solid"
	case r.view == tried && r.ticked[x.Swing().ID]:
		row.Note = "ticked"
	}
	return row
}

// updateKeys takes up the keys of the list of swings.
func (r *Room) updateKeys(gtx layout.Context) {
	names := []key.Name{key.NameUpArrow, key.NameDownArrow, key.NameLeftArrow, key.NameRightArrow, key.NameHome, key.NameEnd, key.NameReturn, key.NameEnter,
		key.NamePageUp, key.NamePageDown, key.NameSpace, "1", "2", "3", "4", "L", "M", "S"}
	filters := []event.Filter{key.FocusFilter{Target: &r.keys}, key.Filter{Name: "Z", Required: key.ModCtrl}, key.Filter{Name: key.NameF2, Required: key.ModCtrl}}
	for _, n := range names {
		filters = append(filters, key.Filter{Focus: &r.keys, Name: n})
	}
	for {
		ev, ok := gtx.Event(filters...)
		if !ok {
			return
		}
		if e, isKey := ev.(key.Event); isKey && e.State == key.Press {
			r.pressed(e)
		}
	}
}

func (r *Room) pressed(e key.Event) {
	last := max(len(r.visit.results)-1, 0)
	switch e.Name {
	case "Z":
		r.host.Run("undo")
	case key.NameF2:
		r.host.Run("teach")
	case key.NameUpArrow:
		r.cursor--
	case key.NameDownArrow:
		r.cursor++
	case key.NameHome:
		r.cursor = 0
	case key.NameEnd:
		r.cursor = last
	case key.NameLeftArrow:
		r.step(-1)
	case key.NameRightArrow:
		r.step(1)
	case key.NamePageUp:
		r.turn(-1)
	case key.NamePageDown:
		r.turn(1)
	case key.NameReturn, key.NameEnter:
		r.show(r.cursor)
	case key.NameSpace:
		r.space()
	case "L":
		r.showEnd(false)
	case "M":
		r.showEnd(true)
	case "S":
		r.sort()
	default:
		r.view = view(e.Name[0] - '1')
	}
	r.cursor = min(max(r.cursor, 0), last)
	r.list.Reveal(r.cursor)
}

// space lays the swing over the other, or ticks it.
func (r *Room) space() {
	if r.cursor >= len(r.visit.results) {
		return
	}
	switch r.view {
	case figures:
		r.second = r.cursor
	case tried:
		id := r.visit.results[r.cursor].Swing().ID
		if r.ticked == nil {
			r.ticked = make(map[string]bool)
		}
		r.ticked[id] = !r.ticked[id]
	}
}

// step goes to the next measure of the key position; where figures are shown, to the
// next position.
func (r *Room) step(by int) {
	if r.view == figures {
		r.turn(by)
		return
	}
	list := r.visit.rowsAt(r.at)
	if len(list) > 0 {
		r.row = list[min(max(slices.Index(list, r.row)+by, 0), len(list)-1)]
	}
	r.reveal = true
}

// turn goes to the next key position.
func (r *Room) turn(by int) {
	i := slices.Index(geometry.KeyPositions, r.at) + by
	r.at = geometry.KeyPositions[min(max(i, 0), len(geometry.KeyPositions)-1)]
	r.toPosition()
}

// toPosition goes to the first measure at the key position.
func (r *Room) toPosition() {
	r.first, r.reveal = 0, true
	if m := r.visit.measure(r.row); m != nil && m.position == r.at {
		return
	}
	if list := r.visit.rowsAt(r.at); len(list) > 0 {
		r.row = list[0]
	}
}

func (r *Room) sort() {
	r.sorted, r.falling = true, r.sorted && !r.falling
}

// clickedRow takes a click on a row of the measures, or on the heading of a column.
func (r *Room) clickedRow(i int) {
	if r.view == numbers {
		if r.row == i || !r.sorted {
			r.row = i
			r.sort()
			return
		}
	}
	r.row = i
}

// label writes a text of which the semantic tree is told as well.
func label(gtx layout.Context, r image.Rectangle, text string) {
	defer clip.Rect(r).Push(gtx.Ops).Pop()
	semantic.LabelOp(text).Add(gtx.Ops)
}
