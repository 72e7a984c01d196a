package review

import (
	"cmp"
	"slices"
	"strings"

	"gioui.org/layout"

	"turngauge/annotations"
	annotated "turngauge/annotations/review"
	"turngauge/ui/kit"
)

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
	if c.player.frames == 0 {
		return
	}
	at := c.player.course.List(c.player.at)
	i := captionAt(r.Captions, at)
	if c.caption.Entered(gtx) {
		c.writeCaption(r, i, at, strings.TrimSpace(c.caption.Text()))
		c.captionOf = ""
	} else if text := captionText(r.Captions, i); text != c.captionOf && !gtx.Focused(&c.caption.Editor) {
		c.captionOf = text
		c.caption.SetText(text)
	}
	if c.uncaption.Clicked(gtx) && i >= 0 {
		c.writeCaption(r, i, at, "")
	}
}

// captionAt is which caption stands at a time of the review's clock, or -1.
func captionAt(all []annotated.Caption, at float64) int {
	return slices.IndexFunc(all, func(o annotated.Caption) bool { return o.From <= at && at < o.To })
}

func captionText(all []annotated.Caption, i int) string {
	if i < 0 {
		return ""
	}
	return all[i].Text
}

// writeCaption writes caption i anew, or another where i is below 0; "" takes it out.
func (c *Card) writeCaption(r annotated.Review, i int, at float64, text string) {
	all := slices.Clone(r.Captions)
	switch {
	case i >= 0 && text == "":
		r.Captions = slices.Delete(all, i, i+1)
		c.room.edit(r, "take out a caption of the review")
	case i >= 0 && all[i].Text != text:
		all[i].Text = text
		r.Captions = all
		c.room.edit(r, "write a caption of the review")
	case i < 0 && text != "":
		to := at + max(captionLeast, captionLetter*float64(len([]rune(text))))
		r.Captions = captioned(all, annotated.Caption{From: at, To: to, Text: text})
		c.room.edit(r, "write a caption of the review")
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
