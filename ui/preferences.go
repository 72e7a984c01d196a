package ui

import (
	"fmt"
	"slices"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/video"
)

// preferences is the card on which the coach says how the program is to be.
type preferences struct {
	open                              bool
	ground, units, text, paper, cache draw.Segmented
	library                           draw.Field // folder of the library
	libraryIs                         string     // that it has been put to
	move                              draw.Button
	moving                            bool
	ranges                            draw.Button
	done                              draw.Button
}

// cacheChoicesMB are the sizes offered for decoded pictures; 0 is the
// program's own choice.
var cacheChoicesMB = []int64{0, 512, 1024, 2048, 4096}

// textChoices are the text sizes offered; keys go in between.
var textChoices = []float32{0.8, 1, 1.25, 1.5, 2}

func (a *App) openPreferences() { a.preferences.open = true }

func (a *App) updatePreferences(gtx layout.Context) {
	p, s := &a.preferences, &a.settings
	before := *s
	if i, ok := p.ground.Update(gtx); ok {
		s.Light = i == 1
		a.theme.SetDark(!s.Light)
	}
	if i, ok := p.units.Update(gtx); ok {
		s.Imperial = i == 1
	}
	if i, ok := p.text.Update(gtx); ok {
		s.TextScale = textChoices[i]
		a.fitText()
	}
	if i, ok := p.paper.Update(gtx); ok {
		s.LetterPaper = i == 1
	}
	if i, ok := p.cache.Update(gtx); ok {
		s.CacheMB = cacheChoicesMB[i]
		a.budget.SetLimit(cacheBytes(*s))
	}
	if p.done.Clicked(gtx) {
		p.open = false
	}
	a.updateLibraryPlace(gtx)
	if *s != before {
		a.KeepSettings()
		if a.desk != nil && s.Imperial != before.Imperial {
			a.desk.asked = false // the sheet is to be written anew
		}
	}
}

// cacheBytes is how much memory decoded pictures may take.
func cacheBytes(s profile.Settings) int64 {
	if s.CacheMB <= 0 {
		return video.DefaultCacheBytes()
	}
	return s.CacheMB << 20
}

func (a *App) layoutPreferences(gtx layout.Context) {
	th, p, s := a.theme, &a.preferences, &a.settings
	a.card.Layout(gtx, a.theme, "How you like it", 520, func(gtx layout.Context) layout.Dimensions {
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
		caches := []string{fmt.Sprintf("automatic: %s", gigabytes(video.DefaultCacheBytes()>>20))}
		for _, mb := range cacheChoicesMB[1:] {
			caches = append(caches, gigabytes(mb))
		}
		col.Add(kit.Choice(th, "Window", &p.ground, index(s.Light), "dark", "light"))
		col.Add(kit.Choice(th, "Lengths", &p.units, index(s.Imperial), "centimetres", "inches"))
		col.Add(kit.Choice(th, "Text", &p.text, slices.Index(textChoices, s.TextScale), sizes...))
		col.Add(kit.Choice(th, "Paper of take-home sheets", &p.paper, index(s.LetterPaper), "A4", "Letter"))
		col.Add(kit.Choice(th, "Memory for decoded pictures", &p.cache, slices.Index(cacheChoicesMB, s.CacheMB), caches...))
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim,
				"More memory keeps more of both clips at hand, so that going back and forth never waits.")
		})
		if a.shelf.Ready() {
			col.Add(a.layoutLibraryPlace)
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &p.ranges, draw.ButtonStyle{Label: "Target ranges …", Disabled: !a.shelf.Ready(), Keys: a.Shortcut("ranges"), Tip: a.commands.byID["ranges"].Help, TipSide: draw.TipAbove})
			}, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &p.done, draw.ButtonStyle{Label: "Done", Kind: draw.Primary})
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
