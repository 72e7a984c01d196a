package findings

import (
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/sheet"
)

// proposalRow is what can be done with a proposal.
type proposalRow struct{ take, leave, show, back draw.Button }

// choice is what the coach did with a proposal while the panel was open.
type choice uint8

const (
	untouched choice = iota
	told             // the student is told
	left             // it is left out
)

// proposals returns what the rules suggest and the coach had not taken before the
// panel was opened. What is taken or left on it keeps its place, so that nothing
// else comes under the pointer and it can be brought back.
func (p *Room) proposals() []annotations.Proposal {
	var out []annotations.Proposal
	for _, x := range p.host.Session().Result.Findings {
		if p.chosen[sheet.Key(x.Measure, x.Position)] != untouched || !p.isTaken(x) {
			out = append(out, x)
		}
	}
	return out
}

func (p *Room) isTaken(x annotations.Proposal) bool {
	_, taken := p.host.Session().Bench.Swing().FindingOf(x.Measure, x.Position)
	return taken
}

// choiceNote says what was done with a proposal, or "" where that is open, also
// because undo has opened it again.
func (p *Room) choiceNote(x annotations.Proposal) string {
	switch p.chosen[sheet.Key(x.Measure, x.Position)] {
	case told:
		if p.isTaken(x) {
			return "Told, see below."
		}
	case left:
		return "Left out."
	}
	return ""
}

// updateProposals takes up what was done with the proposals.
func (p *Room) updateProposals(gtx layout.Context) {
	sw := p.host.Session().Bench.Swing()
	for _, x := range p.proposals() {
		key := sheet.Key(x.Measure, x.Position)
		row := p.proposed[key]
		switch {
		case row == nil:
		case row.take.Clicked(gtx):
			x.Finding.ID = annotations.NewID()
			p.chosen[key] = told
			kit.Edit(p.host, annotations.SetFinding{Swing: sw.ID, Finding: x.Finding})
		case row.leave.Clicked(gtx):
			p.chosen[key] = left
		case row.back.Clicked(gtx):
			delete(p.chosen, key)
			if f, taken := sw.FindingOf(x.Measure, x.Position); taken {
				kit.Edit(p.host, annotations.DropFinding{Swing: sw.ID, ID: f.ID})
			}
		case row.show.Clicked(gtx):
			p.doors.Show(x.Measure, x.Position)
		}
	}
}

func (p *Room) addProposals(add func(unit.Dp, layout.Widget), quiet func(unit.Dp, string)) {
	th := p.host.Theme()
	proposals := p.proposals()
	switch {
	case len(proposals) > 0:
		quiet(6, "Surely outside the target range, the likely largest effect first. Take what you would tell; your judgement comes first.")
	case p.host.Session().Result.Evaluation.Mistake().WithholdsAll():
		quiet(6, "Nothing is measured: the sheet says which mistake is to be mended first.")
	case len(p.host.Session().Result.Measures) == 0:
		quiet(6, "Nothing is measured yet: mark the swing first.")
	case len(p.host.Session().Result.Findings) == 0:
		quiet(6, "No measure is surely outside its target range. Where the sheet says “can't tell”, pointing at the row says what would tell.")
	}
	for _, x := range proposals {
		k := sheet.Key(x.Measure, x.Position)
		row := p.proposed[k]
		if row == nil {
			row = new(proposalRow)
			p.proposed[k] = row
		}
		add(10, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, x.Text)
		})
		for _, h := range x.Hints {
			quiet(2, "Often together, not a certainty: "+h+".")
		}
		quiet(2, "Rule: "+x.Source+".")
		if note := p.choiceNote(x); note != "" {
			add(6, func(gtx layout.Context) layout.Dimensions {
				return kit.EndRow(gtx,
					func(gtx layout.Context) layout.Dimensions {
						return th.Label(gtx, draw.Body, font.Medium, th.Dim, note)
					},
					func(gtx layout.Context) layout.Dimensions {
						return th.Button(gtx, &row.back, draw.ButtonStyle{Label: "Take that back", Name: "Take that back: " + x.Text, Kind: draw.Quiet, Compact: true})
					})
			})
			continue
		}
		add(6, func(gtx layout.Context) layout.Dimensions {
			button := func(b *draw.Button, label string, kind draw.Kind) layout.Widget {
				return func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, b, draw.ButtonStyle{Label: label, Name: label + ": " + x.Text, Kind: kind, Compact: true})
				}
			}
			return draw.Row(gtx, draw.Gap, button(&row.take, "Tell the student", draw.Plain), button(&row.leave, "Leave it", draw.Quiet),
				button(&row.show, "Show", draw.Quiet))
		})
	}
}
