package intake

import (
	"math"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Places is the card that shows from above where the phones stood, and says what it
// costs where one stood far off its line.
type Places struct {
	kit.Openable
	host kit.Host
	card kit.Modal
	done kit.Finish
}

// NewPlaces returns the card of a window, closed.
func NewPlaces(h kit.Host) *Places { return &Places{host: h} }

// Commands open the card.
func (r *Places) Commands() []kit.Command {
	return []kit.Command{{
		ID: "places", Group: "Lesson", After: "speed", Help: "See from above where the phones stood",
		Keys: kit.WithMod(key.ModShift, "P"), Do: r.Open,
	}}
}

// Open opens the card on the swing on the bench.
func (r *Places) Open() {
	s := r.host.Session()
	if s == nil {
		return
	}
	if s.Result.Evaluation == nil || s.Result.Evaluation.Solution == nil {
		r.host.Tell("Mark address first: where the phones stood comes from the marks.")
		return
	}
	r.Shown = true
}

// LessonClosed closes the card.
func (r *Places) LessonClosed() { r.Shown = false }

// Update closes the card.
func (r *Places) Update(gtx layout.Context) {
	if r.done.Update(gtx, r.host) {
		r.Shown = false
	}
}

// Layout draws the card.
func (r *Places) Layout(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), r.host.Session()
	return r.card.Layout(gtx, th, "Where the phones stood", 520, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(12)}
		e := s.Result.Evaluation
		if e == nil || e.Solution == nil {
			return col.Done()
		}
		var phones []phone
		for _, c := range e.Fit.Cameras {
			clip := &e.Problem.Clips[c.Clip]
			phones = append(phones, phone{view: clip.View, camera: c.Camera})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return layoutAbove(gtx, th, phones, e.Problem.Golfer.Handed == geometry.LeftHanded)
		})
		if m := e.Mistake(); m == nil || m.What != geometry.CameraOffLine {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, "As far as the marks tell, no phone stood far off its line.")
			})
		} else {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Medium, th.Text, words.Sentence(words.Mistake(&e.Problem, m))+".")
			})
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, words.Sentence(words.MistakeAsk(&e.Problem, m))+".")
			})
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return r.done.Layout(gtx, th)
		})
		return col.Done()
	})
}

// phone is a camera as it was found.
type phone struct {
	view   geometry.View
	camera geometry.Camera
}

// away is how far from the golfer it stood, metres, on the ground.
func (p *phone) away() float64 { return math.Hypot(p.camera.Position.X, p.camera.Position.Z) }
