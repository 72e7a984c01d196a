package sheet

import (
	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations/words"
	"turngauge/ui/draw"
)

// form is how a row is arranged in the width there is.
type form uint8

const (
	wide    form = iota // everything on one line
	twoLine             // name and number; scale and verdict
	stacked             // name; number and verdict; scale
)

// columns holds the places of a row's parts, in pixels from its left edge.
type columns struct {
	form        form
	width       int
	pad, gap    int
	line, small int // heights of a line of body and of small text

	nameEnd           int
	point             int // decimal point of the number
	pmPoint           int // decimal point of the half width
	numberStart       int
	numberEnd         int
	scale0, scale1    int
	verdict           int // left edge of the glyph, or of the change
	delta             int // decimal point of the change
	deltaWord         int // left edge of its word
	changes           bool
	glyphOnly         bool // no room for the verdict's word
	glyph             int  // radius of the glyph
	row, head, lineGp int  // heights of a row and of a header, gap between lines
}

const (
	nameRoom  = 200 // sp a name should have on a line with everything
	nameMost  = 300 // sp a name may have there
	scaleRoom = 120 // sp a scale should have there
	nameLeast = 112 // sp a name must have beside its number
	stemLeast = 84  // sp of a name that is cut before its key position
)

// measureColumns lays out the columns so that the widest number and verdict of
// the sheet fit.
func (s *Sheet) measureColumns(gtx layout.Context, th *draw.Theme, width int) columns {
	c := columns{width: width, pad: gtx.Dp(draw.Pad), gap: gtx.Sp(12), glyph: gtx.Sp(5)}
	sz, _ := th.TextSize(gtx, draw.Body, font.Medium, "0")
	c.line = sz.Y
	sz, _ = th.TextSize(gtx, draw.Small, font.Normal, "0")
	c.small = sz.Y
	c.lineGp = gtx.Sp(5)

	var whole, rest, pmWhole, pmRest int
	word := s.widest(gtx, th, draw.CantTell.String(), draw.NotBelow.String(), draw.NotAbove.String())
	for i := range s.items {
		r := s.items[i].row
		if r == nil || r.Missing != "" {
			continue
		}
		w, all := th.WholeWidth(gtx, draw.Body, font.Medium, r.Number), 0
		sz, _ := th.TextSize(gtx, draw.Body, font.Medium, r.Number)
		all = sz.X
		whole, rest = max(whole, w), max(rest, all-w)
		w = th.WholeWidth(gtx, draw.Body, font.Normal, r.PlusMinus)
		sz, _ = th.TextSize(gtx, draw.Body, font.Normal, r.PlusMinus)
		pmWhole, pmRest = max(pmWhole, w), max(pmRest, sz.X-w)
		word = max(word, s.widest(gtx, th, r.word))
	}
	c.changes = s.Changes && s.built.model.Compared
	number := whole + rest + gtx.Sp(7) + pmWhole + pmRest
	verdict := 2*c.glyph + gtx.Sp(6) + word
	deltaWhole := 0
	if c.changes {
		var deltaRest int
		deltaWhole, deltaRest = s.deltaSize(gtx, th)
		word = s.widest(gtx, th, words.CantTell, words.Likelihood(1))
		verdict = deltaWhole + deltaRest + gtx.Sp(6) + word
	}
	inner := width - 2*c.pad
	switch {
	case inner >= gtx.Sp(nameRoom)+number+gtx.Sp(scaleRoom)+verdict+3*c.gap:
		c.form = wide
		c.verdict = width - c.pad - verdict
		free := inner - number - verdict - 3*c.gap
		c.nameEnd = c.pad + min(max(gtx.Sp(nameRoom), free*9/20), gtx.Sp(nameMost))
		c.numberEnd = c.nameEnd + c.gap + number
		c.scale0, c.scale1 = c.numberEnd+c.gap, c.verdict-c.gap
		c.row = max(c.line+gtx.Sp(16), gtx.Sp(34))
	case inner >= gtx.Sp(nameLeast)+number+c.gap:
		c.form = twoLine
		c.numberEnd = width - c.pad
		c.nameEnd = c.numberEnd - number - c.gap
		c.verdict = width - c.pad - verdict
		c.scale0, c.scale1 = c.pad, c.verdict-c.gap
		c.row = c.line + c.lineGp + c.small + gtx.Sp(16)
	default:
		c.form = stacked
		c.nameEnd = width - c.pad
		c.numberEnd = c.pad + number
		c.verdict = max(width-c.pad-verdict, c.pad)
		if c.numberEnd+c.gap > c.verdict { // no room for the word
			c.glyphOnly = true
			c.verdict = width - c.pad - 2*c.glyph
		}
		c.scale0, c.scale1 = c.pad, width-c.pad
		c.row = 2*c.line + c.small + 2*c.lineGp + gtx.Sp(16)
	}
	c.delta = c.verdict + deltaWhole
	c.deltaWord = width - c.pad - word
	c.numberStart = c.numberEnd - number
	c.point = c.numberStart + whole
	c.pmPoint = c.numberEnd - pmRest
	c.head = c.line + gtx.Sp(18)
	return c
}

// widest returns the width of the widest of some small texts.
func (s *Sheet) widest(gtx layout.Context, th *draw.Theme, texts ...string) int {
	w := 0
	for _, text := range texts {
		sz, _ := th.TextSize(gtx, draw.Small, font.Normal, text)
		w = max(w, sz.X)
	}
	return w
}

// deltaSize returns how far changes reach left and right of their decimal
// points.
func (s *Sheet) deltaSize(gtx layout.Context, th *draw.Theme) (whole, rest int) {
	for i := range s.items {
		r := s.items[i].row
		if r == nil || !r.HasPrevious {
			continue
		}
		w := th.WholeWidth(gtx, draw.Small, font.Medium, r.delta)
		sz, _ := th.TextSize(gtx, draw.Small, font.Medium, r.delta)
		whole, rest = max(whole, w), max(rest, sz.X-w)
	}
	return whole, rest
}
