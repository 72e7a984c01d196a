package review

import (
	"fmt"
	"image"

	"gioui.org/f32"
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
	// The picture takes so much of a low window, of 100, that what mends is seen with it.
	pictureShare         = 54
	leastPicture unit.Sp = 170
)

// Layout draws the card: the reviews at the left, the one that is chosen at the right.
func (c *Card) Layout(gtx layout.Context) layout.Dimensions {
	th := c.room.host.Theme()
	c.tall = c.card.Room(gtx) * pictureShare / 100
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
		size := image.Pt(w, min(w*screen.Y/screen.X, max(c.tall, gtx.Sp(leastPicture))))
		draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Surround)
		if p.shown {
			wide := size.Y * screen.X / screen.Y
			defer op.Offset(image.Pt((w-wide)/2, 0)).Push(gtx.Ops).Pop()
			draw.Image(gtx.Ops, p.picture, image.Pt(wide, size.Y))
		} else if len(p.notes) == 0 {
			th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(size.Y)/2), 0.5, 0.5, draw.Body, font.Normal, th.Dim, "Opening the review …")
		}
		return layout.Dimensions{Size: size}
	})
	ready := p.frames > 0
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		s.Compact = true
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	words := func(w font.Weight, text string) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.Y = gtx.Sp(draw.Compact)
			return layout.W.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return th.Label(gtx, draw.Body, w, th.Text, text+"  ") })
		}
	}
	col.Add(func(gtx layout.Context) layout.Dimensions { return c.line.layout(gtx, th, c.shows()) })
	icon, name := draw.IconPlay, "Play the review"
	if p.playing {
		icon, name = draw.IconPause, "Stop playing"
	}
	before, behind := beside(c.marks, p.at)
	parts := []layout.Widget{
		button(&c.play, draw.ButtonStyle{Icon: icon, Name: name, Keys: "Space", Tip: name, Disabled: !ready}),
		words(font.Medium, clock(p.at)+" of "+clock(p.seconds())),
		button(&c.before, draw.ButtonStyle{Icon: draw.IconLeft, Name: "To what happens before", Tip: tipOf("Back to", before), Keys: "Page Up", Disabled: before == nil}),
		button(&c.behind, draw.ButtonStyle{Icon: draw.IconRight, Name: "To what happens next", Tip: tipOf("On to", behind), Keys: "Page Down", Disabled: behind == nil}),
		button(&c.undo, draw.ButtonStyle{Icon: draw.IconUndo, Name: "Undo", Tip: "Undo", Keys: c.room.host.Shortcut("undo"), Disabled: !c.room.host.Can("undo")}),
		button(&c.redo, draw.ButtonStyle{Icon: draw.IconRedo, Name: "Redo", Tip: "Redo", Keys: c.room.host.Shortcut("redo"), Disabled: !c.room.host.Can("redo")}),
		button(&c.pauses, draw.ButtonStyle{Label: "Shorten pauses", Toggle: true, On: c.of.LongestPause > 0, Disabled: !ready || len(p.sound) == 0, Tip: "Leaves 0.6 s of each pause in which nothing is said and nothing moves"}),
		button(&c.drop, draw.ButtonStyle{Label: "Take out", Name: "Take the review out", Tip: "Takes the review out of the lesson", Kind: draw.Danger}),
	}
	col.Add(func(gtx layout.Context) layout.Dimensions { return kit.Flow(gtx, draw.Gap, parts...) })
	col.Add(func(gtx layout.Context) layout.Dimensions { return c.layoutPassage(gtx, words, button) })
	if len(c.drawings) > 0 && ready {
		col.Add(func(gtx layout.Context) layout.Dimensions { return c.layoutDrawing(gtx, words, button) })
	}
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
				none := !ready || captionAt(c.of.Captions, p.course.List(p.at)) < 0
				return th.Button(gtx, &c.uncaption, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Take out the caption", Tip: "Takes out the caption of this moment", Compact: true, Disabled: none})
			})
	})
	if c.busy {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.Progress(gtx, th, fmt.Sprintf("Making the film: %d %%", c.done), float32(c.done)/100, &c.stopWriting)
		})
	} else {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.Flow(gtx, draw.Gap, append([]layout.Widget{
				button(&c.write, draw.ButtonStyle{Label: "Make the film", Kind: draw.Primary, Disabled: !ready, Tip: "An MP4 beside the lesson, from the clips themselves", Keys: "M"}),
			}, c.widgets(th, &c.wishes, len(c.of.Captions) > 0, len(p.sound) > 0)...)...)
		})
	}
	for _, n := range p.notes {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, n)
		})
	}
	return col.Done()
}
