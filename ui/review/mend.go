package review

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	annotated "turngauge/annotations/review"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/review/film"
)

// mend plays, cuts and writes the review that is chosen.
func (c *Card) mend(gtx layout.Context) {
	p, h := c.player, c.room.host
	toggle := c.play.Clicked(gtx)
	for {
		ev, ok := gtx.Event(key.Filter{Name: key.NameSpace})
		if !ok {
			break
		}
		writing := gtx.Focused(&c.title.Editor) || gtx.Focused(&c.caption.Editor)
		if e, ok := ev.(key.Event); ok && e.State == key.Press && !writing {
			toggle = true
		}
	}
	if toggle && p.frames > 0 {
		if p.playing {
			p.stop()
		} else {
			p.play(p.at, func(do func()) { h.Go("Playing the voice", do, nil) }, func(err error) {
				h.Post(func() { h.Tell(bench.Note(bench.Title(err.Error()) + ".")) })
			})
		}
	}
	if part, ok := c.line.update(gtx); ok && p.frames > 0 {
		p.show(part * p.seconds())
	}
	if p.advance() {
		gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(time.Second / film.Rate)})
	}
	r := c.of
	c.writeTexts(gtx, r)
	if c.cutFrom.Clicked(gtx) && p.frames > 0 {
		c.from = p.course.List(p.at)
	}
	if c.cutTo.Clicked(gtx) && c.from >= 0 {
		if to := p.course.List(p.at); to-c.from > 0.05 {
			r.Cuts = annotated.Merged(append(slices.Clone(r.Cuts), annotated.Span{From: c.from, To: to}))
			c.room.edit(r, "cut a passage of the review")
		} else {
			h.Tell("Go on to where the passage ends, behind where it begins.")
		}
		c.from = -1
	}
	if c.pauses.Clicked(gtx) {
		r.LongestPause = longestPause - r.LongestPause
		if r.LongestPause < 0.01 {
			r.LongestPause = 0
		}
		c.room.edit(r, "shorten the pauses of the review")
	}
	if c.uncuts.Clicked(gtx) && len(r.Cuts) > 0 {
		r.Cuts = nil
		c.room.edit(r, "bring back what was cut of the review")
	}
	if c.drop.Clicked(gtx) {
		l := h.Session().Bench.Lesson()
		kit.Edit(h, annotations.SetReviews{Reviews: l.Reviews.Without(r.ID), What: "take a review out"})
		h.Tell("The review is taken out of the lesson. " + bench.Note(h.Shortcut("undo")) + " brings it back.")
		if rest := c.list(); len(rest) > 0 {
			c.chosen = rest[len(rest)-1].ID
		}
	}
	if c.write.Clicked(gtx) {
		c.make(r)
	}
}

// A caption stands as long as it takes to be read, seconds: the least, and for each letter
// (common practice for subtitles, no source: 17 letters a second).
const (
	captionLeast  = 1.5
	captionLetter = 1 / 17.0
)

// writeTexts takes up the title of the review, and a caption for the moment that is shown.
func (c *Card) writeTexts(gtx layout.Context, r annotated.Review) {
	if c.titleOf != r.ID {
		c.titleOf = r.ID
		c.title.SingleLine, c.caption.SingleLine, c.caption.Submit = true, true, true
		c.title.SetText(r.Title)
	}
	if c.title.Edited(gtx) {
		r.Title = strings.TrimSpace(c.title.Text())
		c.of.Title = r.Title
		l := c.room.host.Session().Bench.Lesson()
		kit.Edit(c.room.host, annotations.SetReviews{Reviews: l.Reviews.With(r), What: "name the review", Gesture: uint64(c.opened)})
	}
	if c.caption.Entered(gtx) && c.player.frames > 0 {
		if text := strings.TrimSpace(c.caption.Text()); text != "" {
			from := c.player.course.List(c.player.at)
			to := from + max(captionLeast, captionLetter*float64(len([]rune(text))))
			r.Captions = captioned(r.Captions, annotated.Caption{From: from, To: to, Text: text})
			c.caption.SetText("")
			c.room.edit(r, "write a caption of the review")
		}
	}
	if c.uncaption.Clicked(gtx) && len(r.Captions) > 0 {
		r.Captions = nil
		c.room.edit(r, "take out the captions of the review")
	}
}

// captioned puts a caption among others, which make room for it.
func captioned(all []annotated.Caption, add annotated.Caption) (out []annotated.Caption) {
	for _, o := range all {
		switch {
		case o.From < add.From:
			o.To = min(o.To, add.From)
		default:
			o.From = max(o.From, add.To)
		}
		if o.To-o.From > 0.1 { // shorter than can be seen
			out = append(out, o)
		}
	}
	out = append(out, add)
	slices.SortFunc(out, func(a, b annotated.Caption) int { return cmp.Compare(a.From, b.From) })
	return out
}
