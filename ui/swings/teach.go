package swings

import (
	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/teach"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
)

// teaching is what corrections by hand could do to the other swings, of one lesson.
type teaching struct {
	of    *annotations.Lesson
	busy  bool // it is being done
	ended int  // how often it was
	offer teach.Offer
	do    draw.Button
}

// refresh works it out anew where the lesson has changed, or was taught.
func (t *teaching) refresh(s *session.Session) {
	l := s.Bench.Lesson()
	busy, ended := s.Teaching()
	if t.of == l && t.busy == busy && t.ended == ended {
		return
	}
	t.of, t.busy, t.ended, t.offer = l, busy, ended, teach.Offer{}
	if !busy {
		t.offer = s.TeachingOffer()
	}
}

// layoutTeaching draws the offer, where there is one.
func (r *Room) layoutTeaching(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(6)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, r.teaching.offer.Tells()+".")
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, 8, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &r.teaching.do, draw.ButtonStyle{Label: "Teach them", Name: "Teach the other swings what you corrected by hand", Keys: r.host.Shortcut("teach")})
		})
	})
	return col.Done()
}
