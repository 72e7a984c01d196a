package draw

import (
	"image"
	"image/color"
	"strings"
	"unicode/utf8"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/io/system"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
	"gioui.org/text"
	"gioui.org/unit"
	"gioui.org/widget"
	"golang.org/x/image/math/fixed"
)

// lineKey names one shaped line of text.
type lineKey struct {
	s      string
	px     int
	weight font.Weight
	max    int // widest it may be, or unlimited
	locale system.Locale
}

// line is one shaped line, ready to draw; its origin is the start of the
// baseline.
type line struct {
	path            clip.PathSpec
	bitmaps         op.CallOp
	width           int
	ascent, descent int
}

const unlimited = 1 << 20

// lineCache keeps shaped lines in two generations: when the young one is full
// it becomes the old one, and what was not asked for since is dropped.
type lineCache struct{ young, old map[lineKey]*line }

// maxLines bounds one generation of the cache.
const maxLines = 1500

func (c *lineCache) get(k lineKey) *line {
	if l := c.young[k]; l != nil {
		return l
	}
	if l := c.old[k]; l != nil {
		c.put(k, l)
		return l
	}
	return nil
}

func (c *lineCache) put(k lineKey, l *line) {
	if c.young == nil || len(c.young) >= maxLines {
		c.old = c.young
		c.young = make(map[lineKey]*line, maxLines)
	}
	c.young[k] = l
}

func (th *Theme) line(gtx layout.Context, size unit.Sp, weight font.Weight, s string, maxWidth int) *line {
	k := lineKey{s: s, px: gtx.Sp(size), weight: weight, max: unlimited, locale: gtx.Locale}
	l := th.lines.get(k)
	if l == nil {
		l = th.shape(k)
		th.lines.put(k, l)
	}
	if l.width <= maxWidth {
		return l
	}
	k.max = max(maxWidth, 0)
	if l = th.lines.get(k); l == nil {
		l = th.shape(k)
		th.lines.put(k, l)
	}
	return l
}

func (th *Theme) shape(k lineKey) *line {
	// A line break in a single line is drawn as a space.
	s := strings.ReplaceAll(k.s, "\n", " ")
	th.Shaper.LayoutString(text.Parameters{
		Font:     font.Font{Typeface: Face, Weight: k.weight},
		PxPerEm:  fixed.I(k.px),
		MaxLines: 1,
		MaxWidth: k.max,
		Locale:   k.locale,
	}, s)
	var glyphs []text.Glyph
	l := new(line)
	for g, ok := th.Shaper.NextGlyph(); ok; g, ok = th.Shaper.NextGlyph() {
		l.ascent = max(l.ascent, g.Ascent.Ceil())
		l.descent = max(l.descent, g.Descent.Ceil())
		l.width = max(l.width, (g.X + g.Advance).Ceil())
		glyphs = append(glyphs, g)
	}
	l.path = th.Shaper.Shape(glyphs)
	l.bitmaps = th.Shaper.Bitmaps(glyphs)
	return l
}

// paint draws the line with its top left corner at x, y; tell adds a semantic
// label, so that a test (and one day a screen reader) finds the text.
func (l *line) paint(ops *op.Ops, x, y int, c color.NRGBA, s string, tell bool) {
	t := op.Offset(image.Pt(x, y+l.ascent)).Push(ops)
	if tell {
		area := clip.Rect(image.Rect(0, -l.ascent, l.width, l.descent)).Push(ops)
		semantic.LabelOp(s).Add(ops)
		area.Pop()
	}
	paint.FillShape(ops, c, clip.Outline{Path: l.path}.Op())
	if l.bitmaps != (op.CallOp{}) {
		l.bitmaps.Add(ops)
	}
	t.Pop()
}

// Label draws one line of text, ending in an ellipsis where it is wider than
// the constraints allow. Its size is that of the text, at least the minimum
// constraint.
func (th *Theme) Label(gtx layout.Context, size unit.Sp, weight font.Weight, c color.NRGBA, s string) layout.Dimensions {
	return th.LabelAlign(gtx, text.Start, size, weight, c, s)
}

// LabelAlign is Label, placed at the start, the middle or the end of the
// minimum width.
func (th *Theme) LabelAlign(gtx layout.Context, align text.Alignment, size unit.Sp, weight font.Weight, c color.NRGBA, s string) layout.Dimensions {
	l := th.line(gtx, size, weight, s, gtx.Constraints.Max.X)
	sz := gtx.Constraints.Constrain(image.Pt(l.width, l.ascent+l.descent))
	x := 0
	switch align {
	case text.Middle:
		x = (sz.X - l.width) / 2
	case text.End:
		x = sz.X - l.width
	}
	y := (sz.Y - l.ascent - l.descent) / 2
	l.paint(gtx.Ops, x, y, c, s, true)
	return layout.Dimensions{Size: sz, Baseline: sz.Y - y - l.ascent}
}

