package progress

import (
	"image"
	"slices"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// KeysHelp are the keys of the list of measures, and what they do.
var KeysHelp = [][2]string{
	{"Up, Down", "The measure before, or the next"},
	{"Space", "Show the measure, or take its plot off"},
	{"Enter", "Show this measure alone"},
}

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	c := &r.cardState
	size := gtx.Constraints.Max
	w := min(size.X-gtx.Dp(48), gtx.Sp(1400))
	card := image.Rect((size.X-w)/2, gtx.Dp(24), (size.X-w)/2+w, size.Y-gtx.Dp(24))
	return r.card.Over(gtx, r.host.Theme(), "Progress of "+c.name, card, func(gtx layout.Context) layout.Dimensions {
		r.layoutCard(gtx, card)
		return layout.Dimensions{}
	})
}

func (r *Room) layoutCard(gtx layout.Context, card image.Rectangle) {
	th, c := r.host.Theme(), &r.cardState
	in := card.Inset(gtx.Dp(18))
	top := image.Rect(in.Min.X, in.Min.Y, in.Max.X, in.Min.Y+gtx.Sp(draw.Control))
	kit.At(gtx, top, r.layoutTop)
	m := op.Record(gtx.Ops)
	noted := th.Paragraph(kit.Constrained(gtx, in.Dx()), draw.Small, font.Normal, th.Dim,
		"Real: the 95 % interval of the change leaves out zero, your marking included. A point opens its lesson. "+kit.Caution)
	foot := m.Stop()
	note := image.Rect(in.Min.X, in.Max.Y-noted.Size.Y, in.Max.X, in.Max.Y)
	off := op.Offset(note.Min).Push(gtx.Ops)
	foot.Add(gtx.Ops)
	off.Pop()
	body := image.Rect(in.Min.X, top.Max.Y+gtx.Dp(12), in.Max.X, note.Min.Y-gtx.Dp(10))
	if len(c.measures) == 0 {
		text := "Reading …"
		if c.known {
			text = "Nothing is measured yet: mark address and the top of a swing in two lessons, and their progress stands here. Lessons just taken in are being measured; this may take a moment."
		}
		off = op.Offset(body.Min).Push(gtx.Ops)
		th.Paragraph(kit.Constrained(gtx, body.Dx()), draw.Body, font.Normal, th.Dim, text)
		off.Pop()
		return
	}
	left := min(gtx.Sp(270), body.Dx()*3/10)
	kit.At(gtx, image.Rect(body.Min.X, body.Min.Y, body.Min.X+left, body.Max.Y), r.layoutMeasureList)
	plots := image.Rect(body.Min.X+left+gtx.Dp(14), body.Min.Y, body.Max.X, body.Max.Y)
	for len(c.plots) < mostPlots {
		c.plots = append(c.plots, plot{})
	}
	n := min(len(c.shown), mostPlots)
	columns, rows := 1, n
	if n > 2 || n == 2 && plots.Dx() > 2*plots.Dy() {
		columns, rows = 2, (n+1)/2
	}
	gap := gtx.Dp(12)
	for i := range n {
		x, y := i%columns, i/columns
		pw, ph := (plots.Dx()-(columns-1)*gap)/columns, (plots.Dy()-(rows-1)*gap)/rows
		at := image.Rect(0, 0, pw, ph).Add(image.Pt(plots.Min.X+x*(pw+gap), plots.Min.Y+y*(ph+gap)))
		kit.At(gtx, at, func(gtx layout.Context) layout.Dimensions { return r.layoutPlot(gtx, i) })
	}
}

func (r *Room) layoutTop(gtx layout.Context) layout.Dimensions {
	th, c := r.host.Theme(), &r.cardState
	size := gtx.Constraints.Max
	th.TextAt(gtx, f32.Pt(0, float32(size.Y)/2), 0, 0.5, draw.Title, font.SemiBold, th.Text, "Progress: "+c.name)
	g := kit.Constrained(gtx, size.X)
	g.Constraints.Min = image.Point{}
	kit.EndRow(g,
		func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(gtx, &c.clubs, "Clubs", slices.Index(clubGroups, c.club), "all clubs", "driver", "mid-irons", "short irons")
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &c.close, draw.ButtonStyle{Icon: draw.IconClose, Name: "Close the progress", Kind: draw.Quiet, Tip: "Back", Keys: "Esc", TipSide: draw.TipBelowEnd})
		})
	return layout.Dimensions{Size: size}
}

func (r *Room) layoutMeasureList(gtx layout.Context) layout.Dimensions {
	th, c := r.host.Theme(), &r.cardState
	defer clip.Rect(image.Rectangle{Max: gtx.Constraints.Max}).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, &c.keys)
	focused := gtx.Focused(&c.keys)
	return c.list.Layout(gtx, th, len(c.measures), func(gtx layout.Context, i int) kit.ListRow {
		m := &c.measures[i]
		row := kit.ListRow{
			Label: "Measure " + kit.Joined(m.Name, string(m.Position)), On: slices.Contains(c.shown, measureAt{m.Name, m.Position}), Ringed: focused && i == c.cursor,
			Title: words.Sentence(m.Name), Under: kit.Joined(string(m.Position), words.Count(m.Lessons, "lesson", "lessons")), NoteInk: th.Accent, UnderInk: th.Dim,
		}
		if row.On {
			row.Note = "shown"
		}
		if m.Target {
			row.NoteUnder = "has a target"
		}
		return row
	})
}
