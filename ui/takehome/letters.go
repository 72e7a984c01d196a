package takehome

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"

	"turngauge/annotations/words"
	"turngauge/ui/takehome/systemfonts"
)

// embedded is the font of the sheet, to ask which letters it has.
var embedded = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic("takehome: the built-in font is broken: " + err.Error())
	}
	return f
})

// letters finds what draws the letters of a text: the embedded font, or the
// outlines of a font of the computer. One goroutine.
type letters struct {
	buffer  sfnt.Buffer
	own     map[rune]bool
	faces   func(rune) *font.Face // of the computer; nil until it is needed
	shaper  shaping.HarfbuzzShaper
	lacking map[rune]bool // what no font has
}

func newLetters() *letters {
	return &letters{own: make(map[rune]bool), lacking: make(map[rune]bool)}
}

// piece is a part of a text in one font: text in the embedded one, or outlines.
type piece struct {
	text string // "" for outlines
	// path holds outlines in ems from the start of the baseline, y down, and
	// advance is how far it reaches, ems.
	path    []Step
	advance float64
	said    string // what the outlines stand for
}

// pieces divides a line of text by what draws it.
func (l *letters) pieces(text string) []piece {
	var out []piece
	var foreign []rune
	var own strings.Builder
	flush := func() {
		if own.Len() > 0 {
			out = append(out, piece{text: own.String()})
			own.Reset()
		}
		if n := len(foreign); n > 0 {
			if foreign[n-1] == ' ' { // it ended there after all
				foreign = foreign[:n-1]
				own.WriteByte(' ')
			}
			out = append(out, l.outlines(foreign)...)
			foreign = nil
		}
	}
	for _, r := range norm.NFC.String(text) {
		switch {
		case unicode.IsSpace(r):
			r = ' '
		case !unicode.IsGraphic(r):
			continue
		}
		if n := len(foreign); n > 0 && r == ' ' && leftward(foreign[0]) && foreign[n-1] != ' ' {
			foreign = append(foreign, r) // the words of such a script run on to the left
			continue
		}
		if l.has(r) {
			if len(foreign) > 0 {
				flush()
			}
			own.WriteRune(r)
			continue
		}
		if own.Len() > 0 || len(foreign) > 0 && script(foreign[0]) != script(r) {
			flush()
		}
		foreign = append(foreign, r)
	}
	flush()
	flush() // a space after the last word
	return out
}

// leftward reports whether a letter's script runs from right to left.
func leftward(r rune) bool {
	switch script(r) {
	case language.Arabic, language.Hebrew, language.Syriac, language.Thaana, language.Nko:
		return true
	}
	return false
}

func script(r rune) language.Script { return language.LookupScript(r) }

// has reports whether the embedded font has a letter.
func (l *letters) has(r rune) bool {
	ok, known := l.own[r]
	if !known {
		i, err := embedded().GlyphIndex(&l.buffer, r)
		ok = err == nil && i != 0
		l.own[r] = ok
	}
	return ok
}

// outlines shapes letters of one script in the computer's fonts, changing the
// font where one ends.
func (l *letters) outlines(text []rune) []piece {
	if l.faces == nil {
		l.faces = systemfonts.Faces()
	}
	var out []piece
	for len(text) > 0 {
		face := l.faces(text[0])
		n := 1
		for n < len(text) && (text[n] == ' ' || l.faces(text[n]) == face) {
			n++
		}
		var x piece
		if face == nil {
			x = l.boxes(text[:n])
		} else {
			x = l.shape(face, text[:n])
		}
		x.said = string(text[:n])
		out = append(out, x)
		text = text[n:]
	}
	return out
}

