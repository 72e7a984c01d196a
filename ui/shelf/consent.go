package shelf

import (
	"fmt"
	"strings"

	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Consent is the card that asks what may be done that is not done unasked: private files
// that would go out with an export, ranges and a full disk that would come in with an
// import. Nothing is ticked from the start.
type Consent struct {
	host kit.Host
	card kit.Modal
	consentState
}

type consentState struct {
	kit.Openable
	question
	on         []bool
	ticks      []draw.Button
	cancel, do draw.Button
}

// question is what is asked. then gets which of its rows were ticked, and is not called
// where the coach thought better of it.
type question struct {
	title, text string
	rows        []consentRow
	without, do string // what is done without a tick, and with "%d of %d" of them
	danger      bool   // it removes something
	then        func(on []bool)
}

// consentRow is what may be ticked, and more about it.
type consentRow struct {
	label string
	more  []string
}

// shownLines is how many lines a row tells more.
const shownLines = 6

// NewConsent returns the card of a window, closed.
func NewConsent(h kit.Host) *Consent { return &Consent{host: h} }

func (r *Consent) ask(q question) {
	r.consentState = consentState{question: q, Openable: kit.Opened(), on: make([]bool, len(q.rows)), ticks: make([]draw.Button, len(q.rows))}
}

// Commands are none: exports and imports lead here.
func (r *Consent) Commands() []kit.Command { return nil }

// Update takes up the answer.
func (r *Consent) Update(gtx layout.Context) {
	for i := range r.ticks {
		if r.ticks[i].Clicked(gtx) {
			r.on[i] = !r.on[i]
		}
	}
	switch {
	case r.cancel.Clicked(gtx):
		r.Shown = false
	case r.do.Clicked(gtx):
		r.Shown = false
		r.then(r.on)
	}
}

// Layout draws the card.
func (r *Consent) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	return r.card.Layout(gtx, th, r.title, 680, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(14)}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, r.text)
		})
		ticked := 0
		for i, row := range r.rows {
			if r.on[i] {
				ticked++
			}
			col.Add(func(gtx layout.Context) layout.Dimensions { return r.layoutRow(gtx, i, row) })
		}
		do, kind := r.without, draw.Primary
		if r.danger {
			kind = draw.Danger
		}
		if ticked > 0 {
			do = fmt.Sprintf(r.question.do, ticked, len(r.rows))
		}
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.cancel, draw.ButtonStyle{Label: "Cancel"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &r.consentState.do, draw.ButtonStyle{Label: do, Kind: kind})
				})
		})
		return col.Done()
	})
}

func (r *Consent) layoutRow(gtx layout.Context, i int, row consentRow) layout.Dimensions {
	th := r.host.Theme()
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(4)}
	style := draw.ButtonStyle{Label: row.label, Icon: draw.IconBox, Toggle: true, On: r.on[i], Fill: true, Start: true}
	if r.on[i] {
		style.Icon = draw.IconTicked
	}
	col.Add(func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, &r.ticks[i], style) })
	more := row.more
	if len(more) > shownLines {
		more = append(more[:shownLines:shownLines], fmt.Sprintf("and %d more", len(row.more)-shownLines))
	}
	if len(more) > 0 {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, strings.Join(more, "\n"))
		})
	}
	return col.Done()
}
