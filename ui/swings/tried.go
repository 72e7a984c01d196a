package swings

import (
	"image"
	"strings"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations/series"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// mostTold is how many changes are told of each thing tried.
const mostTold = 6

func (r *Room) updateTried(gtx layout.Context) {
	entered := r.what.Entered(gtx)
	if r.say.Clicked(gtx) || entered {
		if text := strings.TrimSpace(r.what.Text()); text != "" {
			r.sayTried(text)
			gtx.Execute(key.FocusCmd{Tag: &r.keys})
		}
	}
	if r.usual.Clicked(gtx) {
		r.sayTried("")
	}
	if r.tickOne.Clicked(gtx) {
		r.space()
	}
}

// layoutTried draws the field for what was tried, and what came of it.
func (r *Room) layoutTried(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(10)}
	width := min(gtx.Constraints.Max.X, gtx.Sp(640))
	ids := r.swingsOf()
	who := "these " + words.Count(len(ids), "swing", "swings")
	if len(ids) == 1 {
		who = r.name(max(r.visit.index(ids[0]), 0))
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(kit.Constrained(gtx, width), draw.Body, font.Normal, th.Dim,
			"Say what was tried in a swing, and it is held against the usual ones like another visit. Space in the list ticks several swings.")
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Field(kit.Constrained(gtx, width), &r.what, draw.FieldStyle{Label: "What was tried in " + who, Hint: "lead foot turned in"})
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
			return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
		}
		return draw.Row(gtx, 8,
			button(&r.say, draw.ButtonStyle{Label: "Say so", Kind: draw.Primary, Disabled: strings.TrimSpace(r.what.Text()) == ""}),
			button(&r.usual, draw.ButtonStyle{Label: "A usual swing"}),
			button(&r.tickOne, draw.ButtonStyle{Label: "Tick", Name: "Tick the swing", Keys: "Space"}))
	})
	settings := r.host.Settings()
	if len(r.visit.tries) == 0 {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(kit.Constrained(gtx, width), draw.Body, font.Normal, th.Dim,
				"Nothing can be compared yet: it takes a measured swing in which something was tried, and a usual one with the same kind of club. Three of each tell far more than one.")
		})
	}
	for i := range r.visit.tries {
		c := &r.visit.tries[i]
		what := c.Later[0].Swing().Tried
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(kit.Constrained(gtx, width), draw.Body, font.Bold, th.Text, words.Sentence(what)+": "+words.Swings(len(c.Earlier))+" without, "+words.Swings(len(c.Later))+" with")
		})
		list := c.Sorted()
		real := 0
		for k := range list[:min(len(list), mostTold)] {
			x := &list[k]
			ink := th.Dim
			if x.Real {
				ink, real = th.Text, real+1
			}
			said := x.Says(what, settings.Imperial, settings.Decided)
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(kit.Constrained(gtx, gtx.Constraints.Max.X), draw.Body, font.Normal, ink, said+".")
			})
		}
		note := series.ByChance(len(list))
		if real == 0 {
			note = "No change is real yet: its interval would have to leave out zero."
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(kit.Constrained(gtx, width), draw.Small, font.Normal, th.Dim, note)
		})
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, col.Height())}
}