// TextSize returns the size one line of text takes, unlimited in width, and
// the height of its baseline above its bottom.
func (th *Theme) TextSize(gtx layout.Context, size unit.Sp, weight font.Weight, s string) (sz image.Point, baseline int) {
	l := th.line(gtx, size, weight, s, unlimited)
	return image.Pt(l.width, l.ascent+l.descent), l.descent
}

// TextAt draws one line of text regardless of the constraints and returns the
// rectangle it takes. The anchor (ax, ay) of the text, from (0, 0) for its top
// left to (1, 1) for its bottom right, comes to lie on the point at.
func (th *Theme) TextAt(gtx layout.Context, at f32.Point, ax, ay float32, size unit.Sp, weight font.Weight, c color.NRGBA, s string) image.Rectangle {
	l := th.line(gtx, size, weight, s, unlimited)
	h := l.ascent + l.descent
	x := round(at.X - ax*float32(l.width))
	y := round(at.Y - ay*float32(h))
	l.paint(gtx.Ops, x, y, c, s, true)
	return image.Rect(x, y, x+l.width, y+h)
}

// TextOnPicture is TextAt on a dark plate, to be read on any picture.
func (th *Theme) TextOnPicture(gtx layout.Context, at f32.Point, ax, ay float32, size unit.Sp, weight font.Weight, c color.NRGBA, s string) image.Rectangle {
	l := th.line(gtx, size, weight, s, unlimited)
	px, py := gtx.Sp(6), gtx.Sp(2)
	w, h := l.width+2*px, l.ascent+l.descent+2*py
	x := round(at.X - ax*float32(w))
	y := round(at.Y - ay*float32(h))
	r := image.Rect(x, y, x+w, y+h)
	RoundRect(gtx.Ops, r, gtx.Dp(4), th.Plate)
	l.paint(gtx.Ops, x+px, y+py, c, s, true)
	return r
}

// Decimal draws a number so that its decimal point (or the end of its digits,
// where it has none) stands at x = pointX, and returns its size from x = 0. It
// lines numbers up under each other.
func (th *Theme) Decimal(gtx layout.Context, pointX int, size unit.Sp, weight font.Weight, c color.NRGBA, s string) layout.Dimensions {
	l := th.line(gtx, size, weight, s, unlimited)
	x := pointX - th.line(gtx, size, weight, s[:wholeLen(s)], unlimited).width
	l.paint(gtx.Ops, x, 0, c, s, true)
	return layout.Dimensions{Size: image.Pt(x+l.width, l.ascent+l.descent), Baseline: l.descent}
}

// Digits draws a text that changes from frame to frame, such as coordinates
// under the hand: character by character, so that nothing is shaped anew. It is
// meant for figures, which have no kerning.
func (th *Theme) Digits(gtx layout.Context, size unit.Sp, weight font.Weight, c color.NRGBA, s string) layout.Dimensions {
	var d layout.Dimensions
	for i, r := range s {
		char := s[i : i+utf8.RuneLen(r)]
		l := th.line(gtx, size, weight, char, unlimited)
		l.paint(gtx.Ops, d.Size.X, 0, c, char, false)
		d.Size.X += l.width
		d.Size.Y = max(d.Size.Y, l.ascent+l.descent)
		d.Baseline = max(d.Baseline, l.descent)
	}
	return d
}

// WholeWidth returns how far a number reaches left of its decimal point.
func (th *Theme) WholeWidth(gtx layout.Context, size unit.Sp, weight font.Weight, s string) int {
	return th.line(gtx, size, weight, s[:wholeLen(s)], unlimited).width
}

// wholeLen returns the length in bytes of the sign and whole part of s.
func wholeLen(s string) int {
	digits := false
	for i, r := range s {
		switch {
		case r >= '0' && r <= '9':
			digits = true
		case digits:
			return i
		}
	}
	return len(s)
}

// Paragraph draws text that wraps at the maximum width.
func (th *Theme) Paragraph(gtx layout.Context, size unit.Sp, weight font.Weight, c color.NRGBA, s string) layout.Dimensions {
	m := op.Record(gtx.Ops)
	paint.ColorOp{Color: c}.Add(gtx.Ops)
	ink := m.Stop()
	const leading = 1.3
	l := widget.Label{LineHeightScale: leading}
	if high := gtx.Constraints.Max.Y; high > 0 { // whole lines; what has no room ends in an ellipsis
		l.MaxLines = max(int(float32(high)/(leading*float32(gtx.Sp(size)))+0.15), 1)
	}
	return l.Layout(gtx, th.Shaper, font.Font{Typeface: Face, Weight: weight}, size, s, ink)
}

func round(v float32) int {
	if v < 0 {
		return -int(0.5 - v)
	}
	return int(v + 0.5)
}
