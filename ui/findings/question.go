package findings

import (
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// updateQuestion takes up what the student asked, and findings that are to be talked through.
func (p *Room) updateQuestion(gtx layout.Context) {
	if p.writes(gtx, &p.question) {
		kit.Edit(p.host, annotations.SetHeading{Heading: annotations.Question, Text: p.question.Text(), Gesture: p.gesture})
	}
	for _, f := range p.host.Session().Bench.Swing().Findings {
		if row := p.taken[f.ID]; row != nil && row.talk.Clicked(gtx) {
			p.doors.Talk(f)
			return
		}
	}
}

func (p *Room) addQuestion(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string)) {
	th := p.host.Theme()
	label(18, draw.Body, font.Bold, "What the student asked")
	add(8, func(gtx layout.Context) layout.Dimensions {
		return th.Area(gtx, &p.question, draw.FieldStyle{Name: "What the student asked", Hint: "In the student's words"})
	})
}

// talkButton begins a review from a finding.
func (p *Room) talkButton(row *findingRow, f *annotations.Finding) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return p.host.Theme().Button(gtx, &row.talk, draw.ButtonStyle{Icon: draw.IconVoice, Name: "Talk through: " + f.Text,
			Tip: "Records a review that begins with this finding", Kind: draw.Quiet, Compact: true})
	}
}
