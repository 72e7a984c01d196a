package preferences

import (
	"fmt"
	"slices"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/video"
)

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), r.host.Settings()
	return r.card.Layout(gtx, th, "How you like it", 520, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		index := func(b bool) int {
			if b {
				return 1
			}
			return 0
		}
		sizes := make([]string, len(textChoices))
		for i, t := range textChoices {
			sizes[i] = fmt.Sprintf("%.0f %%", 100*t)
		}
		decided := make([]string, len(decidedChoices))
		for i, p := range decidedChoices {
			decided[i] = words.Percent(p)
		}
		caches := []string{fmt.Sprintf("automatic: %s", gigabytes(video.DefaultCacheBytes()>>20))}
		for _, mb := range cacheChoicesMB[1:] {
			caches = append(caches, gigabytes(mb))
		}
		// Two beside each other, so that the whole card is seen on a small screen.
		pair := func(a, b layout.Widget) layout.Widget {
			return func(gtx layout.Context) layout.Dimensions { return draw.Row(gtx, 28, a, b) }
		}
		col.Add(pair(kit.Choice(th, "Window", &r.ground, index(s.Light), "dark", "light"),
			kit.Choice(th, "Lengths", &r.units, index(s.Imperial), "centimetres", "inches")))
		col.Add(kit.Choice(th, "Text", &r.text, slices.Index(textChoices, s.TextScale), sizes...))
		col.Add(pair(kit.Choice(th, "A verdict counts from", &r.decided, decidedIndex(s), decided...),
			kit.Choice(th, "Paper of take-home sheets", &r.paper, index(s.LetterPaper), "A4", "Letter")))
		col.Add(r.layoutAcademy)
		col.Add(kit.Choice(th, "Memory for decoded pictures", &r.cache, slices.Index(cacheChoicesMB, s.CacheMB), caches...))
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim,
				"More memory keeps more of both clips at hand, so that going back and forth never waits.")
		})
		if r.shelf.Ready() {
			col.Add(r.layoutLibraryPlace)
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &r.ranges, draw.ButtonStyle{Label: "Target ranges …", Disabled: !r.shelf.Ready(), Keys: r.host.Shortcut("ranges"), Tip: r.doors.Help("ranges"), TipSide: draw.TipAbove})
			}, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &r.done, draw.ButtonStyle{Label: "Done", Kind: draw.Primary})
			})
		})
		return col.Done()
	})
}

// gigabytes writes a number of binary megabytes as a coach reads it.
func gigabytes(mb int64) string {
	if mb < 1024 {
		return fmt.Sprintf("%d MB", mb)
	}
	return fmt.Sprintf("%.3g GB", float64(mb)/1024)
}