func (l *letters) shape(face *font.Face, text []rune) piece {
	direction := di.DirectionLTR
	if leftward(text[0]) {
		direction = di.DirectionRTL
	}
	const em = 1000
	o := l.shaper.Shape(shaping.Input{
		Text: text, RunEnd: len(text), Direction: direction, Face: face, Size: fixed.I(em),
		Script: script(text[0]), Language: language.DefaultLanguage(),
	})
	unit := 1 / float64(face.Upem())
	p := piece{}
	for _, g := range o.Glyphs {
		x := p.advance + float64(g.XOffset)/64/em
		y := -float64(g.YOffset) / 64 / em
		data, ok := face.GlyphData(g.GlyphID).(font.GlyphOutline)
		if !ok { // a picture: an emoji
			r := text[min(g.TextIndex(), len(text)-1)]
			l.lacking[r] = true
			p.path = append(p.path, box(x, float64(g.Advance)/64/em)...)
		}
		p.path = append(p.path, outline(data.Segments, x, y, unit)...)
		p.advance += float64(g.Advance) / 64 / em
	}
	return p
}

// outline turns a glyph's segments into a path; quadratic curves become cubic
// ones that are the same.
func outline(segments []opentype.Segment, x, y, unit float64) []Step {
	var path []Step
	to := func(p opentype.SegmentPoint) Pt { return Pt{x + float64(p.X)*unit, y - float64(p.Y)*unit} }
	var at Pt
	for i, s := range segments {
		switch s.Op {
		case opentype.SegmentOpMoveTo:
			if i > 0 {
				path = append(path, Step{Do: ClosePath})
			}
			at = to(s.Args[0])
			path = append(path, Step{MoveTo, [3]Pt{2: at}})
		case opentype.SegmentOpLineTo:
			at = to(s.Args[0])
			path = append(path, Step{LineTo, [3]Pt{2: at}})
		case opentype.SegmentOpQuadTo:
			c, e := to(s.Args[0]), to(s.Args[1])
			path = append(path, Step{CurveTo, [3]Pt{
				{at.X + 2*(c.X-at.X)/3, at.Y + 2*(c.Y-at.Y)/3}, {e.X + 2*(c.X-e.X)/3, e.Y + 2*(c.Y-e.Y)/3}, e,
			}})
			at = e
		case opentype.SegmentOpCubeTo:
			at = to(s.Args[2])
			path = append(path, Step{CurveTo, [3]Pt{to(s.Args[0]), to(s.Args[1]), at}})
		}
	}
	if len(path) > 0 {
		path = append(path, Step{Do: ClosePath})
	}
	return path
}

// boxWidth is the width of a box that stands for a letter, ems.
const boxWidth = 0.62

// boxes stands for letters that no font has.
func (l *letters) boxes(text []rune) piece {
	var p piece
	for _, r := range text {
		if r == ' ' {
			p.advance += boxWidth / 2
			continue
		}
		l.lacking[r] = true
		p.path = append(p.path, box(p.advance, boxWidth)...)
		p.advance += boxWidth
	}
	return p
}

// box is a frame, its inside cut out by turning the other way round.
func box(x, width float64) []Step {
	a, b := x+0.06, x+width-0.06
	path := polyline(true, Pt{a, 0}, Pt{b, 0}, Pt{b, -0.7}, Pt{a, -0.7})
	const t = 0.05
	return append(path, polyline(true, Pt{a + t, -t}, Pt{a + t, -0.7 + t}, Pt{b - t, -0.7 + t}, Pt{b - t, -t})...)
}

// lackingLetters names the letters that no font has, or returns "".
func (l *letters) lackingLetters() string {
	if len(l.lacking) == 0 {
		return ""
	}
	var all []rune
	for r := range l.lacking {
		all = append(all, r)
	}
	slices.Sort(all)
	const most = 12
	var names []string
	for _, r := range all[:min(len(all), most)] {
		names = append(names, "“"+string(r)+"”")
	}
	if n := len(all) - most; n > 0 {
		names = append(names, words.Spelled(n, "other letter", "other letters"))
	}
	return listed(names)
}
