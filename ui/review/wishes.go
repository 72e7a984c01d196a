package review

import (
	"gioui.org/layout"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/review/film"
	"turngauge/ui/takehome"
)

// wishes are how the film is to be; they are kept while the window is open.
type wishes struct {
	upright, denoise bool
	unburnt          bool // captions are not drawn on the pictures
	most             int  // of mostMB
}

// mostMB are how large the film's file may be, megabytes; 0 for any size. Mail takes some
// 20 MB, some messages 8 (common practice, no source).
var mostMB = [...]float64{0, 20, 8}

// wished are the buttons of the wishes.
type wished struct {
	size, most     draw.Segmented
	quieter, burnt draw.Button
}

// update takes up what was chosen.
func (w *wished) update(gtx layout.Context, on *wishes) {
	if i, ok := w.size.Update(gtx); ok {
		on.upright = i == 1
	}
	if i, ok := w.most.Update(gtx); ok && i < len(mostMB) {
		on.most = i
	}
	if w.quieter.Clicked(gtx) {
		on.denoise = !on.denoise
	}
	if w.burnt.Clicked(gtx) {
		on.unburnt = !on.unburnt
	}
}

// ask brings the wishes into a request.
func (on *wishes) ask(q *film.Request) {
	q.Burn, q.Denoise, q.MostMB = !on.unburnt && len(q.Review.Captions) > 0, on.denoise, mostMB[on.most]
	if on.upright {
		q.Size = takehome.Phone
	}
}

// widgets are what the wishes are chosen by, beside the button that makes the film.
func (w *wished) widgets(th *draw.Theme, on *wishes, captions, voice bool) (out []layout.Widget) {
	chosen := 0
	if on.upright {
		chosen = 1
	}
	out = append(out,
		func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(kit.Constrained(gtx, gtx.Sp(230)), &w.size, "How the film is watched", chosen, "wide", "upright, on a phone")
		},
		func(gtx layout.Context) layout.Dimensions {
			return th.Segmented(kit.Constrained(gtx, gtx.Sp(230)), &w.most, "How large the film's file may be", on.most, "any size", "20 MB", "8 MB")
		})
	tick := func(b *draw.Button, label, tip string, is, can bool) {
		out = append(out, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, b, draw.ButtonStyle{Label: label, Compact: true, Toggle: true, On: is && can, Disabled: !can, Tip: tip})
		})
	}
	tick(&w.quieter, "Less noise", "Makes the steady noise behind your voice 12 dB quieter: wind, a fan, a road", on.denoise, voice)
	tick(&w.burnt, "Captions on the pictures", "Else they are shown by players that can", !on.unburnt, captions)
	return out
}
