package review

import (
	"fmt"
	"image"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	annotated "turngauge/annotations/review"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

const (
	cardWidth unit.Sp = 1080
	listWidth unit.Sp = 280
)

// Layout draws the card: the reviews at the left, the one that is chosen at the right.
func (c *Card) Layout(gtx layout.Context) layout.Dimensions {
	th := c.room.host.Theme()
	return c.card.Layout(gtx, th, "Reviews of this lesson", cardWidth, func(gtx layout.Context) layout.Dimensions {
		w, gap := gtx.Constraints.Max.X, gtx.Dp(24)
		left := min(gtx.Sp(listWidth), w*3/10)
		if len(c.list()) == 0 { // there is nothing to choose
			left = w
		}
		part := func(x, w int, body layout.Widget) int {
			off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
			defer off.Pop()
			return body(kit.Constrained(gtx, w)).Size.Y
		}
		h := part(0, left, c.layoutList)
		if left < w {
			h = max(h, part(left+gap, w-left-gap, c.layoutChosen))
		}
		h += gtx.Dp(14)
		off := op.Offset(image.Pt(0, h)).Push(gtx.Ops)
		h += c.finish.Layout(gtx, th).Size.Y
		off.Pop()
		return layout.Dimensions{Size: image.Pt(w, h)}
	})
}

// mostMicrophones is how many microphones are offered beside the usual one.
const mostMicrophones = 2

func (c *Card) layoutList(gtx layout.Context) layout.Dimensions {
	th, h := c.room.host.Theme(), c.room.host
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(8)}
	all := c.list()
	if len(all) == 0 {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, "Nobody has talked this lesson through yet. Begin, show swings and rows, draw, and speak: what the window shows and your voice become a film for the student.")
		})
	}
	for i := range all {
		if i >= len(c.rows) {
			break
		}
		r := &all[i]
		note := clock(r.Seconds)
		if r.Seconds == 0 {
			note = "broken off"
		}
		title := titleOf(all, i)
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &c.rows[i], draw.ButtonStyle{Label: title + "  ·  " + note, Name: title + ", " + note, Kind: draw.Quiet, Toggle: true, On: r.ID == c.chosen, Fill: true, Start: true})
		})
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &c.begin, draw.ButtonStyle{Label: "Begin a review", Kind: draw.Primary, Tip: "Records what the window shows and what you say", Keys: h.Shortcut("narrate")})
	})
	if n := min(len(c.devices), mostMicrophones); n > 0 {
		names, on := []string{"the usual one"}, 0
		for i, d := range c.devices[:n] {
			names = append(names, d.Name)
			if d.ID == h.Settings().Microphone {
				on = i + 1
			}
		}
		col.Add(kit.Choice(th, "Microphone", &c.microphone, on, names...))
	}
	return col.Done()
}

// titleOf is what a review is called: its title, else its day, with a number where that has
// several.
func titleOf(all annotated.List, i int) string {
	if all[i].Title != "" {
		return all[i].Title
	}
	n := 1
	for _, r := range all[:i] {
		if r.Made == all[i].Made {
			n++
		}
	}
	if n > 1 {
		return fmt.Sprintf("%s (%d)", all[i].Made, n)
	}
	return all[i].Made
}

func (c *Card) layoutChosen(gtx layout.Context) layout.Dimensions {
	th, p := c.room.host.Theme(), c.player
	if p == nil {
		return layout.Dimensions{}
	}
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(8)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		w := gtx.Constraints.Max.X
		size := image.Pt(w, w*screen.Y/screen.X)
		draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Surround)
		if p.shown {
			draw.Image(gtx.Ops, p.picture, size)
		}
		return layout.Dimensions{Size: size}
	})
	length := max(p.seconds(), 1e-3)
	from := -1.0
	if c.from >= 0 {
		from = p.course.Film(c.from) / length
	}
	col.Add(func(gtx layout.Context) layout.Dimensions { return c.line.layout(gtx, th, p.at/length, from) })
	icon, name := draw.IconPlay, "Play the review"
	if p.playing {
		icon, name = draw.IconPause, "Stop playing"
	}
	ready := p.frames > 0
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		s.Compact = true
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return kit.Flow(gtx, draw.Gap,
			button(&c.play, draw.ButtonStyle{Icon: icon, Name: name, Keys: "Space", Tip: name, Disabled: !ready}),
			func(gtx layout.Context) layout.Dimensions {
				return th.Label(gtx, draw.Body, font.Medium, th.Text, clock(p.at)+" of "+clock(p.seconds())+"  ")
			},
			button(&c.cutFrom, draw.ButtonStyle{Label: "Cut from here", Disabled: !ready, Tip: "The passage that is left out begins here"}),
			button(&c.cutTo, draw.ButtonStyle{Label: "to here", Name: "Cut to here", Disabled: !ready || c.from < 0, Tip: "It ends here"}),
			button(&c.pauses, draw.ButtonStyle{Label: "Shorten pauses", Toggle: true, On: c.of.LongestPause > 0, Disabled: !ready || len(p.sound) == 0, Tip: "Leaves 0.6 s of each pause in which nothing is said and nothing moves"}),
			button(&c.uncuts, draw.ButtonStyle{Label: "Bring back cuts", Disabled: len(c.of.Cuts) == 0}),
			button(&c.undo, draw.ButtonStyle{Label: "Undo", Keys: c.room.host.Shortcut("undo"), Disabled: !c.room.host.Can("undo")}),
			button(&c.drop, draw.ButtonStyle{Label: "Take out", Name: "Take the review out", Kind: draw.Danger}),
		)
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		w := gtx.Constraints.Max.X
		return draw.Row(gtx, draw.Gap,
			func(gtx layout.Context) layout.Dimensions {
				return th.Field(kit.Constrained(gtx, w/4), &c.title, draw.FieldStyle{Name: "Title of the review", Hint: "Title"})
			},
			func(gtx layout.Context) layout.Dimensions {
				return th.Field(kit.Constrained(gtx, w/2), &c.caption, draw.FieldStyle{Name: "Caption for this moment", Hint: "Caption for this moment, and Enter"})
			},
			func(gtx layout.Context) layout.Dimensions {
				label := fmt.Sprintf("No captions (%d)", len(c.of.Captions))
				return th.Button(gtx, &c.uncaption, draw.ButtonStyle{Label: label, Name: "Take out the captions", Compact: true, Disabled: len(c.of.Captions) == 0})
			})
	})
	if c.busy {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.Progress(gtx, th, fmt.Sprintf("Making the film: %d %%", c.done), float32(c.done)/100, &c.stopWriting)
		})
	} else {
		on := 0
		if c.up {
			on = 1
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.Flow(gtx, draw.Gap,
				button(&c.write, draw.ButtonStyle{Label: "Make the film", Kind: draw.Primary, Disabled: !ready, Tip: "An MP4 beside the lesson, from the clips themselves"}),
				func(gtx layout.Context) layout.Dimensions {
					return th.Segmented(kit.Constrained(gtx, gtx.Sp(300)), &c.size, "How the film is watched", on, "wide", "upright, on a phone")
				})
		})
	}
	for _, n := range p.notes {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, n)
		})
	}
	return col.Done()
}
